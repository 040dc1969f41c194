"""A plain bench in space to change by hand, and its mirror image."""

from dataclasses import replace

from designs import design, evening, parts, run

from lightcalc.answers.look.look import look
from lightcalc.design.space import Block, Inlay, Mount, Room, Space, Viewer

TOP = Block("top", (0.0, 0.0, 0.41), (1.5, 0.4, 0.04), "ash")
LEGS = (
    Block("left leg", (0.05, 0.1, 0.0), (0.05, 0.2, 0.41), "ash"),
    Block("right leg", (1.3, 0.1, 0.0), (0.05, 0.2, 0.41), "ash"),
)
SOFA = Viewer("sofa", (0.6, -2.0, 1.15))
DOOR = Viewer("door", (-1.4, -1.0, 1.6))
CHAIR = Viewer("chair", (1.0, -1.6, 1.1))
STRIP = "strip-12v-60-warm"
CLEAR = Inlay("seam", "top", ((0.3, 0.1), (0.9, 0.1), (0.9, 0.2), (0.3, 0.2)), "resin-clear-10")


def under(y_m=0.05, *, name="under the top", faces="down", start_m=0.2, length_m=1.0, z_m=0.41):
    path = ((start_m, y_m, z_m), (start_m + length_m, y_m, z_m))
    return Mount(name, path, faces)


def bench(*mounts, viewers=(SOFA,), inlays=(), room=None, strip=STRIP, use=None, blocks=(), m=1.0):
    """Return a bench with one run under its top."""
    one = run(strip, m, name="rail", mounts=mounts or (under(),))
    space = Space((TOP, *LEGS, *blocks), inlays, viewers, room or Room(floor_gloss_ratio=0.04))
    return replace(design(one, use=use or evening(room_lux=50.0)), space=space)


def seen_of(made, **changes):
    return look(made, parts(), faces=False, **changes).look


def flipped(made, width_m=1.5):
    """Return a design mirrored left to right."""

    def x(place):
        return (width_m - place[0], *place[1:])

    space = made.space
    turn = {"left": "right", "right": "left"}
    return replace(
        made,
        space=replace(
            space,
            blocks=tuple(
                replace(b, at_m=(width_m - b.at_m[0] - b.size_m[0], *b.at_m[1:]))
                for b in space.blocks
            ),
            inlays=tuple(
                replace(i, outline_m=tuple(x(c) for c in i.outline_m)) for i in space.inlays
            ),
            viewers=tuple(
                replace(v, at_m=x(v.at_m), looks_at_m=v.looks_at_m and x(v.looks_at_m))
                for v in space.viewers
            ),
        ),
        runs=tuple(
            replace(
                r,
                mounts=tuple(
                    replace(
                        m, path_m=tuple(x(c) for c in m.path_m), faces=turn.get(m.faces, m.faces)
                    )
                    for m in r.mounts
                ),
            )
            for r in made.runs
        ),
    )

r"""The smallest change to a mounting that hides a run of LEDs from an eye.

::

    eye                 edge nearest to the eye
      *   .              ___________________________
             .          |        host box           |
                `.      |___________________________|   host face: the underside here
                    `.  ||  o LED --> inward
                       `||  |
                         ^  v outward, the way the host face looks
                        lip

The run may be set back inward along its host face, hidden behind a lip at the edge, turned
to face inward, or moved to another mounting. Amounts are whole millimetres. Every change is a
function from one scene to another, so that what else it shows or darkens can be looked at.
"""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import dataclass, replace

import numpy as np

from lightcalc.physics.room.rays import TOLERANCE_M, Array, Flags, Solids, solids
from lightcalc.physics.room.scene import Box, Eye, Point, Row, Scene
from lightcalc.physics.room.sightline import ALL_WAYS, Way, bright_points, shows

SET_BACK_LIMIT_M = 0.3
LIP_LIMIT_M = 0.1
LIP_THICKNESS_M = 0.003

# LEDs stand this far off their host face at most: deep channels are some 20 mm.
_FARTHEST_OFF_M = 0.02
# When several faces are near, so much more distance weighs as much as a right angle.
_DISTANCE_OF_A_RIGHT_ANGLE_M = 0.005


@dataclass(frozen=True)
class HostFace:
    """The face of a box that a run is stuck to, as an eye sees it.

    `outward` is the axis (0, 1, 2) and sign of the face's normal, `inward` those of the way
    across the run, along the face, from the edge nearest to the eye. `edge_m` and `far_edge_m`
    are places on the inward axis, `face_m` on the outward axis.
    """

    box: Box
    outward: tuple[int, int]
    inward: tuple[int, int]
    face_m: float
    edge_m: float
    far_edge_m: float


def host_face(scene: Scene, row_name: str, eye_name: str) -> HostFace:
    """Find the face that a run's middle LED sits on, and its edge nearest to the eye.

    The face is at most 20 mm behind the LED; of several, one that looks the way the LEDs do
    is preferred, and a near one. Raises ValueError when there is none.
    """
    row, eye = _row(scene, row_name), _eye(scene, eye_name)
    middle = row.places[len(row.places) // 2]
    faces = [
        (row.facing[axis] * sign - off / _DISTANCE_OF_A_RIGHT_ANGLE_M, index, axis, sign)
        for index, box in enumerate(scene.boxes)
        for axis in range(3)
        for sign in (-1, 1)
        if (off := _distance_off(box, middle, axis, sign)) is not None
    ]
    if not faces:
        raise ValueError(
            f"Row {row_name} lies on no face: its LEDs must be within 20 mm of a box's face."
        )
    _, index, axis, sign = max(faces)
    box = scene.boxes[index]
    spread = np.ptp(np.array(row.places), axis=0)
    across = min((other for other in range(3) if other != axis), key=lambda other: spread[other])
    low, high = box.low[across], box.high[across]
    nearer_low = abs(eye.place[across] - low) <= abs(eye.place[across] - high)
    return HostFace(
        box=box,
        outward=(axis, sign),
        inward=(across, 1 if nearer_low else -1),
        face_m=(box.high if sign > 0 else box.low)[axis],
        edge_m=low if nearer_low else high,
        far_edge_m=high if nearer_low else low,
    )


def set_back(scene: Scene, row_name: str, eye_name: str, amount_m: float) -> Scene:
    """Move a run along its host face, away from the edge nearest to the eye."""
    axis, sign = host_face(scene, row_name, eye_name).inward
    row = _row(scene, row_name)
    step = np.eye(3)[axis] * sign * amount_m
    places = tuple(_point(np.add(place, step)) for place in row.places)
    return mounted(scene, replace(row, places=places))


def lipped(
    scene: Scene,
    row_name: str,
    eye_name: str,
    depth_m: float,
    thickness_m: float = LIP_THICKNESS_M,
) -> Scene:
    """Add a lip that stands out from the host face, flush with its edge nearest to the eye.

    It is as long as the edge. Raises ValueError when the LEDs leave no room for it.
    """
    face = host_face(scene, row_name, eye_name)
    if not _lip_fits(face, _row(scene, row_name), thickness_m):
        raise ValueError(f"Row {row_name} leaves no room for a lip at the edge of {face.box.name}.")
    low, high = list(face.box.low), list(face.box.high)
    for (axis, sign), begin, size in (
        (face.outward, face.face_m, depth_m),
        (face.inward, face.edge_m, thickness_m),
    ):
        low[axis], high[axis] = sorted((begin, begin + sign * size))
    lip = Box(f"lip of {face.box.name}", _point(low), _point(high), face.box.colour)
    return replace(scene, boxes=(*scene.boxes, lip))


def turned(scene: Scene, row_name: str, eye_name: str) -> Scene:
    """Turn a run's LEDs to face inward along the host face, away from the eye's edge."""
    axis, sign = host_face(scene, row_name, eye_name).inward
    facing = _point(np.eye(3)[axis] * sign)
    return mounted(scene, replace(_row(scene, row_name), facing=facing))


def mounted(scene: Scene, mounting: Row) -> Scene:
    """Mount a run as another row of the same name says: moved to the rail, for instance."""
    _row(scene, mounting.name)
    rows = tuple(mounting if row.name == mounting.name else row for row in scene.rows)
    return replace(scene, rows=rows)


def hidden(scene: Scene, row_name: str, eye_name: str, ways: Collection[Way] = ALL_WAYS) -> bool:
    """Whether the eye sees none of the run's LEDs in any of the ways."""
    return not _shown(solids(scene), _row(scene, row_name), _eye(scene, eye_name), ways)


def smallest_set_back(
    scene: Scene,
    row_name: str,
    eye_name: str,
    ways: Collection[Way] = ALL_WAYS,
    *,
    limit_m: float = SET_BACK_LIMIT_M,
) -> float | None:
    """Least set-back [m], to 1 mm, that hides the run from the eye; None when none does.

    Nil when it is hidden as it is. The run stays on its host face, within the limit, and does
    not enter a box. A run may show again when it is set back further: look at `sightlines` of
    what you choose. Raises ValueError as `host_face`.
    """
    row, eye, shapes = _row(scene, row_name), _eye(scene, eye_name), solids(scene)
    if not _shown(shapes, row, eye, ways):
        return 0.0
    face = host_face(scene, row_name, eye_name)
    room_m = min(limit_m, _room_inward_m(shapes, row, face))
    amounts = np.arange(1, int(room_m * 1000.0 + 1e-6) + 1) / 1000.0
    axis, sign = face.inward
    inward = np.eye(3)[axis] * sign
    points = bright_points(row)

    def seen(leds: Array, steps: Array) -> Flags:
        tried = leds + np.multiply.outer(steps, inward)[:, None, None]
        return np.asarray(shows(shapes, tried, row.facing, eye.place, ways).any(axis=2))

    # An LED or two rule most amounts out; all LEDs are looked at for the first one left.
    teller = len(points) // 2
    while amounts.size:
        amounts = amounts[~seen(points[[teller]], amounts)[:, 0]]
        if not amounts.size:
            break
        still = seen(points, amounts[:1])[0]
        if not still.any():
            return float(amounts[0])
        teller = int(still.argmax())
    return None


def smallest_lip(
    scene: Scene,
    row_name: str,
    eye_name: str,
    ways: Collection[Way] = ALL_WAYS,
    *,
    limit_m: float = LIP_LIMIT_M,
    thickness_m: float = LIP_THICKNESS_M,
) -> float | None:
    """Least depth [m], to 1 mm, of a lip that hides the run from the eye; None when none does.

    Nil when it is hidden without. A lip as deep as the floor is far is no answer. A deeper
    lip hides what a shallower one does, so the depth is found by halving. Raises ValueError
    as `host_face`.
    """
    if hidden(scene, row_name, eye_name, ways):
        return 0.0
    face = host_face(scene, row_name, eye_name)
    if not _lip_fits(face, _row(scene, row_name), thickness_m):
        return None
    deepest = int(limit_m * 1000.0 + 1e-6)
    if face.outward == (2, -1):
        deepest = min(deepest, int(np.ceil(face.face_m * 1000.0 - 1e-6)) - 1)

    def hides(depth_mm: int) -> bool:
        after = lipped(scene, row_name, eye_name, depth_mm / 1000.0, thickness_m)
        return hidden(after, row_name, eye_name, ways)

    return _least_millimetres(hides, deepest)


def turning_hides(
    scene: Scene, row_name: str, eye_name: str, ways: Collection[Way] = ALL_WAYS
) -> bool:
    """Whether the run, turned to face inward, is hidden from the eye."""
    return hidden(turned(scene, row_name, eye_name), row_name, eye_name, ways)


def mounting_hides(
    scene: Scene, mounting: Row, eye_name: str, ways: Collection[Way] = ALL_WAYS
) -> bool:
    """Whether the run, mounted as another row of its name, is hidden from the eye."""
    return hidden(mounted(scene, mounting), mounting.name, eye_name, ways)


def _least_millimetres(hides: Callable[[int], bool], most: int) -> float | None:
    """Least whole millimetres [m] for which it holds, if it holds for all more."""
    if most < 1 or not hides(most):
        return None
    shown, enough = 0, most
    while enough - shown > 1:
        middle = (shown + enough) // 2
        shown, enough = (shown, middle) if hides(middle) else (middle, enough)
    return enough / 1000.0


def _shown(shapes: Solids, row: Row, eye: Eye, ways: Collection[Way]) -> bool:
    return bool(shows(shapes, bright_points(row), row.facing, eye.place, ways).any())


def _room_inward_m(shapes: Solids, row: Row, face: HostFace) -> float:
    """How far [m] the run can be set back before it leaves its face or enters a box."""
    axis, sign = face.inward
    # Just off the face, for a rail that meets the face stands right below it, not within it.
    out_axis, out_sign = face.outward
    off = np.eye(3)[out_axis] * out_sign * 10.0 * TOLERANCE_M
    places = np.array(row.places, dtype=np.float64) + off
    room = float((sign * (face.far_edge_m - places[:, axis])).min())
    low, high = shapes.low + TOLERANCE_M, shapes.high - TOLERANCE_M
    beside = (places[:, None] <= low) | (places[:, None] >= high)
    beside[..., axis] = False
    near, far = (low, high) if sign > 0 else (high, low)
    to_near = sign * (near[:, axis] - places[:, None, axis])
    past = sign * (far[:, axis] - places[:, None, axis]) <= 0.0
    meets = np.where(beside.any(axis=-1) | past, np.inf, np.maximum(to_near, 0.0))
    return min(room, float(meets.min()))


def _lip_fits(face: HostFace, row: Row, thickness_m: float) -> bool:
    axis, sign = face.inward
    room = min(sign * (place[axis] - face.edge_m) for place in row.places) - row.side_m / 2.0
    return room >= thickness_m


def _distance_off(box: Box, place: Point, axis: int, sign: int) -> float | None:
    """Distance [m] of a place off a face, or None where it is not just off that face."""
    for other in range(3):
        beside = max(box.low[other] - place[other], place[other] - box.high[other])
        if other != axis and beside > TOLERANCE_M:
            return None
    off = sign * (place[axis] - (box.high if sign > 0 else box.low)[axis])
    return max(off, 0.0) if -TOLERANCE_M <= off <= _FARTHEST_OFF_M else None


def _row(scene: Scene, name: str) -> Row:
    for row in scene.rows:
        if row.name == name:
            return row
    raise ValueError(f"There is no row {name}; there are {[row.name for row in scene.rows]}.")


def _eye(scene: Scene, name: str) -> Eye:
    for eye in scene.eyes:
        if eye.name == name:
            return eye
    raise ValueError(f"There is no eye {name}; there are {[eye.name for eye in scene.eyes]}.")


def _point(values: Array | list[float]) -> Point:
    x, y, z = (float(value) for value in values)
    return (x, y, z)

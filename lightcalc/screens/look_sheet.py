"""A look in plain text: findings, who sees which LEDs, dots, and the glow; or mounts compared."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lightcalc.answers.look.look import plainest
from lightcalc.answers.look.results import Look
from lightcalc.answers.words import Shower
from lightcalc.screens import rows
from lightcalc.screens.layout import heading, paragraph, printable, table
from lightcalc.screens.sheet import finding_line

# An edge with less light than that lies in the dark: there is no evenness to speak of.
DARK_LUX = 0.5


def look_sheet(look: Look) -> str:
    """Return everything one look found, 80 columns wide."""
    show = Shower(look.units)
    lines = [
        printable(look.piece),
        paragraph(
            f"At {show.ratio(look.level_ratio)}, in a room of {show.lux(look.room_lux)}; "
            f"{'; '.join(look.mounts)}.",
            "",
            "",
        ),
        heading("Findings"),
        *(finding_line(finding) for finding in look.findings),
    ]
    if not look.findings:
        lines.append(paragraph("No eye sees an LED, and no light shows as dots."))
    lines += [*_sights(look, show), *_patterns(look, show), *_glow(look, show)]
    return "\n".join(lines) + "\n"


def _sights(look: Look, show: Shower) -> Iterator[str]:
    yield heading("LEDs seen")
    if not look.sights:
        yield paragraph("None, from any eye.")
        return
    yield table(rows.SIGHTS, rows.sight_rows(look.sights, show))
    yield paragraph(rows.SIGHTS_READ)


def _patterns(look: Look, show: Shower) -> Iterator[str]:
    yield heading("Dots in the light")
    if not look.patterns:
        yield paragraph("None: no eye sees a surface that the LEDs light.")
        return
    yield table(
        ["run, surface", "eye", "light", "contrast", "verdict"],
        [
            [
                f"{found.run}, {found.surface}",
                found.eye,
                show.lux(found.mean_lux),
                show.ratio(found.contrast_ratio),
                found.verdict,
            ]
            for found in plainest(look.patterns)
        ],
    )
    yield paragraph("For each surface, the eye that sees the pattern best.")


def _glow(look: Look, show: Shower) -> Iterator[str]:
    glow = look.glow
    yield heading("The glow")
    parts = [
        ("the floor", glow.floor_lm),
        ("the wall", glow.wall_lm),
        ("the piece itself", glow.piece_lm),
        ("inlays", glow.inserts_lm),
        ("the rest of the room", glow.left_lm),
    ]
    where = ", ".join(f"{show.light(lm)} to {name}" for name, lm in parts if lm >= 0.5)
    yield paragraph(f"Of {show.light(glow.emitted_lm)}, {where}.")
    text = f"Brightest straight from the LEDs, on the floor: {show.lux(glow.floor_peak_lux)}"
    if glow.wall_peak_lux is not None:
        text += f"; on the wall: {show.lux(glow.wall_peak_lux)}"
    yield paragraph(f"{text}. Pictures and maps hold what wood, wall and floor send on, too.")
    for name, luminance in glow.insert_peaks_cd_m2:
        yield paragraph(f"Brightest glow of {name}: {show.luminance(luminance)}.")
    for edge in glow.edges:
        if edge.mean_lux < DARK_LUX:
            continue
        yield paragraph(
            f"On the floor along the edge nearest to {edge.run}: {show.lux(edge.mean_lux)} in the "
            f"mean, the darkest place {show.ratio(edge.least_over_mean_ratio)} of that."
        )


def mounts_table(looks: Sequence[Look]) -> str:
    """Return the ways to mount the runs side by side."""
    show = Shower(looks[0].units)
    names = [f"mount {number}" for number in range(1, len(looks) + 1)]
    eyes = list(dict.fromkeys(sight.eye for look in looks for sight in look.sights))
    seen = [[f"LEDs seen, {eye}", *(_seen(look, eye) for look in looks)] for eye in eyes]
    surfaces = list(dict.fromkeys(p.surface for look in looks for p in look.patterns))
    seen += [
        [f"dots, {name}", *(_worst_verdict(look, name) for look in looks)] for name in surfaces
    ]
    seen += [
        ["floor, brightest", *(show.lux(look.glow.floor_peak_lux) for look in looks)],
        ["light to the floor", *(show.light(look.glow.floor_lm) for look in looks)],
        ["evenness at the edge", *(_evenness(look, show) for look in looks)],
        ["findings", *(str(len(look.findings)) for look in looks)],
    ]
    lines = [heading(f"Ways to mount: {looks[0].piece}")]
    lines += [
        paragraph(f"{name}: {'; '.join(look.mounts)}.")
        for name, look in zip(names, looks, strict=True)
    ]
    return "\n".join([*lines, "", table(["", *names], seen)]) + "\n"


def _seen(look: Look, eye: str) -> str:
    """Say how many LEDs an eye sees, bare ones apart."""
    counts = {
        way: sum(s.leds_count for s in look.sights if s.eye == eye and s.way == way)
        for way in rows.HOW
    }
    return ", ".join(f"{count} {rows.HOW[way]}" for way, count in counts.items() if count) or "none"


def _worst_verdict(look: Look, surface: str) -> str:
    order = ("plain", "faint", "hidden")
    found = {p.verdict for p in look.patterns if p.surface == surface}
    return next((verdict for verdict in order if verdict in found), "not lit")


def _evenness(look: Look, show: Shower) -> str:
    lit = [e.least_over_mean_ratio for e in look.glow.edges if e.mean_lux >= DARK_LUX]
    return show.ratio(min(lit)) if lit else "dark"

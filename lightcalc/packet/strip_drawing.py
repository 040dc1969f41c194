"""Every run as a flat strip on the bench: its cut marks, feeds and lengths, to scale.

::

    (1) front rail
    strip-12v-60-warm: 28 cut units of 50 mm make 1400 mm of the 1420 mm asked.
    Starts 40 mm from the left, 70 mm from the front, 360 mm above the floor; LEDs to the back.
    +--+--+--+--+--+--+--+--+--+--+--+--+
    A                 A                       feeds a, b
    /-----------------/                       lanes, as on the piece
    /-----------------------------------/
    a: front rail feed 1, at 0 mm; b: ...
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lightcalc.answers.results import Answer, RunAnswer
from lightcalc.design.piece import Design, Run
from lightcalc.packet.dimensions import Length, Ruler, depth_mm, lanes, measure
from lightcalc.packet.drawing import Drawing
from lightcalc.packet.feeds import is_between, letters, place_words
from lightcalc.packet.laid import LOOKING, Laid, laid_runs, mount_words, others_words
from lightcalc.packet.lettering import LARGE_MM, NORMAL_MM, SMALL_MM, wrap
from lightcalc.packet.paper import MARGIN_MM, MEDIUM_MM, THIN_MM, Box, Paper, Spot
from lightcalc.packet.symbols import feed_mark, heading, scale_bar, tag, tag_radius_mm
from lightcalc.parts.kinds import Catalogue
from lightcalc.tables.drawing_scales import DrawingScale, drawing_scales

STRIP_HIGH_MM = 4.0
FEEDS_MM = 6.0
BETWEEN_MM = 4.0
ABOVE_STRIP_MM, SCALE_MM = 2.0, 14.0
# Marks nearer to each other than this run together on paper; then every n-th is drawn.
NEAREST_MARKS_MM = 0.8
EVERY = (1, 2, 5, 10, 20, 50, 100, 200, 500, 1000, 2000, 5000, 10_000)
# Letters beyond the end of a strip, for the length that stands beside a short one.
BESIDE_STRIP_MM = 24.0


@dataclass(frozen=True)
class _Flat:
    """A run as it is drawn: its number, and where it lies if that is known."""

    number: int
    run: Run
    answer: RunAnswer
    laid: Laid | None
    cut_unit_m: float


@dataclass(frozen=True)
class _Sheet:
    """What all strips of a drawing share."""

    design: Design
    scale: DrawingScale
    room_mm: float

    @property
    def mm_per_m(self) -> float:
        """Millimetres of paper for a metre of strip."""
        return 1000.0 / self.scale.reduction

    def words(self, length_m: float) -> str:
        """Show a length."""
        return measure(length_m, self.design.system)


def strip_drawings(
    design: Design, catalogue: Catalogue, answer: Answer, frame_mm: Spot
) -> tuple[Drawing, ...]:
    """Draw every run as a flat strip, all to one scale, on as many drawings as it takes."""
    flats = _flats(design, catalogue, answer)
    room_mm = frame_mm[0] - 2.0 * MARGIN_MM
    scale = _scale(max(one.answer.cut_length_m for one in flats), design.system, room_mm)
    sheet = _Sheet(design, scale, room_mm)
    head = wrap(f"{answer.piece}: the strips", LARGE_MM, room_mm - 20.0, bold=True)
    room_high = frame_mm[1] - 2.0 * MARGIN_MM - len(head) * LARGE_MM * 1.3 - SCALE_MM
    groups = _shared_out(sheet, flats, room_high)
    return tuple(
        _draw(sheet, group, answer.piece, f" {n} of {len(groups)}" if len(groups) > 1 else "")
        for n, group in enumerate(groups, start=1)
    )


def _flats(design: Design, catalogue: Catalogue, answer: Answer) -> tuple[_Flat, ...]:
    answers = {one.run: one for one in answer.runs}
    laid = {one.run.name: one for one in laid_runs(design, answer)} if design.space.blocks else {}
    return tuple(
        _Flat(
            number,
            run,
            answers[run.name],
            laid.get(run.name),
            catalogue.strips[run.strip].cut_unit_m,
        )
        for number, run in enumerate(design.runs, start=1)
    )


def _scale(longest_m: float, system: str, room_mm: float) -> DrawingScale:
    """Return the largest standard scale at which the longest strip fits on paper."""
    scales = drawing_scales(system)
    for scale in scales:
        if longest_m * 1000.0 / scale.reduction + BESIDE_STRIP_MM <= room_mm:
            return scale
    return scales[-1]


def _shared_out(sheet: _Sheet, flats: Sequence[_Flat], high_mm: float) -> list[list[_Flat]]:
    """Put strips on sheets one after the other, a new sheet when one is full."""
    groups: list[list[_Flat]] = [[]]
    left_mm = high_mm
    for flat in flats:
        needed = _strip(Paper(), sheet, flat, ABOVE_STRIP_MM)
        if groups[-1] and needed > left_mm:
            groups.append([])
            left_mm = high_mm
        groups[-1].append(flat)
        left_mm -= needed
    return groups


def _draw(sheet: _Sheet, flats: Sequence[_Flat], piece: str, which: str) -> Drawing:
    paper = Paper()
    title = f"{piece}: the strips{which}"
    y = heading(paper, (0.0, 0.0), wrap(title, LARGE_MM, sheet.room_mm, bold=True), LARGE_MM)
    for flat in flats:
        y = _strip(paper, sheet, flat, y + ABOVE_STRIP_MM)
    bar = scale_bar(paper, (2.0, y + 2.0), sheet.scale, sheet.design.system)
    words = f"Scale {sheet.scale.words} along the strip; its width is not to scale."
    lines = wrap(words, SMALL_MM, max(sheet.room_mm - bar.right - 5.0, 20.0))
    paper.lines((bar.right + 5.0, y + 1.5), lines, SMALL_MM)
    return paper.drawing(
        title,
        f"Each strip of {piece} laid flat, at {sheet.scale.words}.",
        reduction=sheet.scale.reduction,
        scale=f"1:{sheet.scale.reduction}",
    )


def _strip(paper: Paper, sheet: _Sheet, flat: _Flat, top: float) -> float:
    """Draw one run below a height; return where the next may begin."""
    with paper.group("flat-strip", run=flat.run.name, number=str(flat.number)):
        radius = tag_radius_mm(str(flat.number))
        tag(paper, (radius + 0.3, top + radius), str(flat.number))
        left = 2.0 * radius + 2.0
        lines = wrap(flat.run.name, NORMAL_MM, sheet.room_mm - left, bold=True)
        y = heading(paper, (left, top + 0.6), lines)
        for sentence in _sentences(sheet, flat):
            y = paper.lines((0.0, y + 0.4), wrap(sentence, SMALL_MM, sheet.room_mm), SMALL_MM)
        y = _to_scale(paper, sheet, flat, y + 2.0)
        feeds = wrap(_feeds_sentence(sheet, flat.answer), SMALL_MM, sheet.room_mm)
        return paper.lines((0.0, y + 1.5), feeds, SMALL_MM) + BETWEEN_MM


def _sentences(sheet: _Sheet, flat: _Flat) -> list[str]:
    answer, words = flat.answer, sheet.words
    units = f"{answer.cut_units_count} cut unit{'' if answer.cut_units_count == 1 else 's'}"
    cut, asked = words(answer.cut_length_m), words(answer.asked_length_m)
    unit = measure(flat.cut_unit_m, "metric")
    if sheet.design.system == "inch":
        # Sixteenths of a cut unit would add up to another run, so its millimetres stand there too.
        unit = f"about {words(flat.cut_unit_m)} ({unit})"
    sentences = [
        f"{answer.strip}: {units} of {unit}, cut to {cut}"
        + (", as asked." if cut == asked else f" of the {asked} asked.")
    ]
    if flat.laid is not None:
        x, y, z = flat.laid.sides[0].start_m
        sentences.append(
            f"Starts {words(x)} from the left, {words(y)} from the front, {words(z)} above the "
            f"floor, as counted in the design; LEDs {LOOKING[flat.laid.mount.faces]}."
        )
    if len(flat.run.mounts) > 1:
        sentences.append(
            f"Drawn here: {mount_words(flat.run, 0)}. Compared with it, to build instead and not "
            f"as well: {others_words(flat.run)}."
        )
    if flat.run.where:
        sentences.append(f"Where: {flat.run.where}.")
    every = _every(sheet, flat)
    if every > 1:
        sentences.append(f"Every {every}th cut mark is drawn." if every > 2 else "Every other cut "
                         "mark is drawn.")  # fmt: skip
    turns = [words(turn) for turn in flat.laid.turns_m] if flat.laid else []
    if turns:
        sentences.append(f"It turns a corner at {', '.join(turns)} (dotted).")
    return sentences


def _every(sheet: _Sheet, flat: _Flat) -> int:
    apart = flat.cut_unit_m * sheet.mm_per_m
    return next(n for n in EVERY if n * apart >= NEAREST_MARKS_MM or n == EVERY[-1])


def _to_scale(paper: Paper, sheet: _Sheet, flat: _Flat, top: float) -> float:
    """Draw the strip with its marks, feeds and lengths."""
    answer, mm_per_m = flat.answer, sheet.mm_per_m
    left, bottom = 1.2, top + STRIP_HIGH_MM
    right = left + answer.cut_length_m * mm_per_m
    paper.box(Box(left, top, right, bottom), MEDIUM_MM, class_="strip-outline")
    every = _every(sheet, flat)
    for mark in range(every, answer.cut_units_count, every):
        x = left + mark * flat.cut_unit_m * mm_per_m
        paper.line(((x, top), (x, bottom)), THIN_MM, class_="cut-mark")
    for turn_m in flat.laid.turns_m if flat.laid else ():
        x = left + turn_m * mm_per_m
        ends = ((x, top - 1.4), (x, bottom + 1.4))
        paper.line(ends, MEDIUM_MM, class_="turn", dashes="0.1 0.8", round_ends=True)
    for feed, letter in zip(answer.feeds, letters(len(answer.feeds)), strict=True):
        with paper.group("feed", lead=feed.lead):
            feed_mark(paper, (left + feed.at_m * mm_per_m, bottom), False, letter)
    drawn = lanes(_lengths(answer), mm_per_m, sheet.design.system)
    below = bottom + FEEDS_MM
    Ruler(paper, below, left, mm_per_m, upright=False, system=sheet.design.system).draw(drawn)
    return below + depth_mm(len(drawn))


def _lengths(answer: RunAnswer) -> list[Length]:
    inside = [feed for feed in answer.feeds if is_between(feed, answer)]
    return [
        Length(0.0, answer.cut_length_m, answer.run),
        *(Length(0.0, feed.at_m, feed.lead) for feed in inside),
    ]


def _feeds_sentence(sheet: _Sheet, answer: RunAnswer) -> str:
    listed = [
        f"{letter}: {feed.lead}, {place_words(feed, answer, sheet.design.system)}"
        for feed, letter in zip(answer.feeds, letters(len(answer.feeds)), strict=True)
    ]
    return f"Fed at {'; '.join(listed)}."

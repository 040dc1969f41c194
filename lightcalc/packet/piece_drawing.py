"""A piece in plan and two elevations, to scale, with its light and its dimensions.

::

    title
            Front                 From the left       first angle; in third angle the plan is on
    lanes   +-------------+       +-----+             top and the other view is from the right
            +-------------+       +-----+
            From above
    lanes   +-------------+
            +-------------+
               lanes
    |----| scale   symbols   key to the numbers   notes
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from lightcalc.answers.results import Answer
from lightcalc.design.piece import Design, Supply
from lightcalc.design.space import Place
from lightcalc.packet.dimensions import Length, Ruler, depth_mm, distinct, lanes, measure, reach_mm
from lightcalc.packet.drawing import Drawing
from lightcalc.packet.laid import Laid, extent, laid_runs, mount_words
from lightcalc.packet.lettering import LARGE_MM, NORMAL_MM, SMALL_MM, clip, width_mm, wrap
from lightcalc.packet.paper import MARGIN_MM, THICK_MM, Paper, Spot
from lightcalc.packet.piece_views import PackAt, Piece, PlacedView, SensorAt
from lightcalc.packet.sensors import about, placed_sensors
from lightcalc.packet.symbols import angle_symbol, heading, legend, scale_bar, tag
from lightcalc.packet.views import ABOVE, FRONT, LEFT, RIGHT, View
from lightcalc.parts.kinds import Catalogue
from lightcalc.tables.drawing_scales import DrawingScale, drawing_scales

VIEW_NAME_MM = 8.0
BETWEEN_MM = 6.0
SIDE_MM = 14.0
# More lanes than these would hide the piece; what is left out stands on the drawings of strips.
MOST_LANES = 8
# The widest column of the key, and what a tag and the gap to the next column take of it.
KEY_MM, KEY_TAG_MM = 56.0, 8.0
# The lengths of more wires than these stand on the wiring diagram alone.
MOST_WIRES = 16
FLOOR_M = 0.001
STRAIGHT_M = 1e-6
AXES = ("width", "depth", "height")
MADE_OF = {0: "from the left", 1: "from the front", 2: "from below"}


@dataclass(frozen=True)
class _Scene:
    """What is drawn, its ends, and what is measured along each axis from the piece's own edges."""

    design: Design
    answer: Answer
    piece: Piece
    low: Place
    high: Place
    lengths: tuple[tuple[Length, ...], ...]
    overall: tuple[Length, ...]

    @property
    def first_angle(self) -> bool:
        """Whether views are laid out as is usual with metric units."""
        return self.design.system == "metric"


def piece_drawing(design: Design, catalogue: Catalogue, answer: Answer, frame_mm: Spot) -> Drawing:
    """Draw a piece that has blocks, as large as a standard scale lets it be within a frame."""
    scene = _scene(design, catalogue, answer)
    scales = drawing_scales(design.system)
    for scale in scales:
        found = _draw(scene, scale, frame_mm)
        if found.width_mm <= frame_mm[0] and found.height_mm <= frame_mm[1]:
            return found
    return found


def _scene(design: Design, catalogue: Catalogue, answer: Answer) -> _Scene:
    runs = laid_runs(design, answer)
    packs = tuple(
        PackAt(supply.name, f"P{number}", supply.at_m, _feeds_of(supply.name, runs))
        for number, supply in enumerate(design.supplies, start=1)
        if supply.at_m is not None
    )
    sensors = placed_sensors(design, catalogue)
    piece = Piece(design.space.blocks, design.space.inlays, runs, packs, sensors)
    low, high = extent(piece.places())
    wood = [corner for block in piece.blocks for corner in (block.at_m, block.far_m)]
    wood_low, wood_high = extent(wood)
    overall = tuple(Length(wood_low[k], wood_high[k], AXES[k]) for k in range(3))
    lengths = tuple(_lengths(piece, axis, overall[axis]) for axis in range(3))
    return _Scene(design, answer, piece, low, high, lengths, overall)


def _lengths(piece: Piece, axis: int, overall: Length) -> tuple[Length, ...]:
    """Return what is measured along an axis, but what the overall size says already."""
    zero_m = overall.start_m
    found = [one for run in piece.runs for one in _run_lengths(run, axis, zero_m)]
    found += [
        Length(zero_m, pack.at_m[axis], f"{pack.supply} pack, {MADE_OF[axis]}")
        for pack in piece.packs
    ]
    found += [
        Length(zero_m, one.at_m[axis], f"{one.supply} {one.noun}, {MADE_OF[axis]}")
        for one in piece.sensors
    ]
    return tuple(one for one in found if len(distinct((overall, one))) != 1)


def _feeds_of(supply: str, runs: Sequence[Laid]) -> tuple[tuple[str, Place], ...]:
    return tuple(
        (feed.lead, place)
        for run in runs
        if run.run.supply == supply
        for feed, place in zip(run.answer.feeds, run.feeds, strict=True)
    )


def _run_lengths(laid: Laid, axis: int, zero_m: float) -> list[Length]:
    """Return where a run starts along an axis, and its sides and feeds that lie along it."""
    name = laid.run.name
    found = [Length(zero_m, laid.sides[0].start_m[axis], f"{name}, start {MADE_OF[axis]}")]
    from_m = 0.0
    for side in laid.sides:
        to_m = from_m + side.length_m
        if abs(abs(side.direction[axis]) - 1.0) < STRAIGHT_M:
            found.append(Length(side.start_m[axis], side.end_m[axis], name))
            inside = [feed for feed in laid.answer.feeds if from_m < feed.at_m < to_m - 1e-6]
            found += [
                Length(side.start_m[axis], side.at(feed.at_m - from_m)[axis], feed.lead)
                for feed in inside
            ]
        from_m = to_m
    return found


@dataclass(frozen=True)
class _Room:
    """How the views lie on paper: their corners, and the lanes of each axis."""

    lanes: tuple[tuple[tuple[Length, ...], ...], ...]
    front: Spot
    above: Spot
    side: Spot
    below_mm: float
    dropped: bool


def _draw(scene: _Scene, scale: DrawingScale, frame_mm: Spot) -> Drawing:
    paper = Paper()
    mm_per_m = 1000.0 / scale.reduction
    room_mm = frame_mm[0] - 2.0 * MARGIN_MM
    title = f"{scene.answer.piece}: plan and elevations"
    top = heading(paper, (0.0, 0.0), wrap(title, LARGE_MM, room_mm, bold=True), LARGE_MM)
    room = _room(scene, mm_per_m, top)
    placed = [
        _placed(paper, scene, FRONT, room.front, mm_per_m),
        _placed(paper, scene, ABOVE, room.above, mm_per_m),
        _placed(paper, scene, LEFT if scene.first_angle else RIGHT, room.side, mm_per_m),
    ]
    _floor(paper, scene, placed)
    _dimensions(paper, scene, room, placed)
    for view in placed:
        view.draw()
    _beside(paper, scene, scale, room, room_mm)
    description = f"Front, plan and side of {scene.answer.piece}, at {scale.words}."
    return paper.drawing(
        title, description, reduction=scale.reduction, scale=f"1:{scale.reduction}"
    )


def _room(scene: _Scene, mm_per_m: float, top: float) -> _Room:
    system = scene.design.system
    found = [lanes(scene.lengths[axis], mm_per_m, system) for axis in range(3)]
    drawn = tuple((*found[axis][:MOST_LANES], (scene.overall[axis],)) for axis in range(3))
    width, depth, height = ((b - a) * mm_per_m for a, b in zip(scene.low, scene.high, strict=True))
    # Lettering of the lanes on the left reaches a letter's height past the outermost line.
    left = max(depth_mm(len(drawn[1])), depth_mm(len(drawn[2]))) + SMALL_MM
    upper, lower = (height, depth) if scene.first_angle else (depth, height)
    # Letters beside a short length reach up past the view.
    past = [
        reach_mm(drawn[axis], mm_per_m, system) - scene.high[axis] * mm_per_m for axis in range(3)
    ]
    first_past, second_past = (past[2], past[1]) if scene.first_angle else (past[1], past[2])
    top += max(VIEW_NAME_MM, first_past + BETWEEN_MM)
    second = top + upper + BETWEEN_MM + max(VIEW_NAME_MM, second_past)
    front_top, above_top = (top, second) if scene.first_angle else (second, top)
    name_mm = width_mm(FRONT.words, NORMAL_MM, bold=True)
    side = (left + max(width, name_mm) + SIDE_MM, front_top)
    below = second + lower + depth_mm(len(drawn[0]))
    dropped = any(len(one) > MOST_LANES for one in found)
    return _Room(drawn, (left, front_top), (left, above_top), side, below, dropped)


def _placed(paper: Paper, scene: _Scene, view: View, corner: Spot, mm_per_m: float) -> PlacedView:
    one, other = view.flat(scene.low), view.flat(scene.high)
    low = (min(one[0], other[0]), min(one[1], other[1]))
    high = (max(one[0], other[0]), max(one[1], other[1]))
    return PlacedView(paper, view, scene.piece, corner, low, high, mm_per_m)


def _floor(paper: Paper, scene: _Scene, placed: Sequence[PlacedView]) -> None:
    if abs(scene.overall[2].start_m) > FLOOR_M:
        return
    for view in (placed[0], placed[2]):
        _, y = view.spot((0.0, 0.0))
        ends = ((view.box.left - 3.0, y), (view.box.right + 3.0, y))
        paper.line(ends, THICK_MM, class_="floor")


def _dimensions(paper: Paper, scene: _Scene, room: _Room, placed: Sequence[PlacedView]) -> None:
    front, above, _ = placed
    lower = above if scene.first_angle else front
    system, mm_per_m = scene.design.system, front.mm_per_m
    level = Ruler(
        paper, lower.box.bottom, lower.spot((0.0, 0.0))[0], mm_per_m, upright=False, system=system
    )
    level.draw(room.lanes[0])
    for view, axis in ((above, 1), (front, 2)):
        zero = view.spot((0.0, 0.0))[1]
        Ruler(paper, view.box.left, zero, -mm_per_m, upright=True, system=system).draw(
            room.lanes[axis]
        )


def _beside(paper: Paper, scene: _Scene, scale: DrawingScale, room: _Room, room_mm: float) -> None:
    """Draw what explains the views: scale, symbols, the key to the numbers, and notes."""
    y = room.below_mm + 5.0
    bar = scale_bar(paper, (2.0, y), scale, scene.design.system)
    words = paper.text((bar.right + 5.0, y + 1.8), f"Scale {scale.words}", SMALL_MM, bold=True)
    x = words.right + 8.0
    if x + 50.0 > room_mm:
        x, y = 1.0, bar.bottom + 2.0
    angle = angle_symbol(paper, (x, y + 1.0), scene.first_angle)
    y = legend(paper, (0.0, max(bar.bottom, angle.bottom) + 3.0), _symbols(scene), room_mm)
    y = _key(paper, scene, y + 1.5, room_mm)
    for note in _notes(scene, room.dropped):
        y = paper.lines((0.0, y + 1.0), wrap(note, SMALL_MM, room_mm), SMALL_MM)


def _symbols(scene: _Scene) -> list[str]:
    names = ["hidden", *(["inlay"] if scene.piece.inlays else [])]
    if scene.piece.runs:
        names += ["strip", "strip hidden", "end on", "feed"]
    names += dict.fromkeys(one.noun for one in scene.piece.sensors)
    return [*names, "wire"] if scene.piece.packs else names


def _key(paper: Paper, scene: _Scene, top: float, room_mm: float) -> float:
    """Say what each number stands for, in as many columns as there is room for."""
    entries = [(str(run.number), run.run.name) for run in scene.piece.runs]
    entries += [
        (pack.tag, f"{pack.supply} ({scene.design.supply(pack.supply).pack})")
        for pack in scene.piece.packs
    ]
    entries += [
        (one.tag, f"{one.noun} of {scene.design.supply(one.supply).controller}")
        for one in scene.piece.sensors
    ]
    if not entries:
        return top
    widest_mm = max(width_mm(name, SMALL_MM) for _, name in entries) + KEY_TAG_MM
    column_mm = min(widest_mm, KEY_MM)
    columns = max(int(room_mm // column_mm), 1)
    rows = -(-len(entries) // columns)
    for place, (mark, name) in enumerate(entries):
        x, y = (place // rows) * column_mm + 2.6, top + (place % rows) * 5.2 + 2.4
        tag(paper, (x, y), mark)
        paper.text((x + 3.6, y + 0.9), clip(name, SMALL_MM, column_mm - KEY_TAG_MM), SMALL_MM)
    return top + rows * 5.2


def _notes(scene: _Scene, dropped: bool) -> list[str]:
    """Say what the drawing cannot show."""
    notes = []
    system, bottom_m = scene.design.system, scene.overall[2].start_m
    if abs(bottom_m) > FLOOR_M:
        notes.append(f"Heights count from the underside, {measure(bottom_m, system)} up.")
    if dropped:
        notes.append("Further dimensions of runs stand on the drawings of the strips.")
    if scene.piece.inlays:
        listed = ", ".join(f"{one.name} ({one.sheet})" for one in scene.piece.inlays)
        notes.append(f"Let in: {listed}.")
    several = [one.run for one in scene.piece.runs if len(one.run.mounts) > 1]
    if several:
        drawn = "; ".join(f"{run.name} {mount_words(run, 0)}" for run in several)
        notes.append(f"Of the mounts that the design compares, drawn here: {drawn}.")
    nowhere = [run.name for run in scene.design.runs if not run.mounts]
    if nowhere:
        notes.append(f"The design does not say where these lie: {', '.join(nowhere)}.")
    placed = {one.supply: one for one in scene.piece.sensors}
    notes += [
        note for one in scene.design.supplies if (note := _parts_note(one, placed.get(one.name)))
    ]
    if scene.piece.packs:
        notes.append(f"Packs are not to scale. {_wire_words(scene)}{_sensor_words(scene)}")
    return notes


def _sensor_words(scene: _Scene) -> str:
    """Say about how far it is from packs to what works their controllers, as it is drawn."""
    listed = "; ".join(
        f"{one.supply} {one.noun} about {about(one.wire_m, scene.design.system)}"
        for one in scene.piece.sensors
        if one.wired_from_m is not None
    )
    return f" From the pack as drawn, so measure first: {listed}." if listed else ""


def _wire_words(scene: _Scene) -> str:
    """Say how long the wires are that are drawn along one way of many."""
    placed = {pack.supply for pack in scene.piece.packs}
    wires = [wire for wire in scene.answer.wires if wire.supply in placed]
    if len(wires) > MOST_WIRES:
        return "Wires go any way that suits; the wiring diagram has the length of each lead."
    lengths = "; ".join(
        f"{wire.lead}: {measure(wire.length_m, scene.design.system)}" for wire in wires
    )
    return f"Wires go any way that suits, with these lengths: {lengths}."


def _parts_note(supply: Supply, sensor: SensorAt | None) -> str:
    """Name the parts of a supply that the drawing has no place for.

    An eye is let into wood on a cord of its own; an aerial or a knob is where its controller is.
    """
    controller = None if sensor and sensor.noun != "eye" else supply.controller
    parts = [supply.pack if supply.at_m is None else None, supply.converter, controller]
    listed = ", ".join(part for part in parts if part)
    if not listed:
        return ""
    return f"{supply.name}: the design gives no place for {listed}; keep it within reach of a hand."

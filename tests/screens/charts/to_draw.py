"""Things to draw: the example designs answered, curves written by hand, and hostile names."""

import html
from dataclasses import replace
from functools import cache
from pathlib import Path

from lightcalc.answers.answer import answer
from lightcalc.answers.curves.results import (
    DistanceCurve,
    EveningCurve,
    LevelCurve,
    PackSizeCurve,
    WireCurve,
)
from lightcalc.answers.finder.find import find
from lightcalc.answers.look.look import look
from lightcalc.answers.words import Shower
from lightcalc.design.find import Find
from lightcalc.design.read import read_design
from lightcalc.screens.charts import (
    balance_chart,
    distance_chart,
    evening_chart,
    floor_map,
    frontier_chart,
    level_chart,
    light_along_runs,
    pack_size_chart,
    volts_along_runs,
    wall_map,
    wire_chart,
)

EXAMPLES = Path(__file__).parents[3] / "catalog_examples"
METRIC, INCH = Shower("metric"), Shower("inch")
HOSTILE = ("<b>x</b>", "$\\alpha$", "<br>", "%{y}", "&amp;", "{a}", "=1+1", "\x1b[31m\n")

EVENING = EveningCurve(
    supply="box",
    time_h=(0.0, 2.0, 2.0, 3.0, 3.0, 4.5),
    level_ratio=(0.6, 0.6, 1.0, 1.0, 0.6, 0.6),
    light_ratio=(0.6, 0.59, 0.98, 0.97, 0.58, 0.5),
    pack_v=(16.4, 15.5, 15.2, 14.8, 15.0, 12.5),
    pack_a=(0.5, 0.52, 0.9, 0.95, 0.6, 0.7),
    evening_ends_h=(3.0,),
    cutoff_v=12.0,
)
LEVELS = LevelCurve(
    supply="box",
    level_ratio=(0.05, 0.2, 0.6, 1.0),
    hours_h=(100.0, 30.0, 11.0, 7.0),
    hours_low_h=(80.0, 26.0, 9.5, 6.0),
    hours_high_h=(120.0, 34.0, 13.0, 8.0),
    stays_on=(True,) * 4,
    mix=(),
    levels_used_ratio=(0.6, 1.0),
    asked_h=6.0,
)
PACKS = tuple(
    PackSizeCurve(
        build=name,
        capacity_ah=(1.7, 3.4, 6.8, 13.6),
        hours_h=tuple(times * hours for hours in (1.9, 4.0, 8.0, 16.5)),
        named_capacity_ah=6.8,
        named_hours_h=times * 8.0,
        asked_h=6.0,
    )
    for name, times in (("one shared pack", 1.0), ("two packs", 2.0), ("twice the cells", 2.1))
)
WIRES = WireCurve(
    run="front rail",
    sizes=("24 AWG", "22 AWG", "20 AWG", "0.75 mm2"),
    area_mm2=(0.205, 0.326, 0.518, 0.75),
    light_fall_ratio=(0.12, 0.07, 0.053, 0.046),
    dimmest_light_ratio=(0.85, 0.9, 0.92, 0.93),
    lead_drop_ratio=(0.02, 0.012, 0.008, 0.005),
    suits=(False, True, True, True),
    chosen_size="20 AWG",
    lead_sizes=("20 AWG",),
    asked_fall_ratio=0.1,
    asked_drop_ratio=0.03,
)
DOTS = DistanceCurve(
    run="front rail",
    surface="the floor",
    distance_m=(0.005, 0.01, 0.02, 0.04, 0.4),
    contrast_ratio=(0.9, 0.3, 0.02, 0.0001, 0.0),
    threshold_ratio=(0.008, 0.008, 0.009, 0.01, 0.02),
    verdicts=("plain", "plain", "faint", "hidden", "hidden"),
    drawn_distance_m=0.4,
    drawn_contrast_ratio=0.0,
    hiding_distance_m=0.025,
)


@cache
def answered(name="hall-bench"):
    return answer(*read_design(EXAMPLES / f"{name}.toml"))


@cache
def searched():
    """A short search of the demo, for its chart."""
    design, catalogue = read_design(EXAMPLES / "hall-bench.toml")
    return find(replace(design, find=Find(open=("converter", "packs"))), catalogue).search


@cache
def looked():
    return look(*read_design(EXAMPLES / "hall-bench.toml"))


def every_chart(show=METRIC):
    """Yield one chart of each kind."""
    yield from charts_of(answered(), looked(), (EVENING, LEVELS, PACKS, WIRES, DOTS), show)


def charts_of(found, looked_at, curves, show=METRIC, search=None):
    evening, levels, packs, wires, dots = curves
    yield volts_along_runs(found.runs, show)
    yield light_along_runs(found.runs, 0.1, show)
    yield evening_chart(evening, show)
    yield level_chart(levels, show)
    yield pack_size_chart(packs, show)
    yield wire_chart(wires, show)
    yield distance_chart(dots, show)
    yield balance_chart(found.supplies[0], show)
    yield floor_map(looked_at, show)
    yield wall_map(looked_at, show)
    yield frontier_chart(search or searched(), show)


def named(name):
    """Yield every chart with the name in each place where a file has one."""
    found, seen = answered(), looked()
    scene = seen.scene
    boxes = {box.name: f"{name} {number}" for number, box in enumerate(scene.boxes)}
    renamed = replace(
        scene,
        boxes=tuple(replace(box, name=boxes[box.name]) for box in scene.boxes),
        rows=tuple(replace(row, name=name) for row in scene.rows),
        inserts=tuple(replace(i, name=name, host=boxes[i.host]) for i in scene.inserts),
    )
    yield from charts_of(
        replace(
            found,
            runs=tuple(replace(run, run=name) for run in found.runs),
            supplies=tuple(replace(supply, supply=name) for supply in found.supplies),
        ),
        replace(seen, scene=renamed),
        (
            replace(EVENING, supply=name),
            replace(LEVELS, supply=name, mix=((name, 0.5),)),
            [replace(curve, build=name) for curve in PACKS],
            replace(WIRES, run=name, sizes=(name, *WIRES.sizes[1:]), lead_sizes=(name, "20 AWG")),
            replace(DOTS, run=name, surface=name, verdicts=("plain",) * 5),
        ),
    )


def trace(chart, name):
    """Return the one trace of the first panel whose name has this in it."""
    left = [one for one in chart.figure.data if one.xaxis != "x2"]
    (found,) = [one for one in left if name in (one.name or "")]
    return found


def texts(value):
    """Yield every text of a figure, its template left out: that is Plotly's own."""
    if isinstance(value, str):
        yield value
    elif isinstance(value, dict):
        for key, inner in value.items():
            if key != "template":
                yield from texts(inner)
    elif isinstance(value, list | tuple):
        for inner in value:
            yield from texts(inner)


def as_drawn(text):
    """Return the lines of a text as Plotly draws them: tags for breaks, then entities."""
    return [html.unescape(line) for line in text.split("<br>")]

"""Pieces in space to draw: the demo, and any that hypothesis makes."""

import tomllib
from dataclasses import replace
from functools import cache
from pathlib import Path

from designs import design, feed, parts, run, supply
from hypothesis import strategies as st

from lightcalc.answers.answer import answer
from lightcalc.design.read import read_design
from lightcalc.design.space import FACINGS, Block, Inlay, Mount, Space

EXAMPLES = Path(__file__).parents[2] / "catalog_examples"
STRIP = "strip-12v-60-warm"
UNIT_M = 0.05
CONTROLLERS = ("receiver-infrared-1ch", "receiver-radio-1ch", "dimmer-touch-1ch")


@cache
def example(name):
    """Return a design of the examples, the catalogue, and its answer."""
    made, catalogue = read_design(EXAMPLES / f"{name}.toml")
    return made, catalogue, answer(made, catalogue)


class Drawable(tuple):
    """A design, the catalogue and the answer, told in few words when a test fails on it."""

    def __repr__(self):
        made, _, _ = self
        runs = [(run.length_m, run.mounts, run.feeds) for run in made.runs]
        return f"{made.system} {made.space} {runs} {made.supplies}"


def answered(made):
    return Drawable((made, parts(), answer(made, parts())))


def demo(**changes):
    """Return the demo, changed, with its answer."""
    made, catalogue, _ = example("hall-bench")
    made = replace(made, **changes)
    return made, catalogue, answer(made, catalogue)


def with_eye(sensor_at_m=(0.72, 0.05, 0.36), controller=CONTROLLERS[0], **changes):
    """Return the demo with an infrared eye in its front rail, and its answer."""
    made, _, _ = example("hall-bench")
    box = replace(made.supplies[0], controller=controller, sensor_at_m=sensor_at_m, **changes)
    return demo(supplies=(box,))


def toml(name):
    return tomllib.loads((EXAMPLES / f"{name}.toml").read_text(encoding="utf-8"))


millimetres = st.integers(-300, 2500).map(lambda mm: mm / 1000.0)
sizes = st.integers(5, 1500).map(lambda mm: mm / 1000.0)


@st.composite
def blocks(draw):
    """Draw one to five blocks, anywhere, on or above the floor."""
    return tuple(
        Block(
            f"block {number}",
            (draw(millimetres), draw(millimetres), abs(draw(millimetres))),
            (draw(sizes), draw(sizes), draw(sizes)),
            "oak",
        )
        for number in range(draw(st.integers(1, 5)))
    )


@st.composite
def paths(draw, length_m):
    """Draw a line of one to three straight sides that is as long as a run, each along an axis."""
    count = draw(st.integers(1, 3))
    place = [draw(millimetres), draw(millimetres), abs(draw(millimetres)) + 2.0]
    path, left_m = [tuple(place)], length_m
    axis = draw(st.integers(0, 2))
    for number in range(count):
        side_m = left_m if number == count - 1 else left_m * 0.5
        place[axis] += draw(st.sampled_from([-1, 1])) * side_m
        path.append(tuple(place))
        left_m -= side_m
        axis = (axis + draw(st.sampled_from([1, 2]))) % 3
    return tuple(path)


@st.composite
def pieces(draw):
    """Draw a piece with blocks, an inlay, and up to three runs; checks of the file do not apply."""
    made = draw(blocks())
    runs = []
    for number in range(draw(st.integers(0, 3))):
        units = draw(st.integers(1, 30))
        pads = draw(st.lists(st.integers(0, units), min_size=1, max_size=3, unique=True))
        faces = draw(st.sampled_from(sorted(FACINGS)))
        mount = Mount("as drawn", draw(paths(units * UNIT_M)), faces)
        feeds = tuple(
            feed(pad * UNIT_M, 0.5, name=f"run {number} lead {place}")
            for place, pad in enumerate(pads)
        )
        one = run(STRIP, units * UNIT_M, name=f"run {number}", mounts=(mount,), feeds=feeds)
        runs.append(one)
    if not runs:
        runs = [run(STRIP, 0.5, name="run 0")]
    box = supply()
    if draw(st.booleans()):
        box = replace(box, at_m=(draw(millimetres), draw(millimetres), abs(draw(millimetres))))
    if draw(st.booleans()):
        controller = draw(st.sampled_from(CONTROLLERS))
        sensor_at_m = (draw(millimetres), draw(millimetres), abs(draw(millimetres)))
        box = replace(box, controller=controller, sensor_at_m=sensor_at_m)
    drawn = replace(
        design(*runs, supplies=(box,)),
        space=Space(made, draw(inlays(made))),
        system=draw(st.sampled_from(["metric", "inch"])),
    )
    return answered(drawn)


@st.composite
def inlays(draw, made):
    """Draw an inlay within the first block, if that is thinnest one way, or none."""
    host = made[0]
    if len(host.thin_axes) > 1 or draw(st.booleans()):
        return ()
    across = [axis for axis in range(3) if axis != host.thin_axes[0]]
    corner = tuple(host.at_m[axis] + 0.2 * host.size_m[axis] for axis in across)
    size = tuple(0.5 * host.size_m[axis] for axis in across)
    outline = (
        corner,
        (corner[0] + size[0], corner[1]),
        (corner[0] + size[0], corner[1] + 0.8 * size[1]),
        (corner[0] + 0.3 * size[0], corner[1] + size[1]),
    )
    return (Inlay("inlay", host.name, outline, "resin-clear-10"),)

"""A run where it lies in the piece: its line after cutting, and the places of its feeds."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from lightcalc.answers.results import Answer, RunAnswer
from lightcalc.design.piece import Design, Run
from lightcalc.design.space import Mount, Place, Side


@dataclass(frozen=True)
class Laid:
    """A run with its number on the drawings; `sides` are its straight parts after cutting."""

    number: int
    run: Run
    answer: RunAnswer
    mount: Mount
    sides: tuple[Side, ...]

    @property
    def corners(self) -> tuple[Place, ...]:
        """Where it starts, turns and ends."""
        return (self.sides[0].start_m, *(side.end_m for side in self.sides))

    @property
    def feeds(self) -> tuple[Place, ...]:
        """Where its leads are soldered, in the order of the design."""
        return tuple(self.place(feed.at_m) for feed in self.answer.feeds)

    @property
    def turns_m(self) -> tuple[float, ...]:
        """How far from its start it turns."""
        turns, along_m = [], 0.0
        for side in self.sides[:-1]:
            along_m += side.length_m
            turns.append(along_m)
        return tuple(turns)

    def place(self, along_m: float) -> Place:
        """Return the place that far from its start."""
        return replace(self.mount, path_m=self.corners).at(along_m)


# Which way LEDs look, after "LEDs".
LOOKING = {"up": "up", "down": "down"} | {
    side: f"to the {side}" for side in ("front", "back", "left", "right")
}


def mount_words(run: Run, number: int) -> str:
    """Say which of a run's mounts one is, and which way its LEDs look there."""
    mount = run.mounts[number]
    return f"{mount.name}, LEDs {LOOKING[mount.faces]}"


def others_words(run: Run) -> str:
    """Name the mounts of a run that are not drawn, each instead of the one that is."""
    return "; ".join(mount_words(run, number) for number in range(1, len(run.mounts)))


def laid_runs(design: Design, answer: Answer) -> tuple[Laid, ...]:
    """Return every run whose place is known, on the first of its mounts."""
    answers = {one.run: one for one in answer.runs}
    found = []
    for number, run in enumerate(design.runs, start=1):
        if run.mounts and (sides := cut_sides(run.mounts[0], answers[run.name].cut_length_m)):
            found.append(Laid(number, run, answers[run.name], run.mounts[0], sides))
    return tuple(found)


def cut_sides(mount: Mount, length_m: float) -> tuple[Side, ...]:
    """Return the straight parts of a line, cut to a length.

    The last goes on straight where the line as measured is a little too short.
    """
    sides: list[Side] = []
    straights = mount.sides()
    for number, side in enumerate(straights):
        last = number == len(straights) - 1
        if length_m <= side.length_m or last:
            sides.append(Side(side.start_m, _beyond(side, length_m)))
            break
        sides.append(side)
        length_m -= side.length_m
    return tuple(sides)


def _beyond(side: Side, along_m: float) -> Place:
    x, y, z = (a + along_m * d for a, d in zip(side.start_m, side.direction, strict=True))
    return (x, y, z)


def extent(places: Sequence[Place]) -> tuple[Place, Place]:
    """Return the corners left, front, down and right, back, up of all of the places."""
    columns = list(zip(*places, strict=True))
    low = (min(columns[0]), min(columns[1]), min(columns[2]))
    high = (max(columns[0]), max(columns[1]), max(columns[2]))
    return low, high

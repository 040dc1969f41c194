"""Runs cut into sections at their feeds, and the feeds that each lead carries the current of.

A section is a stretch of units from a feed outward, to the next feed or to the dead end::

         feed a                             feed b            dead end
           |                                  |                   |
    -------+--r/2--o--r--o--r--o--r--o--r/2---+--r/2--o--r--o-----
           |<--------- section ------------->|<--- section ---->|

None of it depends on a number of the network, so that networks wired alike share it.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from functools import lru_cache
from itertools import pairwise

import numpy as np

from lightcalc.physics.circuit.elimination import (
    Indices,
    Order,
    Places,
    elimination_order,
)
from lightcalc.physics.circuit.network import SUPPLY, Network
from lightcalc.physics.circuit.strip import Array

Ends = tuple[tuple[int, int | None, int | None], ...]
"""Of each lead the one it branches from, and the run and the pad where it ends."""


@dataclass(frozen=True)
class Section:
    """Units of one run in order from the near feed outward; feeds by their place in `feeds`."""

    run: int
    units: tuple[int, ...]
    near: int
    far: int | None


@dataclass(frozen=True, eq=False)
class Layout:
    """The sections of a network, run after run.

    stretches, runs: where the units of each section, and of each run, lie among all units.
    own: the sections of each run. soldered: where the units of a run are, in the order they are
    soldered in. near, far: feeds of each section; two_ended: the sections between two feeds.
    carries (leads, feeds): 1 where a lead carries the current of a feed. loops (two_ended, feeds):
    direction of a current that goes round from near to far feed.
    """

    sections: tuple[Section, ...]
    order: Order
    stretches: tuple[slice, ...]
    runs: tuple[slice, ...]
    own: tuple[Indices, ...]
    soldered: tuple[Places, ...]
    near: Indices
    far: Indices
    two_ended: Indices
    carries: Array
    loops: Array


def layout_of(network: Network) -> Layout:
    """Cut every run of a network at its feeds."""
    units = tuple([run.units for run in network.runs])
    return _lay_out(units, tuple([(lead.parent, lead.run, lead.pad) for lead in network.leads]))


@lru_cache(maxsize=256)
def _lay_out(units: tuple[int, ...], ends: Ends) -> Layout:
    sections = _cut(units, ends)
    own = tuple(
        np.flatnonzero([section.run == number for section in sections])
        for number in range(len(units))
    )
    feeds = sum(run is not None for _, run, _ in ends)
    return Layout(
        sections,
        elimination_order(tuple(len(section.units) for section in sections)),
        _one_after_another([len(section.units) for section in sections]),
        _one_after_another(units),
        own,
        tuple(_soldered([sections[s] for s in some]) for some in own),
        np.array([section.near for section in sections], dtype=np.intp),
        np.array([section.far or 0 for section in sections], dtype=np.intp),
        np.flatnonzero([section.far is not None for section in sections]),
        _carried_feeds(ends),
        _loops(sections, feeds),
    )


def _cut(units: tuple[int, ...], ends: Ends) -> tuple[Section, ...]:
    fed = [(run, pad) for _, run, pad in ends if run is not None]
    sections = []
    for number, count in enumerate(units):
        feeds = sorted(
            (pad, place)
            for place, (run, pad) in enumerate(fed)
            if run == number and pad is not None
        )
        (pad, place), (last_pad, last_place) = feeds[0], feeds[-1]
        if pad > 0:
            sections.append(Section(number, tuple(range(pad - 1, -1, -1)), place, None))
        for (start, near), (stop, far) in pairwise(feeds):
            sections.append(Section(number, tuple(range(start, stop)), near, far))
        if last_pad < count:
            sections.append(Section(number, tuple(range(last_pad, count)), last_place, None))
    return tuple(sections)


def _one_after_another(counts: Sequence[int]) -> tuple[slice, ...]:
    stops = np.cumsum([0, *counts]).tolist()
    return tuple(slice(*pair) for pair in pairwise(stops))


def _soldered(sections: Sequence[Section]) -> Places:
    order = np.argsort(np.concatenate([section.units for section in sections]))
    return slice(None) if np.all(np.diff(order) == 1) else order


def _carried_feeds(ends: Ends) -> Array:
    feeds = [k for k, (_, run, _) in enumerate(ends) if run is not None]
    carries = np.zeros((len(ends), len(feeds)))
    for place, feed in enumerate(feeds):
        lead = feed
        while lead != SUPPLY:
            carries[lead, place] = 1.0
            lead = ends[lead][0]
    return carries


def _loops(sections: Sequence[Section], feeds: int) -> Array:
    rows = []
    for section in sections:
        if section.far is not None:
            row = np.zeros(feeds)
            row[section.near], row[section.far] = 1.0, -1.0
            rows.append(row)
    return np.array(rows).reshape(-1, feeds)

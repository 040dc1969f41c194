"""Which run is cut from which reel: whole cut units, no joint within a run.

::

    reel 1  |== front rail, 28 ==|== back rail, 28 ==|== shelf, 40 ==|....|   what is left is an
    reel 2  |== side, 33 ==|..............................................|   offcut

The fewest reels come first; among those, one offcut as long as can be, for one long piece of
strip is of use again and several short ones are not.

Where a first cutting meets the bounds below, or the choices are few enough to look at all of them,
the plan is proved to be the best. All choices means one entry for each collection of runs already
cut, in whatever order, with the fewest reels begun and the least cut from the last of them; runs
of one length are alike. Twenty runs of twenty lengths are 2^20 collections, half a second; a branch
and bound takes as little for most, but its worst cases have no such limit.
"""

from __future__ import annotations

import math
from collections import Counter
from collections.abc import Sequence
from dataclasses import dataclass

import numpy as np
from numpy.typing import NDArray

Counts = NDArray[np.int64]
# Collections of runs that are looked at one and all: those of twenty runs of twenty lengths.
MOST_STATES = 2**20
_FILL_BITS = 32


@dataclass(frozen=True)
class ReelPlan:
    """A cutting plan. `reels` holds, for each reel, the numbers of its runs from 0, longest first.

    `too_long` are the runs that no reel holds; they are in no reel. `left_units` is what is left
    of each reel. When not `proved`, fewer reels or a longer offcut may be possible:
    `least_reels_count` are needed at any rate.
    """

    reels: tuple[tuple[int, ...], ...]
    left_units: tuple[int, ...]
    too_long: tuple[int, ...]
    least_reels_count: int
    proved: bool

    @property
    def longest_left_units(self) -> int:
        """The longest offcut; 0 where nothing is cut."""
        return max(self.left_units, default=0)


def plan_reels(
    run_units: Sequence[int], reel_units: int, most_states: int = MOST_STATES
) -> ReelPlan:
    """Cut runs of whole cut units from reels of `reel_units`.

    ValueError for a run or reel of less than one unit.

    >>> plan = plan_reels([60, 50, 40, 30], 100)
    >>> plan.reels, plan.left_units, plan.proved
    (((0, 2), (1, 3)), (0, 20), True)
    >>> plan_reels([120, 40], 100).too_long
    (0,)
    """
    if reel_units < 1 or any(units < 1 for units in run_units):
        raise ValueError("runs and reels are at least one cut unit long")
    fitting = [number for number, units in enumerate(run_units) if units <= reel_units]
    too_long = tuple(number for number, units in enumerate(run_units) if units > reel_units)
    lengths = [run_units[number] for number in fitting]
    bins, least, proved = _pack(lengths, reel_units, most_states)
    reels = [
        tuple(sorted((fitting[k] for k in one), key=lambda n: (-run_units[n], n))) for one in bins
    ]
    reels.sort(key=lambda one: (-sum(run_units[n] for n in one), one))
    left = tuple(reel_units - sum(run_units[n] for n in one) for one in reels)
    return ReelPlan(tuple(reels), left, too_long, least, proved)


def least_reels(lengths: Sequence[int], reel_units: int) -> int:
    """Return a number of reels that are needed at any rate: the bound L2 of Martello and Toth.

    Of runs longer than half a reel no two share one. For every k, those longer than a reel less k
    share theirs with none that are k or longer. (S. Martello and P. Toth, "Lower bounds and
    reduction procedures for the bin packing problem", Discrete Applied Mathematics 28, 1990.)

    >>> least_reels([51, 51, 51], 100), least_reels([50, 50, 50], 100)
    (3, 2)
    """
    most = math.ceil(sum(lengths) / reel_units)
    for k in {0, *(length for length in lengths if 2 * length <= reel_units)}:
        alone = sum(1 for one in lengths if one > reel_units - k)
        half = [one for one in lengths if reel_units / 2 < one <= reel_units - k]
        small = sum(one for one in lengths if k <= one <= reel_units / 2)
        beside = len(half) * reel_units - sum(half)
        more = max(math.ceil((small - beside) / reel_units), 0)
        most = max(most, alone + len(half) + more)
    return most


def least_in_last(lengths: Sequence[int], reel_units: int, reels_count: int) -> int:
    """Return what the reel with the longest offcut must give at least, of so many reels.

    The others give at most what sums of runs can reach, and what is left to it is such a sum too.

    >>> least_in_last([60, 50, 40, 30], 100, 2)
    80
    """
    sums = _sums(lengths)
    fullest = (sums & ((1 << (reel_units + 1)) - 1)).bit_length() - 1
    least = max(sum(lengths) - (reels_count - 1) * fullest, 0)
    above = sums >> least
    return least + (above & -above).bit_length() - 1


def _sums(lengths: Sequence[int]) -> int:
    """Return every sum of some of the lengths, as the bits of a number."""
    sums = 1
    for length in lengths:
        sums |= sums << length
    return sums


def _pack(
    lengths: Sequence[int], reel_units: int, most_states: int
) -> tuple[list[list[int]], int, bool]:
    """Return the runs of each reel, the fewest reels that are needed, and whether it is best."""
    if not lengths:
        return [], 0, True
    least = least_reels(lengths, reel_units)
    tried = (_best_fit(lengths, reel_units), _fullest_first(lengths, reel_units))
    bins = min(tried, key=lambda one: _worth(one, lengths))
    count, last = _worth(bins, lengths)
    if count == least and last <= least_in_last(lengths, reel_units, count):
        return bins, least, True
    states = math.prod(times + 1 for times in Counter(lengths).values())
    if states > most_states:
        return bins, least, False
    bins = _of_all(lengths, reel_units)
    return bins, len(bins), True


def _worth(bins: list[list[int]], lengths: Sequence[int]) -> tuple[int, int]:
    """Return the number of reels and the least that is cut from one of them; less is better."""
    return len(bins), min(sum(lengths[k] for k in one) for one in bins)


def _best_fit(lengths: Sequence[int], reel_units: int) -> list[list[int]]:
    """Put each run, longest first, where the least is left."""
    bins: list[list[int]] = []
    left: list[int] = []
    for k in sorted(range(len(lengths)), key=lambda k: (-lengths[k], k)):
        room = [(left[b], b) for b in range(len(bins)) if left[b] >= lengths[k]]
        if room:
            _, b = min(room)
        else:
            b = len(bins)
            bins.append([])
            left.append(reel_units)
        bins[b].append(k)
        left[b] -= lengths[k]
    return bins


def _fullest_first(lengths: Sequence[int], reel_units: int) -> list[list[int]]:
    """Fill one reel after the other as full as what is left allows, its longest run in it."""
    todo = sorted(range(len(lengths)), key=lambda k: (-lengths[k], k))
    bins = []
    while todo:
        first, others = todo[0], todo[1:]
        room = reel_units - lengths[first]
        # reached[k] holds the sums of the first k others.
        reached = [1]
        for k in others:
            reached.append((reached[-1] | (reached[-1] << lengths[k])) & ((1 << (room + 1)) - 1))
        target, one = reached[-1].bit_length() - 1, [first]
        for place in range(len(others), 0, -1):
            if not (reached[place - 1] >> target) & 1:
                one.append(others[place - 1])
                target -= lengths[others[place - 1]]
        bins.append(one)
        todo = [k for k in todo if k not in one]
    return bins


def _of_all(lengths: Sequence[int], reel_units: int) -> list[list[int]]:
    """Return the best of all cuttings, by way of every collection of runs.

    The best way to cut a collection ends with one of its runs, and what was cut before it was cut
    the best way too: fewest reels, then least from the last. With n_g runs of length g, a
    collection is a number whose digits say how many of each.
    """
    counts = sorted(Counter(lengths).items(), reverse=True)
    steps = np.cumprod([1, *(times + 1 for _, times in counts)])
    states = np.arange(steps[-1], dtype=np.int32)
    size = np.zeros(steps[-1], dtype=np.int16)
    for g, (_, times) in enumerate(counts):
        size += (states // steps[g] % (times + 1)).astype(np.int16)
    # Reels finished, and what is cut from the one in hand, in one number to compare by.
    best = np.full(steps[-1], np.iinfo(np.int64).max)
    best[0] = 0
    order = np.argsort(size, kind="stable")
    ends = np.searchsorted(size[order], np.arange(len(lengths) + 2))
    for run in range(1, len(lengths) + 1):
        layer = order[ends[run] : ends[run + 1]]
        for g, (length, times) in enumerate(counts):
            has = layer[layer // steps[g] % (times + 1) > 0]
            best[has] = np.minimum(best[has], _with_one(best[has - steps[g]], length, reel_units))
    return _way_to(best, counts, steps, lengths, reel_units)


def _with_one(before: Counts, length: int, reel_units: int) -> Counts:
    """Return reels and last cut with one run more: from the reel in hand, else from a new one."""
    fits = (before & ((1 << _FILL_BITS) - 1)) + length <= reel_units
    fresh = (((before >> _FILL_BITS) + 1) << _FILL_BITS) + length
    return np.where(fits, before + length, fresh)


def _way_to(
    best: Counts,
    counts: list[tuple[int, int]],
    steps: Counts,
    lengths: Sequence[int],
    reel_units: int,
) -> list[list[int]]:
    """Walk back from all runs to none, and return the runs of each reel."""
    waiting: dict[int, list[int]] = {}
    for k, length in enumerate(lengths):
        waiting.setdefault(length, []).append(k)
    bins: dict[int, list[int]] = {}
    state = len(best) - 1
    while state:
        for g, (length, times) in enumerate(counts):
            if state // int(steps[g]) % (times + 1) == 0:
                continue
            before = state - int(steps[g])
            if int(_with_one(best[before : before + 1], length, reel_units)[0]) == best[state]:
                reel = int(best[state]) >> _FILL_BITS
                bins.setdefault(reel, []).append(waiting[length].pop())
                state = before
                break
    return list(bins.values())

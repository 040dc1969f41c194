"""How long a build takes, so that a band of a very large piece takes a second or two, not ten.

What a build is counted at was measured on one core of 2026: the units that are solved, and the
feeds of a supply, whose shared copper is a matrix that grows by their square.
"""

from __future__ import annotations

from collections.abc import Sequence

from lightcalc.answers.answer import Built
from lightcalc.answers.draw import ROWS

MOST_SAMPLES, LEAST_SAMPLES, USUAL_S = 10_000, 20, 1.2
# Of a supply, of a unit at one volts with few leads and with many, and of a pair of feeds.
_SUPPLY_S, _FEW_LEADS_S, _MANY_LEADS_S, _PAIR_OF_FEEDS_S = 5e-5, 0.3e-6, 1.0e-6, 0.45e-6
_FEW_LEADS = 4
# Straight on a pack the runs are solved at every volt of it; the volts of a converter that lets go
# are sought, in so many rounds.
_SOUGHT = 6
_NEAR_LIMIT = 0.9
# Builds worked out together, and cut units of them: so that any number takes little memory.
_MOST_BUILDS, _LEAST_BUILDS, _MOST_UNITS = 10_000, 10, 500_000


def usual_samples(built: Sequence[Built]) -> int:
    """Return how many builds of a piece take about a second: 10,000 of a small one, at least 20."""
    seconds = sum(map(_build_s, built))
    return int(min(MOST_SAMPLES, max(LEAST_SAMPLES, USUAL_S / seconds)))


def builds_at_once(built: Sequence[Built]) -> int:
    """Return how many builds are worked out together."""
    units = max(_solved(one) * _units(one) for one in built)
    return min(_MOST_BUILDS, max(_LEAST_BUILDS, _MOST_UNITS // units))


def _build_s(built: Built) -> float:
    leads = len(built.wired.leads)
    unit_s = _FEW_LEADS_S if leads <= _FEW_LEADS else _MANY_LEADS_S
    solved_s = _units(built) * unit_s + leads**2 * _PAIR_OF_FEEDS_S
    return _SUPPLY_S + _solved(built) * solved_s


def _units(built: Built) -> int:
    return sum(run.units * len(run.strip.channels) for run in built.wired.runs)


def _solved(built: Built) -> int:
    """Return how often the runs of a build are solved."""
    wired, converter = built.wired, built.circuit.converter
    if converter is None:
        return ROWS if wired.pack.output_v is None else 1
    rated_a = sum(run.strip.power_w_per_m * run.length_m / run.strip.rated_v for run in wired.runs)
    return _SOUGHT if rated_a > _NEAR_LIMIT * converter.limit_a else 1

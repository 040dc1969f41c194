"""What a network refuses."""

from __future__ import annotations

from dataclasses import replace

import pytest

from lightcalc.physics.circuit.network import SUPPLY, Lead, Network, Run
from lightcalc.physics.circuit.strip import describe_cut_unit

UNIT = describe_cut_unit(
    "resistor", rated_v=12.0, power_w_per_m=9.6, cut_unit_length_m=0.05,
    forward_v=(9.0,), leds_in_series=3,
)  # fmt: skip
TWO = describe_cut_unit(
    "resistor", rated_v=12.0, power_w_per_m=9.6, cut_unit_length_m=0.05,
    forward_v=(9.0, 9.0), leds_in_series=3,
)  # fmt: skip
RUN = Run(UNIT, 10, 0.05, 0.05, (0.05,))
FEED = Lead(SUPPLY, 0.1, (0.1,), 0, 0)


def test_feeds_are_the_leads_that_end_at_a_pad() -> None:
    trunk = Lead(SUPPLY, 0.1, (0.1,))
    network = Network((RUN,), (trunk, replace(FEED, parent=0), replace(FEED, parent=1, pad=10)))
    assert network.feeds == (1, 2)
    assert network.returns == 1


@pytest.mark.parametrize(
    ("runs", "leads", "says"),
    [
        ((), (FEED,), "no run"),
        ((RUN,), (), "Run 0 has no feed"),
        ((RUN, RUN), (FEED,), "Run 1 has no feed"),
        ((replace(RUN, units=0),), (FEED,), "at least one unit"),
        ((replace(RUN, unit_length_m=0.0),), (FEED,), "longer than 0 m"),
        ((RUN, Run(TWO, 3, 0.05, 0.05, (0.05, 0.05))), (FEED,), "other channels than run 0"),
        ((replace(RUN, return_ohm_per_m=(0.1, 0.1)),), (FEED,), "2 return rails"),
        ((replace(RUN, positive_ohm_per_m=-0.1),), (FEED,), "copper of run 0"),
        ((RUN,), (replace(FEED, parent=0),), "listed before it"),
        ((RUN,), (replace(FEED, parent=-2),), "listed before it"),
        ((RUN,), (replace(FEED, return_ohm=()),), "0 return conductors"),
        ((RUN,), (replace(FEED, positive_ohm=float("inf")),), "resistance of lead 0"),
        ((RUN,), (replace(FEED, pad=11),), "pads are 0 to 10"),
        ((RUN,), (replace(FEED, run=1),), "run from 0 to 0"),
        ((RUN,), (replace(FEED, pad=None),), "neither for a junction"),
        ((RUN,), (FEED, replace(FEED, parent=0)), "Two leads end at pad 0 of run 0"),
    ],
)
def test_wiring_that_contradicts_itself_is_refused_in_a_sentence(
    runs: tuple[Run, ...], leads: tuple[Lead, ...], says: str
) -> None:
    with pytest.raises(ValueError, match=says):
        Network(runs, leads)


def test_series_resistance_is_given_for_every_return() -> None:
    with pytest.raises(ValueError, match="one for each"):
        Network((RUN,), (FEED,), 0.1, (0.1, 0.1))
    with pytest.raises(ValueError, match="series resistance"):
        Network((RUN,), (FEED,), -0.1)

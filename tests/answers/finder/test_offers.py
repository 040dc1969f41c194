"""Wires chosen for many leads at once are those chosen one by one."""

import numpy as np
from designs import parts
from hypothesis import given, settings
from hypothesis import strategies as st

from lightcalc.answers.bought import cells_of, cells_of_packs, offered_wires
from lightcalc.answers.finder.offers import NONE, WireOffer
from lightcalc.physics.circuit.wire import WireDuty, choose_wire

AMBIENT_C = 32.0
many = settings(max_examples=150, deadline=None, derandomize=True)


@many
@given(
    amps=st.floats(0.05, 12.0),
    loop_m=st.floats(0.0, 12.0),
    volts=st.sampled_from([5.0, 12.0, 24.0]),
    drop=st.sampled_from([0.01, 0.03]),
    rating_a=st.sampled_from([0.5, 2.0, 3.0, 5.0, 7.5, 15.0]),
)
def test_the_wire_is_that_of_the_single_choice(amps, loop_m, volts, drop, rating_a):
    offer = WireOffer(parts(), AMBIENT_C)
    duty = WireDuty(amps, amps, loop_m, volts, drop, AMBIENT_C, rating_a)
    single = choose_wire(offered_wires(parts()), duty).chosen
    column = np.array([[amps]])
    (((place,),), ((unsure,),)) = offer.choose(
        column, np.array([[loop_m]]), np.array([[volts * drop]]), np.array([rating_a]),
        np.array([[NONE]]),
    )  # fmt: skip
    assert unsure or (None if place == NONE else offer.names[place]) == (single and single.name)


def test_packs_described_together_are_those_described_alone():
    together = cells_of_packs(parts().packs.values(), 0.9, 15.0)
    for pack, cells in zip(parts().packs.values(), together, strict=True):
        assert vars(cells_of(pack, 1, 0.9, 15.0).used) == vars(cells.used)

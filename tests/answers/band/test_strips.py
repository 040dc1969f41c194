"""Wiring of the builds of a batch: copper differs from build to build, contacts do not."""

import numpy as np
import pytest
from test_spread import DESIGNS, case

from lightcalc.answers.band.inputs import Factors, dimensions_of, inputs_of
from lightcalc.answers.band.spread import built_as_answered
from lightcalc.answers.band.strips import StripCases
from lightcalc.physics.circuit.wire import hot_copper_ratio
from lightcalc.physics.sampling import normal_scores


def strips_of(name, samples, *, spread):
    one = case(name)
    built = built_as_answered(one)
    inputs = inputs_of(built, one.catalogue)
    scores = spread * normal_scores(samples, len(dimensions_of(inputs)), seed=3)
    factors = Factors(inputs, scores)
    return [StripCases(n, each, one.design.use, factors) for n, each in enumerate(built)]


@pytest.mark.parametrize("name", DESIGNS)
def test_a_build_of_catalogue_parts_has_the_wiring_of_the_answer(name):
    for strips in strips_of(name, 2, spread=0.0):
        drawn, found = strips.circuit.network, strips.network
        assert np.allclose(found.series_positive_ohm, drawn.series_positive_ohm, rtol=1e-9)
        for one, other in zip(found.series_return_ohm, drawn.series_return_ohm, strict=True):
            assert np.allclose(one, other, rtol=1e-9, atol=1e-15)
        for one, other in zip(found.leads, drawn.leads, strict=True):
            assert np.allclose(one.positive_ohm, other.positive_ohm, rtol=1e-9)
            assert np.allclose(one.return_ohm[0], other.return_ohm[0], rtol=1e-9)


@pytest.mark.parametrize("name", ["hall bench", "joined"])
def test_lengths_and_wires_change_the_copper_of_a_lead_and_leave_its_connectors(name):
    (strips,) = strips_of(name, 6, spread=1.0)
    warmer = hot_copper_ratio(strips.room_c) / hot_copper_ratio(strips.use.temperature_c)
    for number, (lead, drawn) in enumerate(
        zip(strips.network.leads, strips.circuit.network.leads, strict=True)
    ):
        contact_ohm = strips.wired.leads[number].contact_ohm
        # The catalogue says 10 mohm of one contact of that plug.
        assert contact_ohm == pytest.approx(0.010)
        factor = strips.own("wire", number) * strips.own("lead length", number) * warmer
        copper_ohm = drawn.positive_ohm - 0.010
        assert lead.positive_ohm == pytest.approx(copper_ohm * factor + 0.010, rel=1e-9)
        assert np.ptp(factor) > 0.01

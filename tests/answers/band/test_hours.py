"""Hours of many supplies at once, against answers asked one by one."""

from dataclasses import fields, replace

import numpy as np
import pytest
from designs import catalogue_with, design, evening, feed, parts, run, supply

from lightcalc.answers.answer import answer, build_supply
from lightcalc.answers.band.hours import batch_hours, cases_of
from lightcalc.physics.charge.discharge import GRID


def side_by_side(pack, converter, strip, lengths_m, levels=(1.0, 0.4), **changes):
    """One design for each length, all with the same pack."""
    return [
        design(
            run(strip, length_m, feeds=(feed(lead_m=0.4 + length_m),)),
            supplies=(supply(pack, converter, **changes),),
            use=evening(*levels, hours=1.5, evenings_a_week=4.0),
        )
        for length_m in lengths_m
    ]


@pytest.mark.parametrize(
    ("pack", "converter", "strip"),
    [
        ("liion-4s-6800", "buck-12v-5a", "strip-12v-60-warm"),
        ("liion-3s-5200", None, "strip-12v-60-warm"),
        ("aa-alkaline-8", None, "strip-12v-cc-60-warm"),
        ("usb-10000", None, "strip-5v-60-warm"),
        ("lifepo4-4s-6000", "buckboost-24v-2a", "strip-24v-120-neutral"),
    ],
)
def test_designs_side_by_side_last_as_long_as_each_alone(pack, converter, strip) -> None:
    made = side_by_side(pack, converter, strip, [0.2, 0.5, 0.9, 1.0])
    built = [build_supply(one.supplies[0], one, parts()) for one in made]
    cases, stretches = cases_of([(one.circuit, one.cells.used) for one in built], made[0].use)
    found = batch_hours(cases, stretches, 4.0)
    whole = batch_hours(cases, stretches, 4.0, GRID)
    for number, one in enumerate(made):
        (said,) = answer(one, parts()).supplies
        assert found.hours_h[number] == pytest.approx(said.hours_h, rel=2e-3)
        assert whole.hours_h[number] == pytest.approx(said.hours_h, rel=1e-6)
        assert whole.evenings[number] == pytest.approx(said.evenings_per_charge_count, rel=1e-6)
        assert whole.pack_peak_a[number] == pytest.approx(said.pack_peak_a, rel=1e-6)
        assert found.ended_by[number] == said.ended_by


def test_a_pack_that_trips_lasts_no_time_beside_one_that_does_not() -> None:
    weak = catalogue_with("packs", "liion-4s-6800", max_amps=0.3)
    made = side_by_side("liion-4s-6800", "buck-12v-5a", "strip-12v-60-warm", [0.2, 1.5])
    built = [build_supply(one.supplies[0], one, weak) for one in made]
    cases, stretches = cases_of([(one.circuit, one.cells.used) for one in built], made[0].use)
    found = batch_hours(cases, stretches, 4.0)
    assert found.hours_h[0] > 5.0
    assert found.hours_h[1] == 0.0
    assert found.ended_by[1] == "protection"


def test_a_batch_of_any_size_is_the_same_cases_in_pieces(monkeypatch) -> None:
    made = side_by_side("liion-4s-6800", "buck-12v-5a", "strip-12v-60-warm", [0.2, 0.5, 1.0])
    built = [build_supply(one.supplies[0], one, parts()) for one in made]
    cases, stretches = cases_of([(one.circuit, one.cells.used) for one in built], made[0].use)
    together = batch_hours(cases, stretches, 4.0)
    monkeypatch.setattr("lightcalc.answers.band.hours.CHUNK", 2)
    apart = batch_hours(cases, stretches, 4.0)
    for field in fields(together):
        np.testing.assert_array_equal(getattr(together, field.name), getattr(apart, field.name))


def test_supplies_of_different_packs_are_not_put_side_by_side() -> None:
    (one,) = side_by_side("liion-4s-6800", "buck-12v-5a", "strip-12v-60-warm", [0.5])
    built = build_supply(one.supplies[0], one, parts())
    wired = replace(built.circuit.wired, pack=parts().packs["liion-3s-5200"])
    other = replace(built.circuit, wired=wired)
    both = [(circuit, built.cells.used) for circuit in (built.circuit, other)]
    with pytest.raises(ValueError, match="same pack"):
        cases_of(both, one.use)

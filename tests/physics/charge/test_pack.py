"""What a catalogue says of a pack comes out again when the pack is discharged."""

from __future__ import annotations

import numpy as np
import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from lightcalc.physics.charge.discharge import discharge, endurance
from lightcalc.physics.charge.load import constant_current
from lightcalc.physics.charge.pack import Pack, describe_pack, scale_pack, stack_packs
from lightcalc.problems import BadInput
from lightcalc.tables.chemistries import chemistry, chemistry_keys

HOUR = 3600.0

sheets = st.fixed_dictionaries(
    {
        "capacity_coulomb": st.floats(0.5, 50.0).map(lambda ah: ah * HOUR),
        "mean": st.floats(3.62, 3.82),
        "cutoff_volts": st.floats(2.5, 3.1),
        "fast": st.floats(0.93, 0.985),
        "drop": st.floats(0.02, 0.06),
    }
)


def lithium(sheet: dict[str, float]) -> tuple[Pack, float, float]:
    one_c = sheet["capacity_coulomb"] / HOUR
    ohms = sheet["drop"] * 3.7 / one_c
    pack = describe_pack(
        "lithium-ion",
        sheet["capacity_coulomb"],
        sheet["mean"],
        cutoff_volts=sheet["cutoff_volts"],
        resistance_ohm=ohms,
        slow_current_a=one_c / 20,
        fast_capacity_coulomb=sheet["fast"] * sheet["capacity_coulomb"],
        fast_current_a=one_c,
        cells_in_series=1,
        nominal_is_label=False,
    )
    return pack, one_c, ohms


@settings(max_examples=40, deadline=None)
@given(sheets)
def test_the_sheet_of_a_lithium_cell_comes_out_again(sheet: dict[str, float]) -> None:
    pack, one_c, ohms = lithium(sheet)
    slow = discharge(pack, constant_current(one_c / 20))
    fast = discharge(pack, constant_current(one_c))
    capacity = sheet["capacity_coulomb"]
    assert float(slow.totals.charge_coulomb) == pytest.approx(capacity, rel=1e-3)
    mean = float(slow.totals.energy_j / slow.totals.charge_coulomb)
    assert mean == pytest.approx(sheet["mean"], rel=1e-3)
    # A large drop on a soft end takes more charge than a mild fast capacity leaves room for.
    if pack.lag_s > 0:
        assert float(fast.totals.charge_coulomb) == pytest.approx(
            sheet["fast"] * capacity, rel=2e-3
        )
        half = capacity / 2
        drop = float(pack.open_circuit_volts(0.5)) - np.interp(
            half, fast.charge_coulomb, fast.volts
        )
        # The curve is straight between its published points, so a slope turns sharply there.
        assert drop / one_c == pytest.approx(ohms, rel=0.1)


@settings(max_examples=30, deadline=None)
@given(st.sampled_from(chemistry_keys()), st.integers(1, 14))
def test_rested_volts_fall_from_full_and_never_rise(key: str, cells: int) -> None:
    kind = chemistry(key)
    pack = describe_pack(key, 2 * HOUR, cells * kind.volts_label)
    volts = np.array([float(pack.open_circuit_volts(s)) for s in np.linspace(0, 1, 101)])
    assert float(pack.cells) == cells
    assert volts[0] == pytest.approx(cells * kind.volts_full, rel=1e-6)
    assert np.all(np.diff(volts) < 0)
    ahead = pack.slow_amps * pack.lag_s / pack.capacity_coulomb
    assert float(pack.open_circuit_volts(1 + ahead)) == pytest.approx(
        float(pack.cutoff_volts + pack.slow_amps * pack.ohms), rel=1e-4
    )


def test_a_customary_label_moves_the_mean_less_than_a_measured_figure() -> None:
    means = [
        float(run.energy_j / run.charge_coulomb)
        for nominal in (3.6, 3.61, 3.7)
        for run in [endurance(describe_pack("lithium-ion", HOUR, nominal), constant_current(0.2))]
    ]
    label, measured, higher = means
    assert measured == pytest.approx(3.61, abs=0.003)
    assert label > 3.65
    assert higher - label == pytest.approx(0.025, abs=0.005)


def test_a_batch_of_sheets_equals_packs_described_one_by_one() -> None:
    capacity = np.array([1.0, 2.0, 5.0]) * HOUR
    fast = np.array([0.95, np.nan, 0.9]) * capacity
    batch = describe_pack(
        "lifepo4", capacity, 3.25, fast_capacity_coulomb=fast, health=np.array([1, 0.9, 0.8])
    )
    singles = [
        describe_pack("lifepo4", c, 3.25, fast_capacity_coulomb=f, health=h)
        for c, f, h in zip(capacity, fast, (1, 0.9, 0.8), strict=True)
    ]
    joined = stack_packs(singles)
    for name in Pack.__dataclass_fields__:
        assert getattr(batch, name) == pytest.approx(getattr(joined, name), rel=1e-12), name


def test_two_packs_in_series_double_volts_and_resistance_and_keep_the_charge() -> None:
    one = describe_pack("nimh", 2 * HOUR, 4.8)
    two = scale_pack(one, series=2)
    eight = describe_pack("nimh", 2 * HOUR, 9.6)
    for name in ("full_volts", "cutoff_volts", "capacity_coulomb", "ohms", "cells"):
        assert float(getattr(two, name)) == pytest.approx(float(getattr(eight, name)))


def test_resistance_rises_with_cold_and_age_and_charge_falls() -> None:
    new = describe_pack("lithium-ion", HOUR, 3.65)
    cold = describe_pack("lithium-ion", HOUR, 3.65, temperature_c=0.0)
    old = describe_pack("lithium-ion", HOUR, 3.65, health=0.8)
    assert cold.ohms > new.ohms < old.ohms
    assert cold.capacity_coulomb < new.capacity_coulomb > old.capacity_coulomb
    assert old.ohms / new.ohms == pytest.approx(1.6)
    assert cold.short_circuit_amps < new.short_circuit_amps


@pytest.mark.parametrize(
    ("given", "words"),
    [
        ({"cutoff_volts": 3.9}, "cut-off lies below nominal"),
        ({"full_volts": 3.5}, "cut-off lies below nominal"),
        ({"cells_in_series": 2}, "cells in series"),
        ({"resistance_ohm": 0.0}, "above 0"),
        ({"health": 1.2}, "0 to 1"),
    ],
)
def test_figures_no_pack_can_have_are_refused_with_a_sentence(
    given: dict[str, float], words: str
) -> None:
    with pytest.raises(BadInput, match=words):
        describe_pack("lithium-ion", HOUR, 3.65, **given)


def test_an_unknown_chemistry_is_refused_with_the_known_ones() -> None:
    with pytest.raises(BadInput, match="lead-acid"):
        describe_pack("potato", HOUR, 1.0)

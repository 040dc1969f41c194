"""Whatever the checks of files let through has a finite answer, and keeps to plain laws."""

import dataclasses
import json
import math
import warnings
from dataclasses import replace
from pathlib import Path

import pytest
from designs import HOUR_S, design, evening, feed, parts, run, some, supply
from extremes import TOGETHER, extreme_designs, legal, with_parts
from hypothesis import given, settings
from hypothesis import strategies as st

from lightcalc.answers.answer import answer
from lightcalc.design.piece import Lead
from lightcalc.design.read import read_design_table
from lightcalc.problems import BadInput
from lightcalc.screens.json_door import to_json
from lightcalc.screens.sheet import answer_sheet


def numbers(value, where="answer"):
    """Yield every number in a result with its place."""
    if dataclasses.is_dataclass(value):
        for field in dataclasses.fields(value):
            yield from numbers(getattr(value, field.name), f"{where}.{field.name}")
    elif isinstance(value, dict):
        for key, item in value.items():
            yield from numbers(item, f"{where}.{key}")
    elif isinstance(value, list | tuple):
        for number, item in enumerate(value):
            yield from numbers(item, f"{where}.{number}")
    elif isinstance(value, float):
        yield where, value


def answered(made, catalogue=None):
    """Answer a design; hold that all of its numbers are finite and that both ways to show it do."""
    with warnings.catch_warnings():
        # A division by nothing is a fault even where its result is thrown away.
        warnings.simplefilter("error", RuntimeWarning)
        found = answer(made, catalogue or parts())
    odd = [place for place, value in numbers(found) if not math.isfinite(value)]
    assert not odd
    assert json.loads(to_json(found))["piece"] == made.piece.name
    assert answer_sheet(found).startswith(made.piece.name)
    return found


def balanced(found):
    """Hold that what the cells give goes somewhere, and nothing comes from nowhere."""
    for one in found.supplies:
        shares = dataclasses.asdict(one.balance)
        cells_w = shares.pop("cells_w")
        assert math.fsum(shares.values()) == pytest.approx(cells_w, rel=1e-6, abs=1e-9)
        assert all(watts >= -1e-9 * max(cells_w, 1.0) for watts in shares.values()), shares
        assert 0.0 <= one.hours_low_h <= one.hours_h * (1 + 1e-9)
        assert one.hours_h <= one.hours_high_h * (1 + 1e-9)
    for one in found.runs:
        assert 0.0 <= one.dimmest_light_ratio <= one.brightest_light_ratio
        assert one.light_fall_ratio <= 1.0 + 1e-9


@settings(some, max_examples=60)
@given(made=extreme_designs())
def test_every_design_that_is_let_through_has_a_finite_and_balanced_answer(made):
    if made is not None:
        balanced(answered(*made))


def strip(**changes):
    """Return the demo's strip with other figures; a catalogue could hold it."""
    part = replace(parts().strips["strip-12v-60-warm"], **changes)
    assert legal("strips", part)
    return part


def pack(capacity_ah, **changes):
    """Return the demo's pack with another capacity, its other figures in proportion."""
    part = parts().packs["liion-4s-6800"]
    times = capacity_ah * HOUR_S / part.capacity_coulomb
    part = replace(
        part,
        capacity_coulomb=part.capacity_coulomb * times,
        slow_current_a=part.slow_current_a * times,
        fast_capacity_coulomb=part.fast_capacity_coulomb * times,
        fast_current_a=part.fast_current_a * times,
        resistance_ohm=part.resistance_ohm / times,
        mass_kg=part.mass_kg * times,
        **changes,
    )
    assert legal("packs", part)
    return part


LONG = tuple(run(length_m=5.0, name=f"rail {n}", feeds=(feed(name=f"lead {n}"),)) for n in range(6))
EXTREMES = {
    "one cut unit": (design(run(length_m=0.05)), {}),
    "30 m of strip": (design(*LONG), {}),
    "30 m in one run": (design(run(length_m=30.0)), {"strips": strip(reel_m=30.0)}),
    "a pack of 0.05 Ah": (design(), {"packs": pack(0.05)}),
    "a pack of 200 Ah": (design(), {"packs": pack(200.0)}),
    "0.1 % of the light": (design(use=evening(0.001)), {}),
    "-20 degC": (design(use=evening(temperature_c=-20.0)), {}),
    "60 degC": (design(use=evening(temperature_c=60.0)), {}),
    "copper of next to no ohm": (
        design(run(feeds=(feed(lead_m=0.001, wire="14 AWG"),))),
        {"strips": strip(rail_ohm_per_m=0.0001)},
    ),
    "a strip as good as open": (design(), {"strips": strip(rail_ohm_per_m=10.0)}),
    "a feed as good as open": (
        design(
            run(feeds=(feed(lead_m=100.0, wire="28 AWG"),)), supplies=(supply(pack_lead_m=100.0),)
        ),
        {},
    ),
    "a pack that cannot start the converter": (
        design(supplies=(supply(converter="buck-12v-5a"),)),
        {"packs": pack(6.8, max_amps=0.001)},
    ),
    "a pack of 100 ohm": (
        design(),
        {"packs": replace(parts().packs["liion-4s-6800"], resistance_ohm=100.0)},
    ),
    "a strip of 1 W/m": (design(), {"strips": strip(power_w_per_m=1.0, light_lm_per_m=90.0)}),
    "a strip of 30 W/m": (design(), {"strips": strip(power_w_per_m=30.0)}),
    "a pack at 20 % of its health": (design(supplies=(supply(health_ratio=0.2),)), {}),
    "an evening of a minute every two months": (
        design(use=evening(hours=1 / 60, evenings_a_week=0.02)),
        {},
    ),
}


@pytest.mark.parametrize("made", EXTREMES.values(), ids=EXTREMES)
def test_an_extreme_has_a_finite_answer_or_a_finding(made):
    drawn, changed = made
    found = answered(drawn, with_parts(**changed))
    balanced(found)
    if not found.supplies[0].hours_h:
        assert found.stops


def test_a_health_below_a_fifth_is_refused_with_its_limits():
    table = {
        "piece": {"name": "worn"},
        "runs": [{"name": "rail", "strip": "strip-12v-60-warm", "length": "1 m",
                  "feeds": [{"lead": "1 m"}]}],
        "supplies": [{"name": "box", "pack": "liion-4s-6800", "converter": "buck-12v-5a",
                      "health": "10 %"}],
        "use": {"evening": [{"level": "60 %", "time": "3 h"}]},
    }  # fmt: skip
    with pytest.raises(BadInput, match=r"found \"10 %\"; it must be from 20 % to 100 %"):
        read_design_table(table, parts(), Path("worn.toml"))


def hours(made, catalogue=None):
    return answered(made, catalogue).supplies[0].hours_h


# Strips that go with a pack that does not switch itself off, and their converters.
SETS = [words for words in TOGETHER if not words[1].startswith("usb")]
sets = st.sampled_from(SETS)
law = settings(some, max_examples=8)


def piece(words, *, use=None, **changes):
    """Return a design with a strip, pack, converter and controller that go together."""
    strip_name, pack_name, converter, controller = words
    box = supply(pack_name, converter, controller=controller, **changes)
    return design(run(strip_name, 1.0), supplies=(box,), use=use)


@pytest.mark.parametrize("words", SETS, ids=lambda words: words[1])
def test_the_pieces_that_the_laws_are_about_give_light(words):
    assert hours(piece(words)) > 0.1


@law
@given(words=sets, level=st.floats(0.01, 1.0), small=st.integers(1, 4), more=st.integers(1, 4))
def test_a_larger_pack_never_lasts_shorter(words, level, small, more):
    one, two = (
        hours(piece(words, use=evening(level), pack_multiple=count))
        for count in (small, small + more)
    )
    assert two >= one * (1 - 1e-6)


@law
@given(words=sets, health=st.floats(0.2, 0.99))
def test_a_worn_pack_never_lasts_longer(words, health):
    assert hours(piece(words, health_ratio=health)) <= hours(piece(words)) * (1 + 1e-6)


@law
@given(words=sets, low=st.floats(0.001, 0.99), more=st.floats(0.01, 1.0))
def test_more_light_never_lasts_longer(words, low, more):
    high = min(low + more, 1.0)
    dim, bright = (hours(piece(words, use=evening(level))) for level in (low, high))
    assert bright <= dim * (1 + 1e-6)


@pytest.mark.parametrize("words", SETS, ids=lambda words: words[1])
def test_cold_cells_never_last_longer_than_warm_ones(words):
    found = [hours(piece(words, use=evening(temperature_c=degrees))) for degrees in (-20, 0, 20)]
    assert found[0] <= found[1] * (1 + 1e-6)
    assert found[1] <= found[2] * (1 + 1e-6)
    warm = hours(piece(words, use=evening(temperature_c=60)))
    assert 0.5 * found[2] <= warm <= 1.5 * found[2]


@law
@given(
    words=sets,
    units=st.integers(2, 20),
    at=st.floats(0.0, 1.0),
    lead_m=st.floats(0.01, 3.0),
)
def test_a_run_fed_from_its_other_end_is_its_mirror_image(words, units, at, lead_m):
    part = parts().strips[words[0]]
    length_m = units * part.cut_unit_m
    pad_m = round(at * units) * part.cut_unit_m

    def fed_at(at_m):
        made = replace(
            piece(words),
            runs=(run(words[0], length_m, feeds=(feed(at_m, lead_m, wire="18 AWG"),)),),
        )
        return answered(made)

    one, other = fed_at(pad_m), fed_at(length_m - pad_m)
    assert other.supplies[0].hours_h == pytest.approx(one.supplies[0].hours_h, rel=1e-6)
    for field in ("unit_v", "unit_a", "light_ratio"):
        mirrored = getattr(other.runs[0].profile, field)[::-1]
        assert mirrored == pytest.approx(getattr(one.runs[0].profile, field), rel=1e-6, abs=1e-12)


@law
@given(words=sets, length_m=st.floats(0.1, 10.0), share=st.floats(0.05, 0.95))
def test_a_lead_in_two_pieces_is_as_good_as_in_one(words, length_m, share):
    whole = replace(
        piece(words), runs=(run(words[0], 1.0, feeds=(feed(0.0, length_m, wire="18 AWG"),)),)
    )
    parted = replace(
        whole,
        trunks=(Lead("trunk", length_m * share, "18 AWG"),),
        runs=(
            run(
                words[0],
                1.0,
                feeds=(feed(0.0, length_m * (1 - share), wire="18 AWG", parent="trunk"),),
            ),
        ),
    )
    one, two = answered(whole), answered(parted)
    assert two.runs[0].profile.unit_v == pytest.approx(one.runs[0].profile.unit_v, rel=1e-6)
    assert two.supplies[0].hours_h == pytest.approx(one.supplies[0].hours_h, rel=1e-6)

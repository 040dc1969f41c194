"""One pack, two packs and one twice as big: what the second pack buys."""

import math
from dataclasses import replace

import pytest
from designs import catalogue_with, design, evening, feed, few, parts, run, supply
from hypothesis import given
from hypothesis import strategies as st

from lightcalc.answers import compare as compare_module
from lightcalc.answers.answer import answer
from lightcalc.answers.compare import DOUBLE, ONE, TWO, compare

WIRES = {"pack_wire": "14 AWG", "pack_fuse": "blade-5a", "fuse": "blade-5a", "pack_lead_m": 0.05}


def builds(made, catalogue=None):
    found = compare(made, catalogue or parts())
    assert [build.build for build in found.builds] == [ONE, TWO, DOUBLE]
    return (*found.builds, found.advice)


def pair(first_m=1.0, second_m=1.0, use=None, ask=None, **source):
    """Return two runs on one supply, with leads too short to matter."""
    made = tuple(
        run(length_m=metres, name=name, feeds=(feed(lead_m=0.05, wire="14 AWG", name=name),))
        for name, metres in (("front", first_m), ("back", second_m))
    )
    wires = {key: name for key, name in WIRES.items() if key != "fuse" or _converts(source)}
    return design(*made, supplies=(supply(**{**wires, **source}),), use=use, ask=ask)


def _converts(source):
    return source.get("converter", "default") is not None


@few
@given(
    metres=st.floats(0.3, 1.5),
    level=st.sampled_from([0.4, 1.0]),
    source=st.sampled_from(
        [
            ("liion-4s-6800", "buckboost-12v-4a"),
            ("liion-3s-5200", None),
            ("d-alkaline-8", None),
            ("sla-12v-7ah", "buckboost-12v-4a"),
        ]
    ),
)
def test_with_even_loads_two_packs_last_as_long_as_one_of_twice_the_cells(metres, level, source):
    # Each pack sees half of the load with half of the cells, with converters that take nothing for
    # themselves, switched off between evenings. What still differs is real: shared wires and fuses
    # carry twice the current.
    pack, converter = source
    use = evening(level, hours=4.0)
    made = pair(metres, metres, use=use, pack=pack, converter=converter, switched_off=True)
    ideal = catalogue_with("converters", "buckboost-12v-4a", idle_a=0.0)
    one, two, double, advice = builds(made, ideal)
    assert two.hours_h == pytest.approx(double.hours_h, rel=0.04)
    assert two.first_empty == "both together"
    assert two.hours_h > 1.5 * one.hours_h
    assert two.packs_count == 2
    assert "parallel" not in advice


@few
@given(first_m=st.floats(0.2, 2.0), second_m=st.floats(0.2, 2.0))
def test_each_of_two_packs_feeds_its_own_runs_and_the_first_to_empty_decides(first_m, second_m):
    made = pair(first_m, second_m)
    _, two, _, advice = builds(made)
    alone = [
        answer(design(one, supplies=made.supplies, use=made.use), parts()).supplies[0].hours_h
        for one in made.runs
    ]
    assert two.hours_h == pytest.approx(min(alone), rel=1e-9)
    if abs(alone[0] - alone[1]) > 3e-2 * max(alone):
        assert two.first_empty in ("box, first pack", "box, second pack")
        assert f"Empty first: {two.first_empty}." in advice


def test_two_packs_share_the_runs_as_evenly_as_they_can():
    made = tuple(
        run(length_m=metres, name=name, feeds=(feed(lead_m=0.05, wire="14 AWG", name=name),))
        for name, metres in (("side", 0.7), ("other side", 0.7), ("front", 1.4))
    )
    source = supply(**WIRES, switched_off=True)
    _, two, double, _ = builds(design(*made, supplies=(source,)))
    assert two.hours_h == pytest.approx(double.hours_h, rel=0.06)


def test_uneven_runs_share_one_double_pack_better_than_two():
    one, two, double, advice = builds(pair(2.0, 0.3))
    assert one.hours_h < two.hours_h < 0.8 * double.hours_h
    assert "lasts longer" in advice


def test_one_run_is_cut_in_two_halves_of_whole_units_fed_from_their_ends():
    made = design(run(length_m=1.55), supplies=(supply(switched_off=True),))
    one, two, double, _ = builds(made)
    # 31 units of 50 mm: 16 and 15.
    assert two.possible
    assert two.light_fall_ratio < one.light_fall_ratio
    assert two.hours_h == pytest.approx(double.hours_h, rel=0.06)


def test_two_converters_that_idle_all_day_take_twice_as_much():
    _, two, double, _ = builds(pair(use=evening(1.0, hours=1.0)))
    assert two.hours_h < 0.97 * double.hours_h


def test_halves_of_a_run_fed_in_the_middle_are_fed_in_the_middle():
    middle = design(run(length_m=3.0, feeds=(feed(1.5),)))
    start = design(run(length_m=3.0, feeds=(feed(0.0),)))
    fall_middle = builds(middle)[1].light_fall_ratio
    assert fall_middle == pytest.approx(builds(middle)[0].light_fall_ratio, rel=0.1)
    assert fall_middle == pytest.approx(builds(start)[1].light_fall_ratio, rel=0.1)


def test_halves_of_a_run_fed_a_quarter_in_are_mirror_images():
    quarter, start = (
        builds(design(run(length_m=3.0, feeds=(feed(at_m),))))[1].light_fall_ratio
        for at_m in (0.75, 0.0)
    )
    assert quarter < 0.5 * start


def test_one_cut_unit_cannot_be_shared():
    one, two, double, advice = builds(design(run(length_m=0.05)))
    assert one.possible
    assert double.possible
    assert not two.possible
    assert "One cut unit" in two.reason
    assert two.hours_h == 0.0
    assert two.price is None
    assert ONE in advice
    assert DOUBLE in advice
    assert TWO not in advice


def test_a_build_that_gives_no_light_says_why():
    weak = catalogue_with("packs", "liion-4s-6800", max_amps=0.7)
    one, two, double, advice = builds(pair(1.5, 1.5), weak)
    assert one.possible
    assert one.hours_h == 0.0
    assert "protection trips" in one.reason
    assert two.hours_h > 0.0
    assert double.hours_h > 0.0
    assert advice.startswith(f"Only {TWO} and {DOUBLE} can work")


def test_when_nothing_lights_nothing_is_advised():
    *_, advice = builds(design(supplies=(supply("aa-alkaline-4", None),)))
    assert advice == "None of these gives light; the reasons say why."


def test_prices_and_masses_grow_with_the_packs():
    one, two, double, _ = builds(pair())
    pack, converter = parts().packs["liion-4s-6800"], parts().converters["buck-12v-5a"]
    assert double.price - one.price == pytest.approx(pack.price, abs=1.0)
    assert two.price - one.price > pack.price + converter.price
    assert one.mass_kg < double.mass_kg < two.mass_kg


def test_supplies_that_feed_different_volts_cannot_share_a_pack():
    made = design(
        run(name="front"),
        run("strip-24v-120-neutral", 1.0, name="back", supply="other"),
        supplies=(supply(), supply("lifepo4-8s-12000", "buckboost-24v-2a", name="other")),
    )
    one, _, _, _ = builds(made)
    assert not one.possible
    assert "one voltage" in one.reason


def test_a_trunk_is_built_once_for_each_pack_that_uses_it():
    from lightcalc.design.piece import Lead

    made = pair()
    on_trunk = tuple(
        replace(
            one, feeds=(replace(one.feeds[0], lead=replace(one.feeds[0].lead, parent="trunk")),)
        )
        for one in made.runs
    )
    made = replace(made, runs=on_trunk, trunks=(Lead("trunk", 1.0, "18 AWG"),))
    one, two, *_ = builds(made)
    assert one.possible
    assert two.possible
    assert all(math.isfinite(build.hours_h) for build in (one, two))


@pytest.mark.parametrize("supplies", [1, 2])
def test_an_answer_at_hand_spares_one_and_changes_nothing(supplies, monkeypatch):
    made = pair()
    if supplies == 2:
        (first,) = made.supplies
        front, back = made.runs
        made = replace(
            made,
            supplies=(first, replace(first, name="shelf box")),
            runs=(front, replace(back, supply="shelf box")),
        )
    whole, at_hand = compare(made, parts()), answer(made, parts())
    asked = []
    monkeypatch.setattr(compare_module, "answer", lambda *of: asked.append(of[0]) or answer(*of))
    assert compare(made, parts(), at_hand) == whole
    assert len(asked) == (2 if supplies == 1 else 3)
    assert made not in asked


def test_no_bank_is_doubled_and_nothing_is_said_of_its_fuse():
    one, two, double, advice = builds(
        design(run(), supplies=(supply("usb-20000", "boost-12v-1a5"),))
    )
    assert one.possible
    assert two.possible
    assert not double.possible
    assert "USB banks" in double.reason
    assert "twice the cells" not in advice
    assert "fuse" not in advice

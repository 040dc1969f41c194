"""What a meter shows, in many cases at once, is what an answer says of each case alone."""

import math
from dataclasses import replace

import numpy as np
import pytest
from benches import DESIGNS, everything, model_of
from designs import catalogue_with, design, evening, feed, parts, run, supply

from lightcalc.answers.answer import answer
from lightcalc.answers.bench.built import built_supplies
from lightcalc.answers.bench.faults import faults_of
from lightcalc.answers.bench.model import OPEN, REVERSED, BenchModel
from lightcalc.design.readings import Probe

STRIP, PACK, CONVERTER = "strip-12v-60-warm", "liion-4s-6800", "buck-12v-5a"
HALF_AN_OHM = 0.5


def one_run(converter=CONVERTER, pack=PACK, **changes):
    """Wires are named, so that no change of a part makes the answer choose others."""
    changes.setdefault("feeds", (feed(0.0, 0.8, wire="22 AWG"),))
    made = run(STRIP, 1.4, **changes)
    box = supply(pack, converter, pack_wire="20 AWG", pack_fuse="blade-3a")
    return design(made, supplies=(box,), use=evening(0.6, 1.0))


def model(made, catalogue=None):
    return BenchModel(built_supplies(made, catalogue or parts()))


def case(bench, **knobs):
    """One case with the first run, lead and supply changed; names with _ for blanks."""
    cases = bench.as_drawn
    for name, value in knobs.items():
        cases[0, bench.column[name.replace("_", " "), 0, 0]] = value
    return cases


def pad(at_m, **changes):
    return Probe("voltage", "box", "pad", "rail", at_m=at_m, **changes)


SEEN = (
    pad(0.0),
    Probe("current", "box", "run", "rail"),
    Probe("current", "box", "pack"),
    Probe("current", "box", "pack", level_ratio=0.6),
    Probe("voltage", "box", "pack", rested=True),
    Probe("time", "box", "light"),
    Probe("time", "box", "light", level_ratio=0.6),
)


def answered(made, catalogue):
    found = answer(made, catalogue)
    one, box = found.runs[0], found.supplies[0]
    levels = {level.level_ratio: level for level in box.levels}
    return [
        one.fed_v,
        one.amps_a,
        levels[1.0].pack_start_a,
        levels[0.6].pack_start_a,
        catalogue.packs[made.supplies[0].pack].full_v,
        levels[1.0].hours_h * 3600.0,
        levels[0.6].hours_h * 3600.0,
    ]


@pytest.mark.parametrize(
    ("kind", "name", "field", "knob"),
    [
        ("strips", STRIP, "power_w_per_m", "power"),
        ("strips", STRIP, "rail_ohm_per_m", "rail"),
        ("packs", PACK, "resistance_ohm", "resistance"),
        ("converters", CONVERTER, "efficiency", "efficiency"),
    ],
)
def test_a_part_with_another_figure_shows_what_its_answer_says(kind, name, field, knob):
    made, factor = one_run(), 1.02
    value = getattr(getattr(parts(), kind)[name], field)
    catalogue = catalogue_with(kind, name, **{field: value * factor})
    bench = model(made)
    shown = bench.predict(case(bench, **{knob: math.log(factor)}), SEEN)[0]
    # A strip of other power runs warmer, which an answer counts in the copper.
    assert shown == pytest.approx(answered(made, catalogue), rel=2e-4)


def test_a_pack_of_less_charge_shows_what_its_answer_says():
    made, part = one_run(), parts().packs[PACK]
    catalogue = catalogue_with(
        "packs",
        PACK,
        capacity_coulomb=0.7 * part.capacity_coulomb,
        fast_capacity_coulomb=0.7 * part.fast_capacity_coulomb,
    )
    bench = model(made)
    shown = bench.predict(case(bench, capacity=math.log(0.7)), SEEN)[0]
    assert shown == pytest.approx(answered(made, catalogue), rel=1e-6)


@pytest.mark.parametrize("name", ["shelf", "bank", "cabinet"])
def test_hours_and_amps_are_those_of_an_answer_with_any_source(name):
    bench, made = model_of(name), DESIGNS[name]()
    box = answer(made, parts()).supplies[0]
    ends = "half light" if box.half_light_h is not None else "out"
    probes = [Probe("time", box.supply, "light", until=ends)]
    expected = [box.full_level_h * 3600.0]
    if name != "bank":
        probes.append(Probe("current", box.supply, "pack"))
        expected.append(box.levels[0].pack_start_a)
    assert bench.predict(bench.as_drawn, probes)[0] == pytest.approx(expected, rel=1e-3)


def test_cases_in_a_batch_are_each_as_if_alone():
    for name in DESIGNS:
        bench = model_of(name)
        probes = everything(bench)
        rng = np.random.default_rng(2)
        cases = np.repeat(bench.as_drawn, 3, axis=0)
        log = [n for n, (knob, _, _) in enumerate(bench.knobs) if "joint" not in knob]
        log = [n for n in log if bench.knobs[n][0] != "state"]
        cases[:, log] += rng.normal(0.0, 0.03, (3, len(log)))
        together = bench.predict(cases, probes)
        alone = np.concatenate([bench.predict(one[None], probes) for one in cases])
        assert together == pytest.approx(alone, rel=1e-9)


def test_a_weak_joint_shows_after_it_and_not_before():
    bench = model(one_run())
    before = Probe("voltage", "box", "lead", "rail")
    amps = Probe("current", "box", "run", "rail")
    good = bench.predict(bench.as_drawn, [before, pad(0.0), amps])[0]
    weak = bench.predict(case(bench, joint=HALF_AN_OHM), [before, pad(0.0), amps])[0]
    assert weak[0] - weak[1] == pytest.approx(HALF_AN_OHM * weak[2], rel=1e-9)
    assert good[0] == pytest.approx(good[1], rel=1e-12)
    assert weak[0] > good[0]


def test_a_joint_and_a_longer_lead_of_the_same_ohms_look_alike_on_the_strip():
    bench = model(one_run())
    loop = 2.0 * float(bench.built[0].circuit.network.leads[0].positive_ohm)
    longer = case(bench, lead=math.log(1.0 + HALF_AN_OHM / loop))
    probes = [pad(0.0), pad(1.4), Probe("current", "box", "run", "rail")]
    joint = case(bench, joint=HALF_AN_OHM)
    assert bench.predict(longer, probes) == pytest.approx(bench.predict(joint, probes), rel=1e-6)


def test_a_reversed_run_is_dark_and_shows_volts_the_wrong_way_round():
    bench = model(one_run())
    probes = [pad(0.0), Probe("current", "box", "run", "rail"), Probe("voltage", "box", "output")]
    volts, amps, output = bench.predict(case(bench, state=REVERSED), probes)[0]
    assert amps == pytest.approx(0.0, abs=1e-6)
    assert volts == pytest.approx(-output, rel=1e-3)


def test_an_open_joint_has_all_the_volts_before_it_and_none_after():
    bench = model(one_run())
    probes = [pad(0.0), Probe("voltage", "box", "lead", "rail")]
    after, before = bench.predict(case(bench, state=OPEN), probes)[0]
    assert (after, before) == (0.0, pytest.approx(12.0, rel=1e-3))


def test_volts_fall_from_the_feed_to_the_far_end_and_lie_between_there():
    bench = model(one_run())
    places = np.linspace(0.0, 1.4, 15)
    volts = bench.predict(bench.as_drawn, [pad(at_m) for at_m in places])[0]
    assert (np.diff(volts) < 0.0).all()


def test_a_converter_at_its_limit_holds_its_current_and_loses_volts():
    bench = model(one_run())
    probes = [Probe("voltage", "box", "output"), Probe("current", "box", "output")]
    cases = np.concatenate([bench.as_drawn, case(bench, rated=math.log(5.0 / 12.0), power=1.5)])
    volts, amps = bench.predict(cases, probes).T
    limit_a = parts().converters[CONVERTER].output_max_a
    assert volts[0] == pytest.approx(12.0)
    assert volts[1] < 11.5
    assert amps[1] == pytest.approx(limit_a, rel=1e-3)


def test_a_lower_level_takes_its_share_of_the_current():
    bench = model(one_run())
    whole, part = bench.predict(
        bench.as_drawn,
        [Probe("current", "box", "run", "rail", level_ratio=level) for level in (1.0, 0.3)],
    )[0]
    assert part == pytest.approx(0.3 * whole, rel=1e-9)


def test_straight_on_a_pack_the_volts_of_the_run_follow_it_down():
    made = one_run(None, "liion-3s-5200")
    made = replace(made, use=evening(1.0))
    bench = model(made)
    probes = [pad(0.0, lit_s=hours * 3600.0) for hours in (0.0, 1.0, 3.0)]
    volts = bench.predict(bench.as_drawn, probes)[0]
    assert (np.diff(volts) < -0.05).all()


def test_every_fault_of_every_design_can_be_worked_out():
    for name in DESIGNS:
        bench = model_of(name)
        faults = faults_of(bench)
        cases = np.repeat(bench.as_drawn, len(faults), axis=0)
        for row, fault in enumerate(faults):
            fault.turn(cases[row : row + 1], np.array([fault.mean + 2.0 * fault.sd]))
        assert np.isfinite(bench.predict(cases, everything(bench))).all()
        assert sum(fault.prior for fault in faults) == pytest.approx(1.0)

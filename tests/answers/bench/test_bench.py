"""What a bench says: agreement, faults and what would tell them apart, figures learned."""

import math
from dataclasses import replace

import numpy as np
import pytest
from benches import everything, example
from designs import design, evening, feed, parts, run, supply
from scipy import stats

from lightcalc.answers.bench.bench import _deviations, bench, refitter_for
from lightcalc.answers.bench.built import built_supplies
from lightcalc.answers.bench.model import REVERSED, BenchModel
from lightcalc.answers.bench.parameters import parameters_of
from lightcalc.answers.bench.words import words_for
from lightcalc.design.readings import USUAL_ACCURACY, Accuracy, Probe, Reading, Readings

HALL = example("hall-bench")
MODEL = BenchModel(built_supplies(HALL, parts()))
OFFERED = tuple(everything(MODEL))
ON_STRIPS = tuple(p for p in OFFERED if p.place == "pad" or p.quantity == "current")


def knobs(**changed):
    """Turn knobs of the hall bench; the number of the run or lead follows the name: `joint_1`."""
    cases = MODEL.as_drawn
    for name, value in changed.items():
        knob, _, place = name.rpartition("_")
        cases[0, MODEL.column[knob.replace("_", " "), 0, int(place)]] = value
    return cases


def read(probes, meters=None, **changed):
    """Read the hall bench exactly as the whole model shows it."""
    shown = MODEL.predict(knobs(**changed), probes)[0]
    meters = meters or USUAL_ACCURACY
    return Readings(
        tuple(
            Reading("", probe, float(value), meters[probe.quantity])
            for probe, value in zip(probes, shown, strict=True)
        )
    )


def bench_of(probes=OFFERED, meters=None, **changed):
    return bench(HALL, parts(), read(probes, meters, **changed))


def figure(found, code, owner=None):
    return next(f for f in found.figures if f.code == code and owner in (None, f.owner))


def test_a_piece_as_drawn_agrees_and_has_no_fault():
    found = bench_of()
    assert found.verdict == "no fault"
    assert {reading.verdict for reading in found.readings} == {"agrees"}
    for reading in found.readings:
        assert reading.low < reading.measured < reading.high
        assert reading.predicted == pytest.approx(reading.measured)
    assert found.faults == ()
    assert found.tell_apart == ""


@pytest.mark.parametrize(
    ("code", "place", "changed"),
    [
        ("reversed feed", "run back rail", {"state_1": REVERSED}),
        ("open feed", "front rail feed 1", {"state_0": 1.0}),
        ("weak joint", "back rail feed 1", {"joint_1": 0.8}),
        ("thin lead", "back rail feed 1", {"lead_1": math.log(8.0)}),
        (
            "thin rails",
            "strip strip-12v-60-warm",
            {"rail_0": math.log(2.5), "rail_1": math.log(2.5)},
        ),
        ("weak pack", "pack of seat box", {"capacity_0": math.log(0.6)}),
        ("other power", "run front rail", {"power_0": math.log(2.0)}),
        (
            "other volts",
            "strip strip-12v-60-warm",
            {"rated_0": math.log(2.0), "rated_1": math.log(2.0)},
        ),
    ],
)
def test_each_fault_is_named_with_its_place_and_magnitude(code, place, changed):
    found = bench_of(**changed)
    assert found.verdict == "fault"
    likeliest = found.faults[0]
    assert (likeliest.code, likeliest.place) == (code, place)
    assert likeliest.probability_ratio > 0.9
    if likeliest.magnitude is not None:
        (true, *_) = changed.values()
        true = true if likeliest.unit == "ohm" else math.exp(true)
        assert likeliest.magnitude_low < true < likeliest.magnitude_high


def test_a_joint_and_a_thin_lead_are_told_apart_only_by_the_volts_before_the_joint():
    found = bench_of(ON_STRIPS, joint_1=0.3)
    assert {fault.code for fault in found.faults} == {"weak joint", "thin lead"}
    assert {fault.place for fault in found.faults} == {"back rail feed 1"}
    before = Probe("voltage", "seat box", "lead", "back rail", at_m=0.0, spot="lead 1")
    assert found.tell_apart == words_for(before)
    assert found.tell_apart_deviations_ratio > 3.0
    known = bench_of((*ON_STRIPS, before), joint_1=0.3)
    assert known.faults[0].code == "weak joint"
    assert known.faults[0].probability_ratio > 0.9


def test_charge_is_learned_from_hours_and_not_from_volts():
    by_volts = bench_of(ON_STRIPS)
    charge = figure(by_volts, "capacity")
    assert not charge.learned
    assert charge.narrowed_ratio == pytest.approx(1.0, abs=0.05)
    assert charge.found == pytest.approx(charge.stated, rel=0.01)
    timed = bench_of()
    assert figure(timed, "capacity").narrowed_ratio < charge.narrowed_ratio


def test_what_is_not_learned_says_which_reading_would_narrow_it_and_it_does():
    first = tuple(p for p in OFFERED if p.place == "pad")
    charge = figure(bench_of(first), "capacity")
    assert charge.taught_by
    (taught,) = [p for p in OFFERED if words_for(p) == charge.taught_by]
    narrowed = figure(bench_of((*first, taught)), "capacity").narrowed_ratio
    assert narrowed == pytest.approx(charge.taught_ratio, rel=0.05)


def test_the_same_reading_again_on_a_better_meter_narrows_more():
    worse = {**USUAL_ACCURACY, "current": Accuracy(0.05, 0.1)}
    power = [figure(bench_of(OFFERED, m), "power").narrowed_ratio for m in (worse, None)]
    assert power[0] > power[1]


def test_a_whole_reel_of_other_power_goes_into_its_row_and_one_run_does_not():
    every = bench_of(power_0=math.log(1.5), power_1=math.log(1.5))
    assert figure(every, "power").found == pytest.approx(1.5 * 4.8, rel=0.05)
    row = every.rows["strips"]["strip-12v-60-warm"]
    assert row["power_w_per_m"] == pytest.approx(figure(every, "power").found)
    one = bench_of(power_0=math.log(1.5))
    assert figure(one, "power").found == pytest.approx(4.8, rel=0.05)


def test_tolerances_written_are_those_left_after_the_readings():
    found = bench_of(capacity_0=math.log(0.95))
    charge = figure(found, "capacity")
    assert charge.learned
    row = found.rows["packs"]["liion-4s-6800"]
    half_width = math.log(charge.found_high / charge.found)
    assert row["capacity_tolerance"] == pytest.approx(half_width * 2.0 / 1.96, rel=1e-6)
    assert row["capacity_tolerance"] < parts().packs["liion-4s-6800"].capacity_tolerance


def test_volts_of_the_output_become_a_line_of_the_design():
    found = bench_of(output_0=math.log(1.012))
    (line,) = [line for line in found.lines if line.table == "supplies"]
    assert (line.name, line.line[:10]) == ("seat box", 'output = "')
    assert float(line.line[10:-3]) == pytest.approx(12.14, abs=0.1)


# Too few volts at the far end of a run whose amps are right. A weak joint in its lead comes nearest
# to explaining all of them, and would have taken amps away: so it misses the amps most.
@pytest.mark.parametrize("run", ["front rail", "back rail"])
def test_the_odd_one_is_the_wrong_reading_and_not_one_that_a_made_up_fault_misses(run):
    few = tuple(p for p in ON_STRIPS if p.place == "run" or p.spot == "far end")
    assert len(few) == 4
    readings = [
        replace(one, value=one.value - 0.5)
        if (one.probe.run, one.probe.spot) == (run, "far end")
        else one
        for one in read(few).readings
    ]
    found = bench(HALL, parts(), Readings(tuple(readings)))
    assert found.verdict == "unexplained"
    assert found.odd_one == f"volts at the far end of {run}"


def test_readings_that_nothing_explains_teach_nothing():
    readings = read(ON_STRIPS).readings
    odd = replace(readings[0], value=6.0)
    found = bench(HALL, parts(), Readings((odd, *readings[1:])))
    assert found.verdict == "unexplained"
    assert found.odd_one == words_for(odd.probe)
    assert not any(one.learned for one in found.figures)
    assert (found.rows, found.lines, found.faults) == ({}, (), ())


def test_a_fault_within_the_bands_shows_beside_the_other_readings():
    found = bench_of(joint_1=0.5)
    verdicts = {reading.place: reading.verdict for reading in found.readings}
    assert verdicts["volts at the far end of back rail"] == "low beside others"


def test_one_reel_on_two_supplies_is_one_figure_and_two_packs_are_two():
    runs = [
        run("strip-12v-60-warm", 1.0, name=name, supply=box, feeds=(feed(name=f"{name} lead"),))
        for name, box in (("one", "left"), ("two", "right"))
    ]
    boxes = (supply(name="left"), supply(name="right"))
    made = design(*runs, supplies=boxes, use=evening())
    both = BenchModel(built_supplies(made, parts()))
    codes = [parameter.code for parameter in parameters_of(both, parts())]
    assert codes.count("power") == 1
    assert codes.count("capacity") == 2
    probes = everything(both)
    cases = both.as_drawn
    cases[0, both.column["capacity", 1, 0]] = math.log(0.6)
    shown = both.predict(cases, probes)[0]
    taken = [
        Reading("", probe, float(value), USUAL_ACCURACY[probe.quantity])
        for probe, value in zip(probes, shown, strict=True)
    ]
    found = bench(made, parts(), Readings(tuple(taken)))
    assert (found.faults[0].code, found.faults[0].place) == ("weak pack", "pack of right")
    assert figure(found, "capacity", "left").found == pytest.approx(6.8, rel=0.03)
    assert figure(found, "capacity", "right").found == pytest.approx(0.6 * 6.8, rel=0.05)


@pytest.mark.parametrize("count", [1, 3, 12, 40])
def test_deviations_of_a_misfit_match_the_tail_of_the_chi_square(count):
    # Against scipy's chi-square distribution, at one in 20 and one in 2000.
    for tail in (0.05, 0.0005):
        found = _deviations(float(stats.chi2(count).isf(tail)), count)
        assert stats.norm.sf(found) == pytest.approx(tail, rel=0.3)
    assert np.isfinite(_deviations(0.0, count))


def test_a_pack_found_far_below_its_label_is_written_so():
    shelf = example("bedside-shelf")
    far = Probe("voltage", "drawer", "pad", "shelf edge", at_m=0.4, spot="far end")
    amps = Probe("current", "drawer", "run", "shelf edge")
    half = Probe("time", "drawer", "light", until="half light")
    taken = [
        Reading("", far, 12.3, USUAL_ACCURACY["voltage"]),
        Reading("", amps, 0.176, USUAL_ACCURACY["current"]),
        Reading("", half, 7800.0, USUAL_ACCURACY["time"]),
    ]
    found = bench(shelf, parts(), Readings(tuple(taken)))
    charge = figure(found, "capacity")
    assert charge.learned
    assert charge.found_high < charge.stated_low
    assert found.rows["packs"]["aa-alkaline-8"]["capacity_tolerance"] > 0.0
    assert found.faults[0].code == "weak pack"


def test_a_meter_is_off_by_half_of_what_is_said_of_it_and_by_one_share_on_all_its_readings():
    # What is said of a meter is taken for two deviations; the share is a scale, the rest is noise.
    probes = tuple(probe for probe in ON_STRIPS if probe.quantity == "voltage")
    meter = Accuracy(0.01, 0.05)
    model = BenchModel(built_supplies(HALL, parts()))
    taken = Readings(tuple(Reading("", probe, 0.0, meter) for probe in probes))
    refitter = refitter_for(model, parts(), taken)
    assert refitter.noise_sd == pytest.approx([0.025] * len(probes))
    assert refitter.scales == (("voltage", 0.01),)
    place = len(refitter.parameters)
    assert refitter.sd[place] == pytest.approx(0.005)
    numbers = np.zeros((2, refitter.size))
    numbers[1, place] = 0.01
    drawn, scaled = refitter.shown(refitter.faults[:1] * 2, numbers)
    assert scaled == pytest.approx(1.01 * drawn)


def test_a_reading_left_out_is_as_if_it_were_never_taken():
    taken = read(ON_STRIPS, joint_0=0.2).readings
    spoiled = replace(taken[1], value=0.7 * taken[1].value)
    values = np.array([one.value for one in (taken[0], spoiled, *taken[2:])])
    out = np.arange(len(taken)) == 1
    (left,) = refitter_for(MODEL, parts(), Readings(taken)).refit(values[None], out[None])
    fewer = Readings((taken[0], *taken[2:]))
    (alone,) = refitter_for(MODEL, parts(), fewer).refit(values[None, ~out])
    assert left.probability == pytest.approx(alone.probability, abs=1e-6)
    assert left.best.peak.misfit == pytest.approx(alone.best.peak.misfit, rel=1e-6)

"""Volts and light along the runs, as the answer has them."""

from dataclasses import replace

import pytest
from to_draw import INCH, METRIC, answered

from lightcalc.screens.charts import light_along_runs, volts_along_runs

# The international inch: NIST Special Publication 811, appendix B.
INCH_M = 0.0254


@pytest.mark.parametrize("design", ["hall-bench", "display-cabinet", "bedside-shelf"])
def test_lines_are_the_volts_and_light_of_the_answer(design):
    runs = answered(design).runs
    volts, light = volts_along_runs(runs, METRIC), light_along_runs(runs, 0.1, METRIC)
    for number, run in enumerate(runs):
        metres = 1.0 if max(r.cut_length_m for r in runs) >= 1.0 else 0.001
        drawn, lit = volts.figure.data[2 * number], light.figure.data[2 * number]
        assert drawn.name == lit.name == run.run
        assert drawn.y == pytest.approx(run.profile.unit_v)
        assert lit.y == pytest.approx([100.0 * share for share in run.profile.light_ratio])
        assert drawn.x == lit.x
        assert drawn.x == pytest.approx([m / metres for m in run.profile.position_m])
    rows = sum(len(run.profile.unit_v) for run in runs)
    assert len(volts.rows) == len(light.rows) == rows


def test_an_inch_design_has_inches_along_the_run():
    runs = answered("bedside-shelf").runs
    made = volts_along_runs(runs, INCH)
    assert made.figure.data[0].x == pytest.approx([m / INCH_M for m in runs[0].profile.position_m])
    assert made.columns[1].endswith("(in)")
    assert made.figure.layout.xaxis.title.text.endswith("(in)")
    assert " in from its start" in made.figure.data[0].hovertext[-1]


def test_long_runs_in_inches_have_ticks_in_feet():
    # The hall bench's runs are cut to 1.4 m, which is 55 1/8 in.
    axis = volts_along_runs(answered().runs, INCH).figure.layout.xaxis
    assert axis.tickvals == (0.0, 12.0, 24.0, 36.0, 48.0)
    assert axis.ticktext == ("0", "1 ft", "2 ft", "3 ft", "4 ft")


@pytest.mark.parametrize("asked", [0.02, 0.1, 0.3])
def test_the_limit_lies_as_far_below_the_brightest_as_asked(asked):
    runs = answered().runs
    made = light_along_runs(runs, asked, METRIC)
    limits = [one for one in made.figure.data if one.legendgroup == "limit"]
    assert len(limits) == len(runs)
    for limit, run in zip(limits, runs, strict=True):
        assert limit.y == pytest.approx([100.0 * run.brightest_light_ratio * (1.0 - asked)] * 2)
        assert limit.line.dash == "dot"
    falls = max(run.light_fall_ratio for run in runs)
    assert ("within the fall" in made.says) == (falls <= asked)
    assert ("more than the fall" in made.says) == (falls > asked)


def test_hovering_reads_like_a_sentence():
    run = answered().runs[0]
    made = volts_along_runs(answered().runs, METRIC)
    first = made.figure.data[0].hovertext[0]
    place, volts = METRIC.length(run.profile.position_m[0]), METRIC.volts(run.profile.unit_v[0])
    assert first == f"Front rail, {place} from its start:<br>{volts}"


def test_light_is_drawn_from_nothing_up_and_volts_are_not_blown_up():
    for design in ("hall-bench", "bedside-shelf"):
        runs = answered(design).runs
        low, high = light_along_runs(runs, 0.1, METRIC).figure.layout.yaxis.range
        assert low == 0.0
        assert high >= 100.0
        low, high = volts_along_runs(runs, METRIC).figure.layout.yaxis.range
        assert (high - low) / high >= 0.1
        assert low < min(v for run in runs for v in run.profile.unit_v)


def test_a_run_of_one_cut_unit_can_be_seen():
    run = answered().runs[0]
    profile = replace(
        run.profile, position_m=(0.025,), unit_v=(12.0,), unit_a=(0.02,), light_ratio=(1.0,)
    )
    one = replace(run, profile=profile, cut_length_m=0.05, dimmest_at_m=0.025)
    for made in (volts_along_runs([one], METRIC), light_along_runs([one], 0.1, METRIC)):
        assert "markers" in made.figure.data[1].mode
        assert made.figure.data[1].x == made.figure.data[0].x == (25.0,)


def test_a_dark_run_is_drawn_at_nothing():
    run = answered().runs[0]
    dark = replace(run.profile, light_ratio=(0.0,) * len(run.profile.light_ratio))
    one = replace(
        run,
        profile=dark,
        dimmest_light_ratio=0.0,
        brightest_light_ratio=0.0,
        light_fall_ratio=0.0,
    )
    made = light_along_runs([one], 0.1, METRIC)
    assert set(made.figure.data[0].y) == {0.0}
    assert made.figure.layout.yaxis.range[1] >= 100.0

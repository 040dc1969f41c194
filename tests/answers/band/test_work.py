"""How many builds are tried: ten thousand of a usual piece, fewer of a large one, or as asked."""

import sys
from itertools import pairwise
from pathlib import Path

import numpy as np
import pytest
from designs import design, evening, parts, run, supply
from test_spread import DESIGNS, case

from lightcalc.answers.answer import answer
from lightcalc.answers.band.inputs import Factors, dimensions_of, inputs_of
from lightcalc.answers.band.spread import Case, built_as_answered, sampled, spread
from lightcalc.answers.band.strips import StripCases
from lightcalc.answers.band.work import LEAST_SAMPLES, MOST_SAMPLES, usual_samples
from lightcalc.physics.sampling import normal_scores

sys.path.append(str(Path(__file__).parents[2] / "hostile"))

import sizes


@pytest.mark.parametrize("name", ["hall bench", "bank"])
def test_ten_thousand_builds_of_a_usual_piece_are_tried(name):
    assert usual_samples(built_as_answered(case(name))) == MOST_SAMPLES == 10_000


@pytest.mark.parametrize("name", sizes.LARGEST)
def test_fewer_builds_of_the_largest_pieces_are_tried(name):
    size, cut_unit_m = sizes.LARGEST[name]
    fine = sizes.cut_every(case("bank").catalogue, cut_unit_m)
    drawn = sizes.a_design(fine, **size)
    built = built_as_answered(Case(drawn, fine, answer(drawn, fine)))
    assert LEAST_SAMPLES <= usual_samples(built) <= MOST_SAMPLES // 5


def test_a_number_that_is_asked_for_is_honoured_and_told_as_it_goes():
    told = []
    found = spread(case("hall bench"), samples=10_500, watch=lambda *far: told.append(far))
    assert found.samples_count == 10_500
    assert told[0] == (0, 10_500)
    assert len(told) > 1
    assert all(before < now for (before, _), (now, _) in pairwise(told))


@pytest.mark.parametrize("name", DESIGNS)
def test_strips_that_are_off_and_draw_nothing_need_not_be_solved(name, monkeypatch):
    """The same builds with every state solved, also those in which no channel is on."""
    one = case(name)
    built = built_as_answered(one)
    scores = normal_scores(4, len(dimensions_of(inputs_of(built, one.catalogue))), 3)
    quick = sampled(one, built, scores)
    monkeypatch.setattr(StripCases, "_rests", False)
    slow = sampled(one, built, scores)
    for a, b in zip(quick.results, slow.results, strict=True):
        assert np.allclose(a.values, b.values, rtol=1e-9, atol=1e-12)


def test_a_piece_whose_volts_light_nothing_has_a_band_of_numbers():
    """Strips for 24 V on cells of 6 V: no light falls by all of it, as in an answer."""
    drawn = design(
        run("strip-24v-tunable-240", 0.5, name="edge"),
        supplies=(supply("aa-alkaline-4", None),),
        use=evening(1.0),
    )
    one = Case(drawn, parts(), answer(drawn, parts()))
    assert "no-light" in {finding.code for finding in one.answer.findings}
    with np.errstate(all="raise"):
        (strips,) = (
            StripCases(0, built, drawn.use, Factors(inputs, scores))
            for built in built_as_answered(one)
            for inputs in [inputs_of([built], parts())]
            for scores in [normal_scores(20, len(dimensions_of(inputs)), 3)]
        )
        (edge,) = strips.runs_at_full()
    assert np.all(edge.light_lm < 1e-9)
    assert np.all(edge.light_fall_ratio > 0.999)

"""How sure an answer is: the batch of builds against answers asked one by one."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from designs import EXAMPLES, design, evening, parts, run, supply
from plain_builds import Draws, build, headlines, named

from lightcalc.answers.answer import answer
from lightcalc.answers.spread import Case, built_as_answered, sampled
from lightcalc.answers.spread_inputs import dimensions_of, inputs_of
from lightcalc.design.piece import Ask, Seen, Space
from lightcalc.design.read import read_design
from lightcalc.physics.sampling import normal_scores

FLOOR = Seen("the floor", 0.03, 1.5)
OPAL = Seen("the cover", 0.02, 1.0, sheet="sheet-opal-3", thickness_m=0.003)


def example(name):
    """An example design, not drawn in space, so that its answer comes quickly."""
    made = read_design(EXAMPLES / f"{name}.toml")[0]
    return replace(made, space=Space(), runs=tuple(replace(r, mounts=()) for r in made.runs))


def two_supplies():
    """Two packs of one batch, two strips of another, a converter by its loss points, no dimmer."""
    return design(
        run("strip-12v-120-warm", 1.0, name="left", supply="a", seen=(FLOOR,)),
        run("strip-12v-120-warm", 0.6, name="right", supply="b", mounting="cast in resin"),
        supplies=(
            supply("liion-1s-10000", "boost-12v-1a5", name="a", health_ratio=0.8),
            supply("liion-1s-10000", "boost-12v-1a5", name="b", pack_multiple=2),
        ),
        use=evening(0.5, 1.0, hours=1.0, evenings_a_week=3.0, temperature_c=5.0),
        ask=Ask(charge_s=7200.0),
    )


def at_its_limit():
    """A converter at its current limit in some builds and not in others."""
    return design(
        run("strip-12v-120-warm", 1.9, name="long"),
        supplies=(supply("liion-1s-10000", "boost-12v-1a5"),),
        use=evening(1.0),
    )


def bank():
    """A bank that takes the lower level of the evening for nothing in some builds."""
    return design(
        run("strip-5v-60-warm", 0.5, name="edge", seen=(FLOOR,)),
        supplies=(supply("usb-10000", None, controller="dimmer-smooth-1ch"),),
        use=evening(1.0, 0.15, hours=2.0),
    )


def colours():
    """Mixed colours of a constant-current strip of another kind, straight on a pack."""
    return design(
        run("strip-12v-tunable-120", 1.0, name="shelf", seen=(FLOOR,)),
        supplies=(supply("liion-3s-5200", None),),
        use=evening(0.7, hours=2.0),
    )


def trips():
    """A pack whose protection switches off in some builds."""
    return design(
        run("strip-12v-120-warm", 1.6, name="bright"),
        supplies=(supply("nimh-aa-10-2000", None, pack_multiple=1),),
        use=evening(1.0),
    )


DESIGNS = {
    "hall bench": lambda: example("hall-bench"),
    "cabinet": lambda: example("display-cabinet"),
    "shelf": lambda: example("bedside-shelf"),
    "two supplies": two_supplies,
    "at its limit": at_its_limit,
    "bank": bank,
    "colours": colours,
}


@cache
def case(name):
    made = named(DESIGNS[name](), parts())
    return Case(made, parts(), answer(made, parts()))


class Columns:
    """Normal numbers out of one row of a sample, by what they stand for."""

    def __init__(self, one, built, row):
        self.row, self.column = row, {}
        inputs = inputs_of(built, one.catalogue)
        for column, dimension in enumerate(dimensions_of(inputs)):
            what, place = inputs[dimension.owner], None
            if dimension.place is not None:
                place = what.places[dimension.place]
                if what.code == "wire" and len(place) == 2:
                    place = (place[0], built[place[0]].wired.leads[place[1]].lead.name)
            self.column[what.code, what.of, place] = column

    def normal(self, code, of, place):
        return self.row[self.column[code, of, place]]


@pytest.mark.parametrize("name", DESIGNS)
def test_each_build_of_the_batch_is_what_an_answer_says_of_it(name, monkeypatch) -> None:
    one = case(name)
    built = built_as_answered(one)
    inputs = inputs_of(built, one.catalogue)
    scores = normal_scores(12, len(dimensions_of(inputs)), seed=11)
    batch = sampled(one, built, scores)
    found = {(result.code, result.of): result.values for result in batch.results}
    for number, row in enumerate(scores):
        draws = Draws(Columns(one, built, row).normal)
        alone = answer(*build(one.design, one.catalogue, draws, monkeypatch))
        for key, value in headlines(alone).items():
            # Dots far below the eye's threshold are tiny numbers that distance moves by powers.
            rel = 3e-2 if key[0] == "dots" and value < 1e-3 else 2e-3
            assert found[key][number] == pytest.approx(value, rel=rel, abs=1e-60), key
        for place, said in enumerate(alone.supplies):
            assert batch.ended_by[place][number] == said.ended_by


@pytest.mark.parametrize("name", DESIGNS)
def test_a_build_of_catalogue_parts_is_the_answer_itself(name) -> None:
    one = case(name)
    built = built_as_answered(one)
    count = len(dimensions_of(inputs_of(built, one.catalogue)))
    batch = sampled(one, built, np.zeros((2, count)))
    for result in batch.results:
        np.testing.assert_allclose(result.values, result.nominal, rtol=2e-3, atol=1e-60)

"""A search puts what it found in order, says why, and says what would have to give way."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from lightcalc.answers.finder.demands import ranks_of
from lightcalc.answers.finder.find import find
from lightcalc.answers.finder.reasons import why_it
from lightcalc.answers.finder.search import Standing
from lightcalc.design.find import MERITS, Find
from lightcalc.design.read import read_design

EXAMPLES = Path(__file__).parents[3] / "catalog_examples"
PACKS = ("liion-4s-6800", "liion-3s-10400", "lifepo4-4s-6000", "liion-6s-5200")
CONVERTERS = ("buck-12v-5a", "buck-adjustable-3a", "buckboost-12v-4a")


@cache
def bench():
    """The bench with a handful of packs and converters to choose from."""
    design, catalogue = read_design(EXAMPLES / "hall-bench.toml")
    few = replace(
        catalogue,
        packs={name: catalogue.packs[name] for name in PACKS},
        converters={name: catalogue.converters[name] for name in CONVERTERS},
    )
    return replace(design, find=Find(open=("pack", "packs", "converter"))), few


def searched(hours_h=6.0, **wanted):
    design, catalogue = bench()
    ask = replace(design.ask, charge_s=hours_h * 3600.0)
    return find(replace(design, ask=ask, find=replace(design.find, **wanted)), catalogue)


@pytest.fixture(scope="module")
def usual():
    return searched()


def test_something_is_found_and_nothing_beats_anything_else(usual):
    rows = [ranks_of(hit.found.merits) for hit in usual.hits]
    assert len(rows) > 2
    for one in rows:
        assert not any((one >= other).all() and (one > other).any() for other in rows)


@pytest.mark.parametrize("merit", MERITS)
def test_what_matters_first_comes_first(merit):
    hits = searched(matters=(merit,)).hits
    place = MERITS.index(merit)
    ranked = [int(ranks_of(hit.found.merits)[place]) for hit in hits]
    # It counts twice the next, so the first is among the better half in it.
    assert ranked[0] <= sorted(ranked)[len(ranked) // 2]


def test_ranks_count_from_one(usual):
    assert [hit.found.rank for hit in usual.hits] == list(range(1, len(usual.hits) + 1))


def test_why_names_every_merit_that_differs_by_a_step_and_no_other(usual):
    for one, beside in zip(usual.hits, usual.hits[1:], strict=False):
        mine, other = ranks_of(one.found.merits), ranks_of(beside.found.merits)
        why = one.found.why
        gains, _, losses = why.partition("; but ")
        words = (("cheaper", "dearer"), ("longer", "shorter"), ("more even", "less even"))
        for place, (better, worse) in enumerate((*words, ("lighter", "heavier"))):
            assert (better in gains) == (mine[place] < other[place]), why
            assert (worse in losses) == (mine[place] > other[place]), why


def test_why_says_the_true_difference():
    design, catalogue = bench()
    hit = searched().hits[0]
    merits = replace(hit.found.merits, price=100.0, hours_h=6.0)
    one = Standing(hit.choice, hit.design, merits, ranks_of(merits))
    cheap = replace(merits, price=80.0, hours_h=4.0)
    other = Standing(hit.choice, hit.design, cheap, ranks_of(cheap))
    from lightcalc.answers.finder.choices import Choices

    why = why_it(one, other, Choices(design, catalogue))
    assert why == "2 h longer; but 20 EUR dearer"


def test_a_stopped_search_keeps_the_best_so_far():
    design, catalogue = bench()
    whole = find(design, catalogue)
    steps = []

    def after_the_first(progress):
        steps.append(progress)
        return bool(progress.standing)

    found = find(design, catalogue, after_the_first)
    if steps[-1].left_count:
        assert not found.search.whole
    assert found.hits
    assert len(found.hits) <= len(whole.hits)
    assert whole.search.whole


def test_what_must_give_way_can_be_had_and_nothing_better():
    hopeless = searched(hours_h=90.0)
    assert not hopeless.hits
    (relaxed,) = (one for one in hopeless.search.relaxed if one.demand == "hours")
    assert relaxed.asked == pytest.approx(90.0)
    best_h = relaxed.nearest
    assert best_h is not None
    assert searched(hours_h=0.999 * best_h).hits
    # Hours within a step of 2 % count as equal, so the best may be that much more.
    assert not searched(hours_h=1.021 * best_h).hits


def test_a_price_that_cannot_be_met_says_the_least_there_is():
    hopeless = searched(price=10.0)
    (relaxed,) = (one for one in hopeless.search.relaxed if one.demand == "price")
    assert relaxed.nearest is not None
    assert searched(price=1.011 * relaxed.nearest).hits
    assert not searched(price=relaxed.nearest / 1.011).hits


def test_what_is_wrong_with_the_design_as_drawn_is_said():
    asked = searched(hours_h=12.0).search
    assert "hours-short" in asked.drawn.stops
    assert "hours" in asked.drawn.missed
    assert not searched().search.drawn.stops


def test_nothing_is_asked_of_light_but_nine_tenths_of_what_was_drawn(usual):
    (light,) = (one for one in usual.search.asked if one.demand == "light")
    assert light.value == pytest.approx(0.9 * usual.search.drawn.merits.light_lm)


def test_cells_to_throw_away_do_not_replace_a_pack_that_is_charged():
    design, catalogue = read_design(EXAMPLES / "hall-bench.toml")
    assert any(not pack.rechargeable for pack in catalogue.packs.values())
    found = find(replace(design, find=Find(open=("pack", "packs"))), catalogue)
    for hit in found.hits:
        for supply in hit.design.supplies:
            pack = catalogue.packs[supply.pack]
            assert pack.rechargeable
            assert pack.output_v is None or supply.pack_multiple == 1

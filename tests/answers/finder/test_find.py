"""A search puts what it found in order, says why, and says what would have to give way."""

from dataclasses import replace
from functools import cache
from pathlib import Path

import pytest

from lightcalc.answers.answer import answer_parts
from lightcalc.answers.finder.choices import Choices
from lightcalc.answers.finder.demands import ranks_of
from lightcalc.answers.finder.find import LIGHT_STEP, find
from lightcalc.answers.finder.reasons import why_it
from lightcalc.answers.finder.search import Standing, merits_of
from lightcalc.design.find import MERITS, Find
from lightcalc.design.read import read_design
from lightcalc.screens.find_sheet import drawn_words

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


def searched(hours_h=6.0, fall_ratio=0.1, **wanted):
    design, catalogue = bench()
    ask = replace(design.ask, charge_s=hours_h * 3600.0, light_fall_ratio=fall_ratio)
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


def test_each_is_held_against_the_next_and_the_last_against_the_one_before(usual):
    design, catalogue = bench()
    choices = Choices(design, catalogue)
    ordered = [
        Standing(hit.choice, hit.design, hit.found.merits, ranks_of(hit.found.merits))
        for hit in usual.hits
    ]
    beside = [*ordered[1:], ordered[-2]]
    for hit, one, other in zip(usual.hits, ordered, beside, strict=True):
        assert hit.found.why == why_it(one, other, choices)


def test_one_alone_is_held_against_nothing():
    design, catalogue = bench()
    (hit,) = find(replace(design, find=Find(open=("wire",), most_packs=1)), catalogue).hits[:1]
    assert hit.found.rank == 1


def test_a_stopped_search_keeps_the_best_so_far():
    design, catalogue = read_design(EXAMPLES / "hall-bench.toml")
    whole, steps = find(design, catalogue), []

    def after_the_first(progress):
        steps.append(progress)
        return bool(progress.standing)

    found = find(design, catalogue, after_the_first)
    assert steps[-1].left_count > 0, "the search is over before it can be stopped"
    assert not found.search.whole
    assert {hit.choice for hit in found.hits} <= {one.choice for one in steps[-1].standing}
    assert 0 < len(found.hits) < len(whole.hits)
    assert whole.search.whole


def test_a_search_stopped_before_anything_stands_asks_for_nothing_to_give_way():
    design, catalogue = bench()
    found = find(replace(design, ask=replace(design.ask, charge_s=1e6)), catalogue, lambda _: True)
    assert not found.hits
    assert not found.search.relaxed_whole


# Too much of each demand: nothing in the small catalogue does so well.
HOPELESS = {
    "hours": {"hours_h": 90.0},
    "evenness": {"fall_ratio": 0.001},
    "price": {"price": 10.0},
    "mass": {"mass_kg": 0.1},
    "light": {"light_lm": 5000.0},
}
# What is asked instead of `nearest` so that rounding does not decide, and what is better than it.
HAIR = 1e-9
BETTER = {
    "hours": lambda nearest: nearest * 1.0002,
    "evenness": lambda nearest: nearest / 1.0002,
    "price": lambda nearest: nearest / 1.0002,
    "mass": lambda nearest: nearest / 1.0002,
    "light": lambda nearest: nearest * (1.0 + LIGHT_STEP),
}


@pytest.mark.parametrize("demand", HOPELESS)
def test_what_must_give_way_can_be_had_and_nothing_better(demand):
    (name,) = HOPELESS[demand]
    hopeless = searched(**HOPELESS[demand])
    assert not hopeless.hits
    assert hopeless.search.relaxed_whole
    (relaxed,) = (one for one in hopeless.search.relaxed if one.demand == demand)
    assert relaxed.asked == pytest.approx(HOPELESS[demand][name])
    at_least = demand in {"hours", "light"}
    just = relaxed.nearest * (1.0 - HAIR if at_least else 1.0 + HAIR)
    assert searched(**{name: just}).hits
    assert not searched(**{name: BETTER[demand](relaxed.nearest)}).hits


@pytest.mark.parametrize("cheaper", ["strip-12v-60-warm", "other"])
def test_the_least_price_is_told_though_it_stands_in_one_step_with_another(cheaper):
    """Of two strips that differ by a cent a metre only one stands; the other is as good."""
    design, catalogue = bench()
    drawn = catalogue.strips["strip-12v-60-warm"]
    other = replace(drawn, name="other")
    strips = {
        one.name: replace(one, price=one.price - (0.05 if one.name == cheaper else 0.0))
        for one in (drawn, other)
    }
    opened = replace(design, find=Find(open=("strip",), price=20.0))
    parts = replace(catalogue, strips=strips)
    (relaxed,) = find(opened, parts).search.relaxed
    runs = [[replace(run, strip=name) for run in design.runs] for name in strips]
    built = [replace(design, runs=tuple(each)) for each in runs]
    prices = [merits_of(answer_parts(one, parts), one, parts).price for one in built]
    assert max(prices) > min(prices)
    assert relaxed.nearest == pytest.approx(min(prices))


@pytest.mark.parametrize("merit", ["price", "mass_kg"])
def test_what_is_not_known_is_not_called_too_much(merit):
    design, catalogue = bench()
    name = design.supplies[0].pack
    unknown = replace(catalogue.packs[name], **{merit: None})
    asked = replace(design, find=Find(open=("level",), **{merit: 1000.0}))
    search = find(asked, replace(catalogue, packs={name: unknown})).search
    assert search.drawn.missed == (f"{merit.removesuffix('_kg')}-unknown",)
    assert not search.found
    assert "not known" in drawn_words(search)


def test_the_most_light_there_is_may_be_of_a_design_that_a_cheaper_one_beats():
    """A strip half as bright again as the one drawn, and dearer, loses where light is not asked."""
    design, catalogue = bench()
    drawn = catalogue.strips["strip-12v-60-warm"]
    bright = replace(
        drawn,
        name="bright",
        light_lm_per_m=1.5 * drawn.light_lm_per_m,
        price=2.0 * drawn.price,
    )
    parts = replace(catalogue, strips={drawn.name: drawn, bright.name: bright})

    def strips(light_lm):
        opened = replace(design, find=Find(open=("strip",), light_lm=light_lm))
        result = find(opened, parts)
        return {hit.found.strips for hit in result.hits}, result.search

    assert strips(1000.0)[0] == {("strip-12v-60-warm",)}
    (relaxed,) = (one for one in strips(1e4)[1].relaxed if one.demand == "light")
    assert relaxed.nearest == pytest.approx(1.5 * strips(1000.0)[1].drawn.merits.light_lm)
    assert strips(relaxed.nearest)[0] == {("bright",)}


def test_dots_that_nothing_hides_give_way_without_a_number():
    design, catalogue = bench()
    close = tuple(
        replace(run, seen=tuple(replace(seen, distance_m=0.005) for seen in run.seen))
        for run in design.runs
    )
    dotted = replace(design, runs=close, find=Find(open=("pack",), hidden=True))
    found = find(dotted, catalogue).search
    assert not found.found
    assert [(one.demand, one.nearest) for one in found.relaxed] == [("dots", None)]


def test_no_single_demand_helps_when_two_cannot_be_met():
    found = searched(hours_h=90.0, price=10.0).search
    assert not found.found
    assert not found.relaxed
    assert found.relaxed_whole


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

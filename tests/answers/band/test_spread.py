"""How sure an answer is: the batch of builds against answers asked one by one."""

from dataclasses import replace
from functools import cache

import numpy as np
import pytest
from designs import design, evening, feed, run, supply
from example_parts import EXAMPLES, parts
from plain_builds import Draws, build, headlines, named
from scipy import stats

from lightcalc.answers.answer import answer
from lightcalc.answers.band.inputs import dimensions_of, inputs_of
from lightcalc.answers.band.spread import Case, built_as_answered, sampled, spread
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
        ask=Ask(charge_s=24.0 * 3600.0),
    )


def colours():
    """Mixed colours of a constant-current strip of another kind, straight on a pack."""
    return design(
        run("strip-12v-tunable-120", 1.0, name="shelf", seen=(FLOOR,)),
        supplies=(supply("liion-3s-5200", None),),
        use=evening(0.7, hours=2.0),
    )


def joined():
    """Two leads with plugs that join behind a dimmer, straight on a pack."""
    leads = [feed(lead_m=one, connector="plug-small-2", name=f"lead {one}") for one in (0.4, 1.5)]
    return design(
        *(run(length_m=0.8, name=lead.lead.name, feeds=(lead,)) for lead in leads),
        supplies=(supply("liion-3s-5200", None, controller="dimmer-inline-1ch"),),
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
    "joined": joined,
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


# Plain Monte Carlo, by its own random numbers ------------------------------------------------

LOOPED, DEVIATIONS = 300, 3.5
HEADLINES = {
    "hours of the piece",
    "hours",
    "pack peak",
    "days until flat",
    "light",
    "dimmest light",
    "fall in light",
    "strip temperature",
    "dots",
}


class Fresh:
    """A normal number of its own for each thing that is asked for, in one build."""

    def __init__(self, rng):
        self.rng, self.drawn = rng, {}

    def normal(self, *what):
        return self.drawn.setdefault(what, self.rng.standard_normal())


@pytest.fixture(scope="module", params=["hall bench", "bank"])
def looped(request):
    """Every headline of some hundred answers, asked one by one, and the spread of the design."""
    one, rng = case(request.param), np.random.default_rng(20)
    with pytest.MonkeyPatch.context() as patch:
        found = [
            headlines(answer(*build(one.design, one.catalogue, Draws(Fresh(rng).normal), patch)))
            for _ in range(LOOPED)
        ]
    values = {key: np.sort([build_found[key] for build_found in found]) for key in found[0]}
    return one, values, spread(one)


def test_percentiles_agree_with_a_plain_loop_over_answers(looped) -> None:
    _, values, found = looped
    assert {band.code for band in found.bands} == HEADLINES
    for band in found.bands:
        plain = values[band.code, band.of]
        for share, said in ((0.1, band.low), (0.5, band.middle), (0.9, band.high)):
            # Between these two builds in order the true percentile lies, almost surely.
            wide = DEVIATIONS * np.sqrt(LOOPED * share * (1.0 - share))
            low = plain[int(np.floor(LOOPED * share - wide))]
            high = plain[int(np.ceil(LOOPED * share + wide))]
            assert low * (1.0 - 1e-3) <= said <= high * (1.0 + 1e-3), (band.code, band.of, share)


def test_whole_spreads_agree_with_a_plain_loop_over_answers(looped) -> None:
    one, values, _ = looped
    built = built_as_answered(one)
    count = len(dimensions_of(inputs_of(built, one.catalogue)))
    for result in sampled(one, built, normal_scores(4000, count, seed=6)).results:
        plain = values[result.code, result.of]
        # To three digits: evenings that end in the dark put many builds on the very same hours.
        near = [np.array([float(f"{x:.3g}") for x in some]) for some in (plain, result.values)]
        assert stats.ks_2samp(*near).pvalue > 1e-4, (result.code, result.of)


def test_chances_agree_with_a_plain_loop_over_answers(looped) -> None:
    one, values, found = looped
    hours = values["hours of the piece", one.answer.piece]
    (lasts,) = [chance for chance in found.chances if chance.code == "lasts"]
    share = np.mean(hours >= one.design.ask.charge_s / 3600.0)
    wide = DEVIATIONS * np.sqrt(lasts.chance_ratio * (1.0 - lasts.chance_ratio) / LOOPED)
    assert abs(share - lasts.chance_ratio) <= wide + 1.0 / LOOPED
    for chance in found.chances:
        if chance.code == "no dots":
            share = np.mean(values["dots", chance.of] < 1.0)
            wide = DEVIATIONS * np.sqrt(chance.chance_ratio * (1.0 - chance.chance_ratio) / LOOPED)
            assert abs(share - chance.chance_ratio) <= wide + 1.0 / LOOPED


# What a band is ------------------------------------------------------------------------------


@pytest.mark.parametrize("name", ["hall bench", "bank", "two supplies"])
def test_bands_are_in_order_and_shares_account_for_all_of_them(name) -> None:
    found = spread(case(name), samples=4000)
    for band in found.bands:
        assert band.low <= band.middle <= band.high
        assert 0.0 <= band.unexplained_ratio <= 1.0
        alone = sum(share.alone_ratio for share in band.shares)
        # Inputs below a hundredth are not listed.
        assert alone <= 1.0 - band.unexplained_ratio + 1e-6
        order = [share.with_others_ratio for share in band.shares]
        assert order == sorted(order, reverse=True)
        for share in band.shares:
            assert share.alone_ratio <= share.with_others_ratio + 1e-9
    for supply_found in case(name).answer.supplies:
        ways = [e.chance_ratio for e in found.endings if e.supply == supply_found.supply]
        assert sum(ways) == pytest.approx(1.0)


def test_the_same_seed_gives_the_same_bands_and_another_the_same_within_its_error() -> None:
    one = case("hall bench")
    first, again, other = (spread(one, samples=2000, seed=seed) for seed in (1, 1, 2))
    assert first == again
    for a, b in zip(first.bands, other.bands, strict=True):
        if a.code != "dots":
            assert a.low == pytest.approx(b.low, abs=6.0 * a.low_error + 1e-9)
            assert a.high == pytest.approx(b.high, abs=6.0 * a.high_error + 1e-9)
    assert first.bands != other.bands


def test_parts_known_for_sure_leave_no_band_of_their_own() -> None:
    one = case("hall bench")
    sure = {
        name: replace(pack, capacity_tolerance=0.0, resistance_tolerance=0.0)
        for name, pack in parts().packs.items()
    }
    known = spread(replace(one, catalogue=replace(parts(), packs=sure)), samples=2000)
    before = spread(one, samples=2000)
    assert not any(s.code == "capacity" for band in known.bands for s in band.shares)
    hours, wide = known.bands[0], before.bands[0]
    assert hours.code == wide.code == "hours of the piece"
    assert hours.high - hours.low < wide.high - wide.low


def test_a_jump_in_the_hours_shows_as_another_way_to_end() -> None:
    found = spread(case("bank"), samples=2000)
    ways = {ending.ended_by: ending.chance_ratio for ending in found.endings}
    assert 0.02 < ways["auto-off"] < 0.98
    # A jump is no smooth play of inputs, and it is not shared out as if it were.
    hours = next(band for band in found.bands if band.code == "hours")
    assert hours.unexplained_ratio > 0.2


def test_too_few_builds_give_bands_without_shares() -> None:
    found = spread(case("hall bench"), samples=20)
    assert found.measure_first is None
    assert all(band.shares == () and band.unexplained_ratio == 1.0 for band in found.bands)


@pytest.mark.parametrize("name", ["hall bench", "shelf", "at its limit"])
def test_the_quick_band_of_an_answer_means_the_same_and_is_near(name) -> None:
    one = case(name)
    (said,) = one.answer.supplies
    hours = next(band for band in spread(one, samples=2000).bands if band.code == "hours")
    quick, whole = said.hours_high_h / said.hours_low_h, hours.high / hours.low
    assert np.log(quick) == pytest.approx(np.log(whole), rel=0.4)

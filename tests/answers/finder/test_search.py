"""A search finds what answering every design would find."""

from dataclasses import replace

import pytest
from designs import design, evening, feed, mistakes, parts, run, supply
from small import Searched, best_of_all, merits_in, small_search, stops_in

from lightcalc.answers.answer import answer
from lightcalc.answers.finder.demands import demands_of
from lightcalc.answers.finder.search import search
from lightcalc.design.find import Find
from lightcalc.design.piece import Ask


@pytest.mark.parametrize("seed", [*range(19), 155])
def test_the_frontier_is_that_of_an_answer_to_every_design(seed):
    searched = small_search(seed)
    *_, last = search(searched.design, searched.catalogue, searched.demands)
    for one in last.standing:
        found = answer(one.design, searched.catalogue)
        merits = merits_in(found, one.design, searched.catalogue)
        assert known(merits) == pytest.approx(known(one.merits), rel=1e-9)
        assert not stops_in(found)
        assert searched.demands.met_by(merits)
    stands = [tuple(one.ranks.tolist()) for one in last.standing]
    assert len(stands) == len(set(stands))
    assert set(stands) == best_of_all(searched)


def test_other_volts_are_found_for_two_supplies_though_neither_converter_drawn_gives_them():
    whole = parts()
    table = {
        "strips": ("strip-12v-60-warm", "strip-24v-120-neutral"),
        "packs": ("liion-4s-6800", "liion-6s-5200"),
        "converters": ("buck-12v-5a", "buckboost-24v-4a"),
    }
    few = {kind: {n: getattr(whole, kind)[n] for n in names} for kind, names in table.items()}
    catalogue = replace(whole, **few)
    supplies = (supply(name="one"), supply("liion-6s-5200", name="two"))
    made = design(run(name="a", supply="one"), run(name="b", supply="two"), supplies=supplies)
    assert not mistakes(made, catalogue)
    made = replace(made, find=Find(open=("strip", "converter"), any_colour=True))
    searched = Searched(made, catalogue, demands_of(made, None))
    *_, last = search(made, catalogue, searched.demands)
    assert {one.choice.light.strips for one in last.standing} == {(n,) for n in table["strips"]}
    assert {tuple(one.ranks.tolist()) for one in last.standing} == best_of_all(searched)


def test_where_no_fuse_carries_strips_on_bare_packs_what_is_behind_converters_is_found():
    whole = parts()
    few = {name: whole.packs[name] for name in ("liion-6s-5200", "liion-3s-5200")}
    # They carry what flows at the volts of the larger pack.
    fuses = {name: part for name, part in whole.fuses.items() if part.rating_a <= 1.0}
    catalogue = replace(whole, packs=few, fuses=fuses)
    made = design(run(length_m=1.9), supplies=(supply("liion-6s-5200"),))
    made = replace(made, find=Find(open=("pack", "converter")))
    searched = Searched(made, catalogue, demands_of(made, None))
    *_, last = search(made, catalogue, searched.demands)
    assert last.standing
    assert {tuple(one.ranks.tolist()) for one in last.standing} == best_of_all(searched)


def test_a_fuse_named_after_a_bank_lets_its_leads_be_thinner_than_the_socket_asks():
    whole = parts()
    few = {
        name: replace(whole.packs[name], output_max_a=5.0, max_amps=20.0, max_c=80.0)
        for name in ("usb-10000", "usb-20000-stays-on")
    }
    catalogue = replace(whole, packs=few)
    # It opens at 4.2 A. In such warmth this wire stands its rating, and not 5 A.
    box = supply("usb-20000-stays-on", None, controller="dimmer-inline-1ch", fuse="cartridge-2a")
    led = (feed(lead_m=2.0, wire="22 AWG"),)
    cool = "aluminium channel on the surface"
    made = design(
        run("strip-5v-60-warm", 0.2, mounting=cool, feeds=led),
        supplies=(box,),
        use=evening(temperature_c=45.0),
        ask=Ask(light_fall_ratio=1.0, lead_drop_ratio=0.1),
    )
    made = replace(made, find=Find(open=("pack",)))
    searched = Searched(made, catalogue, demands_of(made, None))
    *_, last = search(made, catalogue, searched.demands)
    assert last.standing
    assert {tuple(one.ranks.tolist()) for one in last.standing} == best_of_all(searched)


def known(merits):
    """Return figures to compare, those not known as less than nothing."""
    return {name: -1.0 if value is None else value for name, value in vars(merits).items()}

"""No design is better than its bounds, and none that would do is struck out by them."""

from dataclasses import replace

import numpy as np
import pytest
from designs import catalogue_with, design, feed, parts, run, supply
from small import Searched, answered, merits_in, small_search, stops_in

from lightcalc.answers.finder.bounds import Bounds
from lightcalc.answers.finder.choices import Choices
from lightcalc.answers.finder.demands import demands_of, ranks, ranks_of
from lightcalc.answers.finder.pool import run_down
from lightcalc.design.find import Find
from lightcalc.design.piece import Ask, Stretch, Use


def bounds_of(searched, closely):
    """Return the best ranks each choice could have, for those not struck out."""
    choices = Choices(searched.design, searched.catalogue)
    best = {}
    for pools in Bounds(choices, searched.demands).pools():
        for pool in pools if closely else ():
            run_down(pool.looks(*np.nonzero(pool.possible)))
        for row, light in enumerate(pools[0].lights):
            for pool in pools:
                for column in np.flatnonzero(pool.possible[row]):
                    merits = (pool.price, pool.hours_h, pool.fall, pool.mass_kg)
                    rank = ranks(*(merit[row, column] for merit in merits))
                    best[light, pool.group, pool.powers[column]] = rank, pool.light_lm[row, column]
    return choices, best


@pytest.mark.parametrize("seed", [5, 155, *range(100, 105)])
def test_no_answer_is_better_than_its_bounds(seed):
    searched = small_search(seed)
    every = list(answered(searched))
    for closely in (False, True):
        choices, best = bounds_of(searched, closely)
        hold(searched, choices, best, every)


def hold(searched, choices, best, every):
    """Check every answer that would do against its bounds."""
    for choice, built, found in every:
        merits = merits_in(found, built, searched.catalogue)
        if stops_in(found) or not searched.demands.met_by(merits):
            continue
        lit = choices.lit_by(choice.light)
        for group, power in zip(choices.supply_groups(lit), choice.powers, strict=True):
            bound, light_lm = best[choice.light, group, power]
            assert np.all(ranks_of(merits) >= bound), (merits, bound)
            if len(group) == len(built.supplies):
                assert merits.light_lm <= light_lm * (1.0 + 1e-9)


def odd(pack, strip, controller, use, **changes):
    """Leave the pack of a run of strip open, with two packs to choose from."""
    whole = parts()
    few = {name: whole.packs[name] for name in dict.fromkeys((pack, "usb-20000-stays-on"))}
    wide = replace(whole, packs=few, strips={strip: whole.strips[strip]})
    box = supply(pack, None, controller=controller, **changes)
    made = design(
        run(strip, 0.2, mounting=COOL), supplies=(box,), use=use, ask=Ask(light_fall_ratio=1.0)
    )
    made = replace(made, find=Find(open=("pack",), light_lm=0.1))
    return Searched(made, wide, demands_of(made, None))


COOL = "aluminium channel on the surface"
DARK_COLOUR = Use((Stretch(0.5, 1800.0, (("red", 0.3), ("green", 1.0), ("blue", 0.0))),))
SOME = Use((Stretch(0.5, 1800.0),))


def starved():
    """Two runs behind one resistive controller, one with a lead so thin that the other gains.

    What the other gains asks for wire one size up from what a thick lead of the first leaves it.
    """
    whole = catalogue_with("controllers", "dimmer-inline-1ch", on_ohm=0.3)
    wires = dict(whole.wires)
    wires["wire-18awg"] = replace(wires["wire-18awg"], price_per_m=20.0)
    packs = {name: whole.packs[name] for name in ("liion-4s-6800",)}
    weak = replace(whole.converters["buckboost-12v-4a"], output_max_a=2.5)
    whole = replace(whole, wires=wires, packs=packs, converters={weak.name: weak})
    runs = (
        run(length_m=4.0, name="far", feeds=(feed(lead_m=25.0, wire="22 AWG", name="far lead"),)),
        run(length_m=1.5, name="near", feeds=(feed(lead_m=5.45, name="near lead"),)),
    )
    box = supply(converter=weak.name, controller="dimmer-inline-1ch")
    ask = Ask(light_fall_ratio=1.0, lead_drop_ratio=0.01)
    made = replace(design(*runs, supplies=(box,), ask=ask, use=SOME), find=Find(open=("pack",)))
    return Searched(made, whole, demands_of(made, None))


def in_turn():
    """Strips of two cut lengths in turn: those of one are worked out together."""
    whole = parts()
    first, fine = (whole.strips[f"strip-12v-{leds}-warm"] for leds in (60, 120))
    gentle = replace(fine, power_w_per_m=3.0)
    strong = replace(first, name="strong", power_w_per_m=14.4)
    whole = replace(whole, strips={strip.name: strip for strip in (first, gentle, strong)})
    lit, ask = run(first.name, 1.0, mounting=COOL), Ask(light_fall_ratio=1.0)
    box = supply(controller="dimmer-inline-1ch")
    made = design(lit, supplies=(box,), use=SOME, ask=ask)
    made = replace(made, find=Find(open=("strip",), light_lm=0.1))
    return Searched(made, whole, demands_of(made, None))


ODD = {
    "strips of two cut lengths in turn": in_turn(),
    "a colour that stays dark, on a bank": odd(
        "usb-20000-stays-on", "strip-5v-pixel-60", "receiver-radio-pixel", DARK_COLOUR
    ),
    "a fuse that has its place after a bank, and none at the pack drawn": odd(
        "nimh-aa-4-2000", "strip-5v-60-warm", "dimmer-inline-1ch", SOME, fuse="cartridge-1a"
    ),
    "a run that gains what thin wire takes from another, behind one controller": starved(),
}


@pytest.mark.parametrize("name", ODD)
@pytest.mark.parametrize("closely", [False, True])
def test_bounds_hold_for_what_is_seldom_built(name, closely):
    every = list(answered(ODD[name]))
    assert any(not stops_in(found) for _, _, found in every)
    hold(ODD[name], *bounds_of(ODD[name], closely), every)


@pytest.mark.filterwarnings("error")
def test_nothing_ranks_below_what_cannot_be_had():
    worst = ranks(np.inf, -np.inf, np.inf, np.inf)
    assert np.all(worst >= ranks(1e9, 1e-9, 1.0, 1e9))

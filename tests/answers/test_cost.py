"""Price and mass are those of the parts: strip and wire by length, the rest whole."""

from dataclasses import replace

import pytest
from designs import build, catalogue_with, design, feed, parts, run, supply

from lightcalc.answers.answer import answer
from lightcalc.answers.cost import mass_of, price_of
from lightcalc.design.piece import Feed, Lead
from lightcalc.design.service import Crossing


def sums(made, catalogue=None):
    catalogue = catalogue or parts()
    built = build(made, catalogue)
    return (
        price_of([built.wired], [built.sized], catalogue),
        mass_of([built.wired], [built.sized], catalogue),
        built,
    )


def plain(strip="strip-12v-60-warm"):
    one = run(strip, 1.5, feeds=(feed(lead_m=2.0, wire="18 AWG"),))
    source = supply(
        pack_multiple=2,
        pack_lead_m=0.25,
        pack_wire="16 AWG",
        pack_fuse="blade-2a",
        fuse="blade-2a",
        connectors=("plug-polarised-2",),
        controller="receiver-radio-4ch",
    )
    return design(one, supplies=(source,))


def test_the_price_is_the_sum_of_the_price_list():
    # From the example catalogue: strip 9.50 the reel of 5 m, pack 62 twice, converter 11,
    # controller 19, connector 1.60, two fuses 0.40, 4 m of 18 AWG at 0.50, 0.5 m of 16 AWG at 0.72.
    price, _, _ = sums(plain())
    assert price == pytest.approx(9.5 * 1.5 / 5 + 124 + 11 + 19 + 1.6 + 0.8 + 2.0 + 0.36)


def test_the_mass_is_the_sum_of_the_parts():
    _, mass_kg, _ = sums(plain())
    grams = 14 * 1.5 + 2 * 420 + 45 + 48 + 5 + 2 * 1.4 + 4 * 10.5 + 0.5 * 15.5
    assert mass_kg == pytest.approx(grams / 1000.0)


def test_a_plug_at_every_joint_of_a_lead_counts():
    # From the example catalogue: a small plug costs 0.50 and weighs 1.2 g.
    def with_plugs(joints, plug):
        lead = Lead("lead", 2.0, "18 AWG", crossing=Crossing(joints, plug))
        (one,) = plain().runs
        return replace(plain(), runs=(replace(one, feeds=(Feed(0.0, lead),)),))

    price, mass_kg, _ = sums(with_plugs((), None))
    for joints, count in (((), 1), (("seat",), 1), (("seat", "back"), 2)):
        more, heavier, _ = sums(with_plugs(joints, "plug-small-2"))
        assert more - price == pytest.approx(0.5 * count)
        assert heavier - mass_kg == pytest.approx(0.0012 * count)


def test_a_fuse_that_the_source_makes_needless_costs_nothing_unless_it_is_named():
    named, heavier, _ = sums(plain())
    (source,) = plain().supplies
    price, mass_kg, built = sums(replace(plain(), supplies=(replace(source, fuse=None),)))
    assert [f.choice.protected_by for f in built.sized.fuses] == ["fuse", "converter limit"]
    assert named - price == pytest.approx(0.4)
    assert heavier - mass_kg == pytest.approx(0.0014)


def test_a_lead_to_three_colours_is_four_conductors():
    white, colours = sums(plain())[0], sums(plain("strip-12v-rgb-60"))[0]
    strips = (15.0 - 9.5) * 1.5 / 5
    assert colours - white == pytest.approx(strips + 2 * 2.0 * 0.50)


def test_a_part_with_no_price_makes_the_sum_unknown():
    free = catalogue_with("packs", "liion-4s-6800", price=None)
    price, mass_kg, _ = sums(plain(), free)
    assert price is None
    assert mass_kg is not None
    assert answer(plain(), free).price is None


def test_the_price_of_an_answer_is_that_of_all_its_supplies():
    both = design(
        *plain().runs,
        run(name="other", supply="second"),
        supplies=(*plain().supplies, supply(name="second")),
    )
    alone = design(run(name="other", supply="second"), supplies=(supply(name="second"),))
    whole, one, two = (answer(made, parts()).price for made in (both, plain(), alone))
    assert whole == pytest.approx(one + two)


def test_what_has_no_price_is_named_once_and_nothing_else_is():
    free = catalogue_with("wires", "wire-20awg", price_per_m=None)
    found = answer(plain(), free)
    used = {wire.wire for wire in found.wires}
    assert found.unpriced == (("wire-20awg",) if "wire-20awg" in used else ())
    free = catalogue_with("packs", "liion-4s-6800", price=None)
    assert answer(plain(), free).unpriced == ("liion-4s-6800",)
    assert answer(plain(), parts()).unpriced == ()

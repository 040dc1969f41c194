"""A fuse counts in volts, price and mass exactly when it is fitted: named, or needed."""

from dataclasses import replace

import pytest
from designs import design, parts, run, supply

from lightcalc.answers.answer import answer
from lightcalc.answers.fuses import SOCKET, STRIP_SIDE

BANK = supply("usb-10000", None)
BOX = supply("liion-4s-6800", "buck-12v-5a", pack_fuse="blade-1a")


def of_the_converter(**changes):
    return design(run(length_m=1.4), supplies=(replace(BOX, **changes),))


def of_the_bank(**changes):
    return design(run("strip-5v-60-warm", 1.0), supplies=(replace(BANK, **changes),))


def with_worse_fuses(keep=()):
    """The catalogue with every fuse but some of far more ohms, price and mass."""
    worse = {
        name: fuse
        if name in keep
        else replace(fuse, resistance_ohm=30 * fuse.resistance_ohm + 0.1, price=99.0, mass_kg=1.0)
        for name, fuse in parts().fuses.items()
    }
    return replace(parts(), fuses=worse)


@pytest.mark.parametrize(
    ("made", "place"), [(of_the_converter(), STRIP_SIDE), (of_the_bank(), SOCKET)]
)
def test_a_fuse_that_is_not_fitted_changes_nothing(made, place):
    found = answer(made, parts())
    (there,) = [fuse for fuse in found.fuses if fuse.place == place]
    assert there.protected_by == "converter limit"
    assert there.fuse is not None
    assert not there.fitted
    assert answer(made, with_worse_fuses(keep=("blade-1a",))) == found


@pytest.mark.parametrize("of", [of_the_converter, of_the_bank])
def test_a_fuse_that_is_named_counts_though_it_is_not_needed(of):
    without, named = answer(of(), parts()), answer(of(fuse="blade-3a"), parts())
    assert named.fuses[-1].fitted
    part = parts().fuses["blade-3a"]
    assert named.price == pytest.approx(without.price + part.price)
    assert named.mass_kg == pytest.approx(without.mass_kg + part.mass_kg)
    # Between the source's volts and the start of its one lead there is the fuse and no more.
    wire, plain = named.wires[1], without.wires[1]
    before = (plain.start_v - wire.start_v) / wire.full_level_a
    if of is of_the_converter:
        assert before == pytest.approx(part.resistance_ohm, rel=1e-6)
    else:
        assert 0.0 < before <= part.resistance_ohm
    assert named.runs[0].light_lm < without.runs[0].light_lm


def test_the_fuse_beside_a_bare_packs_cells_is_fitted_unless_none_will_do():
    found = answer(design(run(), supplies=(supply("liion-3s-5200", None),)), parts())
    (fuse,) = found.fuses
    assert fuse.fitted == (fuse.fuse is not None) is True
    none = replace(parts(), fuses={"blade-15a": parts().fuses["blade-15a"]})
    (missing,) = answer(design(run(), supplies=(supply("liion-3s-5200", None),)), none).fuses
    assert missing.fuse is None
    assert not missing.fitted

"""The wires between converter, controller and leads carry all of the current, and so they count."""

from dataclasses import replace

import numpy as np
import pytest
from designs import build, catalogue_with, design, designs, feed, few, parts, run, some, supply
from hypothesis import given

from lightcalc.answers.answer import answer
from lightcalc.answers.curves.light import wire_curves
from lightcalc.answers.draw import draws, with_jumpers
from lightcalc.answers.jumpers import JUMPER_M, NO_JUMPERS, JumperOhms
from lightcalc.physics.circuit.ladder import solve

CONTROLLER = "dimmer-smooth-1ch"
# 18 AWG: 20.95 ohm/km at 20 degC when solid (ASTM B258), some 2 % more when stranded (ASTM B286).
ONE_WAY_OHM = 0.02095 * JUMPER_M


def made_of(count, *, controller=CONTROLLER, converter="buck-12v-5a", pack="liion-4s-6800"):
    runs = [
        run(length_m=1.0, name=f"run {n}", feeds=(feed(wire="18 AWG", name=f"lead {n}"),))
        for n in range(count)
    ]
    box = supply(pack, converter, controller=controller, pack_wire="18 AWG")
    return design(*runs, supplies=(box,))


@pytest.mark.parametrize(
    ("count", "controller", "converter", "conductors"),
    [
        # From converter to controller and back; a single lead goes on the terminals.
        (1, CONTROLLER, "buck-12v-5a", 2),
        (1, None, "buck-12v-5a", 0),
        # One more pair to where leads join.
        (2, CONTROLLER, "buck-12v-5a", 4),
        (2, None, "buck-12v-5a", 2),
        (2, CONTROLLER, None, 2),
        (1, CONTROLLER, None, 0),
        # The lead of a pack goes to the joint itself.
        (2, None, None, 0),
    ],
)
def test_the_ohms_before_the_leads_are_those_of_the_jumpers_drawn(
    count, controller, converter, conductors
):
    pack = "liion-3s-5200" if converter is None else "liion-4s-6800"
    made = made_of(count, controller=controller, converter=converter, pack=pack)
    circuit = build(made).circuit
    jumpers = circuit.jumpers
    expected = conductors * ONE_WAY_OHM
    found = jumpers.positive_ohm + jumpers.return_ohm
    assert expected <= found <= 1.03 * expected
    on_ohm = parts().controllers[controller].on_ohm if controller else 0.0
    before = 0.0 if converter else circuit.pack_lead_ohm
    network = circuit.network
    assert network.series_positive_ohm == pytest.approx(before + jumpers.positive_ohm)
    assert network.series_return_ohm == pytest.approx((on_ohm + jumpers.return_ohm,))


def test_each_colour_comes_back_through_a_jumper_of_its_own_and_all_share_the_plus():
    runs = [run("strip-12v-rgb-60", 1.0, name=f"run {n}") for n in range(2)]
    box = supply(controller="receiver-radio-4ch")
    jumpers = build(design(*runs, supplies=(box,))).circuit.jumpers
    assert jumpers.positive_ohm == pytest.approx(3.0 * jumpers.return_ohm)


def test_jumpers_are_not_negligible_so_they_count():
    # Strips for 4 A on a 5 V source, as far as its converter goes: each volt counts most there.
    runs = [run("strip-5v-60-warm", 2.0, name=f"run {n}") for n in range(2)]
    box = supply("liion-1s-10000", "boost-5v-3a", controller=CONTROLLER)
    built = build(design(*runs, supplies=(box,)))
    network, jumpers = built.circuit.network, built.circuit.jumpers
    without = with_jumpers(network, JumperOhms(-jumpers.positive_ohm, -jumpers.return_ohm))
    lit = [
        np.mean([one.light.mean() for one in solve(wiring, 5.0).runs])
        for wiring in (without, network)
    ]
    # More than half a per cent of the light: what the finder counts as a difference in evenness.
    assert lit[1] < 0.995 * lit[0]


@few
@given(designs())
def test_jumpers_never_add_light(made):
    built = build(made)
    network, jumpers = built.circuit.network, built.circuit.jumpers
    without = with_jumpers(network, JumperOhms(-jumpers.positive_ohm, -jumpers.return_ohm))
    before, after = (solve(one, built.wired.highest_v) for one in (without, network))
    assert after.supply_a <= before.supply_a * (1.0 + 1e-9)


@some
@given(designs())
def test_what_jumpers_lose_is_heat_of_leads_and_the_whole_stays_the_same(made):
    built = build(made)
    circuit = built.circuit
    hidden = replace(circuit, jumpers=NO_JUMPERS)
    counted = draws(circuit, made.use.stretches)[0].watts
    first = draws(hidden, made.use.stretches)[0]
    assert counted.total_w == pytest.approx(first.watts.total_w, rel=1e-9, abs=1e-12)
    moved = counted.lead_heat_w - first.watts.lead_heat_w
    gone = first.watts.controller_heat_w - counted.controller_heat_w
    assert moved == pytest.approx(gone, rel=1e-6, abs=1e-9)
    assert np.all(moved >= 0.0)
    assert np.all(counted.controller_heat_w >= -1e-9)


def test_units_of_a_design_change_no_volts():
    made = made_of(2)
    inch, metric = (answer(replace(made, system=one), parts()) for one in ("inch", "metric"))
    assert inch.runs == metric.runs


def test_curves_over_wires_change_the_jumpers_with_the_leads():
    made = made_of(2)
    curve = wire_curves(made, parts())[0]
    thick = design(
        *(replace(one, feeds=(feed(wire="14 AWG", name=one.feeds[0].lead.name),))
          for one in made.runs),
        supplies=made.supplies,
    )  # fmt: skip
    at = curve.sizes.index("14 AWG")
    found = answer(thick, parts()).runs[0]
    assert curve.dimmest_light_ratio[at] == pytest.approx(found.dimmest_light_ratio, rel=1e-6)


def test_a_controller_that_loses_nothing_dims_by_its_jumper_alone():
    ideal = catalogue_with("controllers", CONTROLLER, on_ohm=0.0, idle_a=0.0)
    there = answer(made_of(1), ideal).wires[1]
    lost = (12.0 - there.start_v) / there.full_level_a
    assert 2 * ONE_WAY_OHM <= lost <= 1.03 * 2 * ONE_WAY_OHM

"""Laws of the ladder."""

from __future__ import annotations

from dataclasses import replace
from itertools import pairwise

import numpy as np
import pytest
from any_networks import (
    assert_consistent,
    few,
    networks,
    ordinary_ohms,
    supplies,
    unit_of,
)
from hypothesis import given
from hypothesis import strategies as st
from numpy.typing import NDArray
from scipy.optimize import brentq

from lightcalc.physics.circuit.ladder import Solution, lead_volts, solve
from lightcalc.physics.circuit.network import SUPPLY, Lead, Network, Run
from lightcalc.physics.circuit.strip import channel_current, describe_cut_unit


class Nodes:
    """Numbers of the nodes of a network, written out one by one, for a dense nodal analysis."""

    def __init__(self) -> None:
        self.number: dict[tuple[object, ...], int] = {}

    def __getitem__(self, name: tuple[object, ...]) -> int:
        return self.number.setdefault(name, len(self.number))


def dense_volts(
    network: Network, supply_v: float, found: Solution
) -> dict[tuple[object, ...], float]:
    """Node volts of the copper alone, with the found unit currents as current sources."""
    nodes, branches = Nodes(), []
    series = (network.series_positive_ohm, *(network.series_return_ohm or [0] * network.returns))
    for x, ohm in enumerate(series):
        branches.append((nodes["top", x], nodes["s", x], ohm))
    for k, lead in enumerate(network.leads):
        start = ("s",) if lead.parent == SUPPLY else ("l", lead.parent)
        for x, ohm in enumerate((lead.positive_ohm, *lead.return_ohm)):
            branches.append((nodes[*start, x], nodes["l", k, x], ohm))
    sources = []
    for r, run in enumerate(network.runs):
        places = [(k + 0.5, ("u", r, k)) for k in range(run.units)]
        places += [(lead.pad, ("l", k)) for k, lead in enumerate(network.leads) if lead.run == r]
        places.sort()
        for (start_at, a), (stop_at, b) in pairwise(places):
            for x, rail in enumerate((run.positive_ohm_per_m, *run.return_ohm_per_m)):
                ohm = rail * run.unit_length_m * (stop_at - start_at)
                branches.append((nodes[*a, x], nodes[*b, x], ohm))
        for k in range(run.units):
            for c in range(len(run.unit.channels)):
                rail = 1 if run.unit.shared_return else 1 + c
                amps = found.runs[r].amps[k, c]
                sources.append((nodes["u", r, k, 0], nodes["u", r, k, rail], amps))
            sources.append((nodes["u", r, k, 0], nodes["u", r, k, 1], found.runs[r].idle_a[k]))
    size = len(nodes.number)
    matrix, current = np.zeros((size, size)), np.zeros(size)
    for a, b, ohm in branches:
        matrix[[a, b], [a, b]] += 1 / ohm
        matrix[[a, b], [b, a]] -= 1 / ohm
    for a, b, amps in sources:
        current[a] -= amps
        current[b] += amps
    for x in range(1 + network.returns):
        top = nodes["top", x]
        matrix[top], current[top] = 0.0, supply_v if x == 0 else 0.0
        matrix[top, top] = 1.0
    volts = np.linalg.solve(matrix, current)
    return {name: float(volts[k]) for name, k in nodes.number.items()}


@given(network=networks(ohms=ordinary_ohms), supply_v=supplies)
@few
def test_currents_and_volts_obey_kirchhoff_at_every_node(network: Network, supply_v: float) -> None:
    found = solve(network, supply_v)
    volts = dense_volts(network, supply_v, found)
    for r, run in enumerate(network.runs):
        for k in range(run.units):
            for c in range(len(run.unit.channels)):
                rail = 1 if run.unit.shared_return else 1 + c
                expected = volts["u", r, k, 0] - volts["u", r, k, rail]
                assert found.runs[r].volts[k, c] == pytest.approx(expected, abs=1e-8)
    for place, k in enumerate(network.feeds):
        for c in range(network.returns):
            expected = volts["l", k, 0] - volts["l", k, 1 + c]
            assert found.feed_v[place, c] == pytest.approx(expected, abs=1e-8)
    for k, lead in enumerate(network.leads):
        start = ("s",) if lead.parent == SUPPLY else ("l", lead.parent)
        amps = (volts[*start, 0] - volts["l", k, 0]) / lead.positive_ohm
        assert found.lead_a[k] == pytest.approx(amps, abs=1e-7)
        for c, ohm in enumerate(lead.return_ohm):
            amps = (volts["l", k, 1 + c] - volts[*start, 1 + c]) / ohm
            assert found.lead_return_a[k, c] == pytest.approx(amps, abs=1e-7)


@given(network=networks(), supply_v=supplies)
@few
def test_all_power_is_accounted_for(network: Network, supply_v: float) -> None:
    found = solve(network, supply_v)
    assert_consistent(network, found)
    strips = sum(run.strip_w for run in found.runs)
    rails = sum(run.rail_w for run in found.runs)
    assert strips == pytest.approx(float(found.power.strip_w), rel=1e-12)
    assert rails == pytest.approx(float(found.power.rail_w), rel=1e-12)


@few
@given(networks(), st.lists(st.floats(0.0, 16.0), min_size=2, max_size=3))
def test_volts_at_the_end_of_a_lead_are_those_of_the_pad_it_is_soldered_to(
    network: Network, supply_v: list[float]
) -> None:
    for volts in (supply_v[0], supply_v):
        found = solve(network, volts)
        starts, ends = lead_volts(network, found)
        for place, lead in enumerate(network.feeds):
            assert ends[lead] == pytest.approx(found.feed_v[..., place, :], abs=1e-7)
        for number, lead in enumerate(network.leads):
            if lead.parent != SUPPLY:
                assert np.array_equal(starts[number], ends[lead.parent])


def mirrored(network: Network) -> Network:
    leads = tuple(
        lead
        if lead.run is None or lead.pad is None
        else replace(lead, pad=network.runs[lead.run].units - lead.pad)
        for lead in network.leads
    )
    return replace(network, leads=leads)


@given(network=networks(), supply_v=supplies)
@few
def test_a_run_turned_end_for_end_gives_the_same_light(network: Network, supply_v: float) -> None:
    found, turned = solve(network, supply_v), solve(mirrored(network), supply_v)
    for one, other in zip(found.runs, turned.runs, strict=True):
        np.testing.assert_allclose(one.volts, other.volts[::-1], rtol=1e-7, atol=1e-9)
        np.testing.assert_allclose(one.light, other.light[::-1], rtol=1e-6, atol=1e-9)
    np.testing.assert_allclose(found.supply_a, turned.supply_a, rtol=1e-8, atol=1e-12)


@given(network=networks(), supply_v=supplies, share=st.floats(0.0, 1.0), data=st.data())
@few
def test_splitting_a_lead_in_two_changes_nothing(
    network: Network, supply_v: float, share: float, data: st.DataObject
) -> None:
    k = data.draw(st.integers(0, len(network.leads) - 1))
    whole = network.leads[k]
    near = Lead(
        whole.parent, share * whole.positive_ohm, tuple(share * ohm for ohm in whole.return_ohm)
    )
    far = replace(
        whole,
        parent=k,
        positive_ohm=(1 - share) * whole.positive_ohm,
        return_ohm=tuple((1 - share) * ohm for ohm in whole.return_ohm),
    )
    beyond = tuple(
        replace(lead, parent=lead.parent + 1) if lead.parent >= k else lead
        for lead in network.leads[k + 1 :]
    )
    split = replace(network, leads=(*network.leads[:k], near, far, *beyond))
    one, other = solve(network, supply_v), solve(split, supply_v)
    for run, same in zip(one.runs, other.runs, strict=True):
        np.testing.assert_allclose(run.volts, same.volts, rtol=1e-9, atol=1e-10)
    assert other.lead_a[k] == pytest.approx(other.lead_a[k + 1], abs=1e-12)
    np.testing.assert_allclose(one.supply_a, other.supply_a, rtol=1e-8, atol=1e-12)


single = st.builds(unit_of, st.sampled_from(["resistor", "constant-current"]), st.just(1))


@given(network=networks(make=single, alike=True), low=supplies, more=st.floats(0.0, 5.0))
@few
def test_more_supply_volts_never_dim_a_single_channel(
    network: Network, low: float, more: float
) -> None:
    found = solve(network, np.array([low, low + more]))
    for run in found.runs:
        assert np.all(run.light[1] >= run.light[0] - 1e-9)


@given(network=networks(make=single, most_feeds=1), supply_v=supplies, data=st.data())
@few
def test_more_resistance_dims_what_hangs_on_it_and_relieves_the_rest(
    network: Network, supply_v: float, data: st.DataObject
) -> None:
    """A thinner lead never brightens what it feeds; what else shares the way there gains."""
    k = data.draw(st.integers(0, len(network.leads) - 1))
    more = data.draw(st.floats(0.0, 2.0))
    thin = replace(network.leads[k], positive_ohm=network.leads[k].positive_ohm + more)
    leads = (*network.leads[:k], thin, *network.leads[k + 1 :])
    one, other = solve(network, supply_v), solve(replace(network, leads=leads), supply_v)
    fed = {lead.run for place, lead in enumerate(network.leads) if hangs_on(network, place, k)}
    for number, (run, after) in enumerate(zip(one.runs, other.runs, strict=True)):
        change = after.light - run.light
        assert np.all(change <= 1e-9) if number in fed else np.all(change >= -1e-9)
    assert other.supply_a <= one.supply_a + 1e-9


def hangs_on(network: Network, lead: int, k: int) -> bool:
    while lead not in (SUPPLY, k):
        lead = network.leads[lead].parent
    return lead == k


@given(
    network=networks(make=single, most_feeds=1, most_runs=1),
    supply_v=supplies,
    factor=st.floats(1.0, 10.0),
)
@few
def test_thinner_rails_never_raise_the_current(
    network: Network, supply_v: float, factor: float
) -> None:
    run = network.runs[0]
    thin = replace(
        run,
        positive_ohm_per_m=factor * run.positive_ohm_per_m,
        return_ohm_per_m=tuple(factor * ohm for ohm in run.return_ohm_per_m),
    )
    found, thinner = solve(network, supply_v), solve(replace(network, runs=(thin,)), supply_v)
    assert thinner.supply_a <= found.supply_a + 1e-9


@pytest.mark.parametrize(
    ("kind", "channels"), [("resistor", 4), ("constant-current", 1), ("pixel", 3)]
)
def test_without_resistance_every_unit_is_a_single_unit_at_rated_power(
    kind: str, channels: int
) -> None:
    unit = unit_of(kind, channels)
    zeros = (0.0,) * unit.returns
    run = Run(unit, 100, 0.05, 0.0, zeros)
    leads = (Lead(SUPPLY, 0.0, zeros, 0, 20), Lead(SUPPLY, 0.0, zeros, 0, 90))
    found = solve(Network((run,), leads), 12.0)
    # The rails keep 1e-9 ohm a segment, hence not exactly 1.
    np.testing.assert_allclose(found.runs[0].light, 1.0, rtol=1e-6)
    assert found.power.source_w == pytest.approx(9.6 * 5.0, rel=1e-6)


@given(supply_v=st.floats(5.0, 15.0), ohm=st.floats(0.01, 5.0), count=st.integers(1, 60))
@few
def test_without_rail_resistance_a_run_is_a_lump(supply_v: float, ohm: float, count: int) -> None:
    unit = unit_of("resistor")
    run = Run(unit, count, 0.05, 0.0, (0.0,))
    found = solve(Network((run,), (Lead(SUPPLY, ohm, (ohm,), 0, 0),)), supply_v)

    def mismatch(volts: float) -> float:
        amps, _ = channel_current(unit.channels[0], False, np.array(volts))
        return float(supply_v - 2 * ohm * count * amps - volts)

    volts = brentq(mismatch, 0.0, supply_v, xtol=1e-13)
    np.testing.assert_allclose(found.runs[0].volts, volts, rtol=1e-6)


def test_constant_current_in_regulation_gives_the_textbook_parabola() -> None:
    """Equal taps on a uniform line fed at one end: the far end loses r I n^2 / 2 in each rail.

    The drop of a uniformly loaded feeder is half that of its whole load at the far end; with
    loads in the middle of each of n segments this is exact. Source: any text on distribution
    feeders, e.g. T. Gonen, Electric Power Distribution System Engineering (from memory).
    """
    run = Run(unit_of("constant-current"), 50, 0.05, 0.05, (0.03,))
    found = solve(Network((run,), (Lead(SUPPLY, 0.0, (0.0,), 0, 0),)), 14.0)
    end_v = float(found.runs[0].volts[-1, 0])
    # Half a segment beyond the last tap carries nothing, so taken to the run's very end.
    assert 14.0 - end_v == pytest.approx(0.08 * 0.05 * 0.04 * 50**2 / 2, rel=1e-9)


def test_feeding_both_ends_quarters_the_drop_of_a_run_in_regulation() -> None:
    run = Run(unit_of("constant-current"), 50, 0.05, 0.05, (0.03,))
    ends = (Lead(SUPPLY, 0.0, (0.0,), 0, 0), Lead(SUPPLY, 0.0, (0.0,), 0, 50))
    one, both = (solve(Network((run,), leads), 14.0) for leads in (ends[:1], ends))
    drop_one, drop_both = (14.0 - float(s.runs[0].volts.min()) for s in (one, both))
    assert drop_both == pytest.approx(drop_one / 4, rel=1e-3)
    np.testing.assert_allclose(both.lead_a, both.supply_a / 2, rtol=1e-9)


def test_current_goes_round_between_two_feeds_with_opposite_unequal_conductors() -> None:
    run = Run(unit_of("resistor"), 10, 0.05, 0.1, (0.1,))
    leads = (Lead(SUPPLY, 0.01, (2.0,), 0, 0), Lead(SUPPLY, 2.0, (0.01,), 0, 10))
    found = solve(Network((run,), leads), 12.0)
    assert found.lead_a[0] > 5 * found.lead_return_a[0, 0]
    assert found.lead_a.sum() == pytest.approx(float(found.lead_return_a.sum()), rel=1e-12)


@given(network=networks(), supply_v=st.lists(supplies, min_size=1, max_size=5))
@few
def test_a_batch_of_supplies_is_each_supply_alone(network: Network, supply_v: list[float]) -> None:
    batch = solve(network, np.array(supply_v))
    for k, volts in enumerate(supply_v):
        alone = solve(network, volts)
        for run, same in zip(batch.runs, alone.runs, strict=True):
            np.testing.assert_allclose(run.volts[k], same.volts, rtol=1e-9, atol=1e-10)
        np.testing.assert_allclose(batch.lead_a[k], alone.lead_a, rtol=1e-7, atol=1e-9)


def test_a_batch_of_strips_leads_and_copper_is_each_alone(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("lightcalc.physics.circuit.ladder.CASES_TIMES_UNITS", 100)  # several pieces
    dice = np.random.default_rng(7)

    def around(value: float) -> NDArray[np.float64]:
        return value * dice.uniform(0.8, 1.2, (4, 3))

    unit = describe_cut_unit(
        "resistor", rated_v=12.0, power_w_per_m=around(9.6), cut_unit_length_m=0.05,
        forward_v=(around(9.0), 8.0), leds_in_series=3,
    )  # fmt: skip
    run = Run(unit, 20, 0.05, around(0.05), (around(0.08), 0.06))
    leads = (Lead(SUPPLY, around(0.1), (0.1, around(0.1)), 0, 5),)
    network, supply_v = Network((run,), leads), around(11.0)
    batch = solve(network, supply_v)
    assert batch.runs[0].light.shape == (4, 3, 20, 2)
    assert batch.feed_v.shape == (4, 3, 1, 2)
    for at in np.ndindex(4, 3):
        alone = network.with_numbers(lambda x, at=at: float(x[at]) if np.ndim(x) else x)
        one = solve(alone, float(supply_v[at]))
        np.testing.assert_allclose(batch.runs[0].light[at], one.runs[0].light, rtol=1e-9)
        np.testing.assert_allclose(batch.power.lead_w[at], one.power.lead_w, rtol=1e-9)


def test_a_channel_that_is_off_gives_no_light_and_helps_the_others() -> None:
    unit = unit_of("resistor", 3)
    rails = (0.1,) * 3
    network = Network((Run(unit, 40, 0.05, 0.05, rails),), (Lead(SUPPLY, 0.1, rails, 0, 0),))
    found, whole = solve(network, 12.0, (True, False, True)), solve(network, 12.0)
    assert np.all(found.runs[0].light[:, 1] == 0.0)
    assert np.all(found.runs[0].light[:, ::2] > whole.runs[0].light[:, ::2])
    assert found.return_a[1] == 0.0


def test_a_batch_of_no_cases_has_no_currents() -> None:
    none = np.zeros(0)
    run = Run(unit_of("resistor"), 4, 0.05, none, (none,))
    network = Network((run,), (Lead(SUPPLY, none, (none,), 0, 0),), none, (none,))
    assert solve(network, none).supply_a.shape == (0,)


def test_impossible_questions_are_refused_in_a_sentence() -> None:
    run = Run(unit_of("resistor"), 4, 0.05, 0.05, (0.05,))
    network = Network((run,), (Lead(SUPPLY, 0.1, (0.1,), 0, 0),))
    with pytest.raises(ValueError, match="0 or more"):
        solve(network, -1.0)
    with pytest.raises(ValueError, match="0 or more"):
        solve(network, np.array([12.0, np.nan]))
    with pytest.raises(ValueError, match="one for each"):
        solve(network, 12.0, (True, False))


def test_a_solution_stays_as_it_is_when_the_volts_it_was_asked_for_are_written_over() -> None:
    unit = unit_of("resistor")
    run = Run(unit, 4, 0.05, 0.05, (0.05,))
    volts = np.array([11.0, 12.0])
    found = solve(Network((run,), (Lead(SUPPLY, 0.1, (0.1,), run=0, pad=0),)), volts)
    volts[:] = 0.0
    assert found.supply_v.tolist() == [11.0, 12.0]

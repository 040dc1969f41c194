"""Hours a charge against PyBaMM's Doyle-Fuller-Newman model, solved while the test runs.

PyBaMM: V. Sulzer et al., Journal of Open Research Software 9 (2021) 14. Each parameter set plays
the part of a bought cell: its catalogue figures are measured on the simulator the way a maker of
cells measures them, and the pack is described by these figures alone.
"""

from __future__ import annotations

import warnings
from dataclasses import dataclass
from functools import cache

import numpy as np
import pytest

from lightcalc.physics.charge.discharge import endurance
from lightcalc.physics.charge.load import constant_power
from lightcalc.physics.charge.pack import Pack, describe_pack

pybamm = pytest.importorskip("pybamm")

# Nickel-manganese-cobalt, iron phosphate and cobalt oxide cells: the sets the model must meet.
REQUIRED = ("Chen2020", "Prada2013", "Marquis2019")
OTHERS = ("Ai2020", "Mohtat2020", "NCA_Kim2011", "Ecker2015", "ORegan2022")
RATES = (0.1, 0.2, 0.5, 1.0)


@dataclass(frozen=True)
class Run:
    time_s: np.ndarray
    volts: np.ndarray
    amps: np.ndarray

    @property
    def charge(self) -> np.ndarray:
        steps = np.diff(self.time_s) * (self.amps[1:] + self.amps[:-1]) / 2
        return np.concatenate(([0.0], np.cumsum(steps)))


class Cell:
    """One parameter set, discharged from full to its own cut-off."""

    def __init__(self, name: str) -> None:
        pybamm.set_logging_level("ERROR")
        self.values = pybamm.ParameterValues(name)
        self.nominal_ah = float(self.values["Nominal cell capacity [A.h]"])
        self.cutoff = float(self.values["Lower voltage cut-off [V]"])
        self.full = float(self.values["Upper voltage cut-off [V]"])
        self.at_current = self._simulation("Current function [A]", {})
        self.at_power = self._simulation("Power function [W]", {"operating mode": "power"})

    def _simulation(self, what: str, options: dict[str, str]):
        values = self.values.copy()
        values.update({what: "[input]"}, check_already_exists=False)
        model = pybamm.lithium_ion.DFN(options)
        return pybamm.Simulation(
            model, parameter_values=values, solver=pybamm.IDAKLUSolver(rtol=1e-6, atol=1e-6)
        )

    def run(self, *, amps: float | None = None, watts: float | None = None) -> Run:
        simulation, what, value = self.at_current, "Current function [A]", amps
        hours = 2.5 * self.nominal_ah / amps if amps else 3 * self.nominal_ah * 3.7 / watts
        if watts:
            simulation, what, value = self.at_power, "Power function [W]", watts
        times = np.linspace(0, hours * 3600, 2001)
        with warnings.catch_warnings():
            warnings.simplefilter("ignore")
            found = simulation.solve(
                [0, times[-1]], t_interp=times, initial_soc=1.0, inputs={what: value}
            )
        assert "Minimum voltage" in found.termination
        names = ("Time [s]", "Terminal voltage [V]", "Current [A]")
        return Run(*(found[name].entries for name in names))


@dataclass(frozen=True)
class Sheet:
    """Catalogue figures of a cell as measured on it."""

    cell: Cell
    slow: Run
    fast: Run
    mean_volts: float
    resistance_ohm: float


@cache
def sheet(name: str) -> Sheet:
    cell = Cell(name)
    slow, fast = cell.run(amps=cell.nominal_ah / 20), cell.run(amps=cell.nominal_ah)
    rest = cell.run(amps=cell.nominal_ah / 50)
    half = slow.charge[-1] / 2
    drop = np.interp(half, rest.charge, rest.volts) - np.interp(half, fast.charge, fast.volts)
    energy = np.trapezoid(slow.volts, slow.charge)
    return Sheet(cell, slow, fast, energy / slow.charge[-1], drop / cell.nominal_ah)


def pack_of(name: str, *, fast: bool = True, nominal_volts: float | None = None) -> Pack:
    figures = sheet(name)
    return describe_pack(
        "lifepo4" if name == "Prada2013" else "lithium-ion",
        figures.slow.charge[-1],
        nominal_volts or figures.mean_volts,
        full_volts=figures.cell.full,
        cutoff_volts=figures.cell.cutoff,
        resistance_ohm=figures.resistance_ohm,
        slow_current_a=figures.cell.nominal_ah / 20,
        fast_capacity_coulomb=figures.fast.charge[-1] if fast else None,
        fast_current_a=figures.cell.nominal_ah,
    )


def watts_at(name: str, rate: float) -> float:
    return rate * sheet(name).slow.charge[-1] / 3600 * sheet(name).mean_volts


@cache
def simulated_s(name: str, rate: float) -> float:
    return float(sheet(name).cell.run(watts=watts_at(name, rate)).time_s[-1])


def miss(pack: Pack, name: str, rate: float) -> float:
    hours = float(endurance(pack, constant_power(watts_at(name, rate))).duration_s)
    return hours / simulated_s(name, rate) - 1


@pytest.mark.parametrize("rate", RATES)
@pytest.mark.parametrize("name", REQUIRED)
def test_hours_agree_with_the_electrochemical_model(name: str, rate: float) -> None:
    allowed = 0.03 if rate <= 0.5 else 0.05
    assert abs(miss(pack_of(name), name, rate)) < allowed


@pytest.mark.parametrize("rate", [0.2, 1.0])
@pytest.mark.parametrize("name", OTHERS)
def test_hours_agree_for_cells_the_curves_were_not_chosen_for(name: str, rate: float) -> None:
    allowed = 0.03 if rate <= 0.5 else 0.05
    assert abs(miss(pack_of(name), name, rate)) < allowed


@pytest.mark.parametrize("name", REQUIRED)
def test_watt_hours_over_watts_would_not_pass_at_1_c(name: str) -> None:
    assert 1.0 / (1.0 * simulated_s(name, 1.0) / 3600) - 1 > 0.05


@pytest.mark.parametrize("name", ["Chen2020", "Marquis2019", "Ai2020", "Mohtat2020", "NCA_Kim2011"])
def test_lithium_ion_without_a_fast_capacity_stays_within_3_percent(name: str) -> None:
    pack = pack_of(name, fast=False)
    assert abs(miss(pack, name, 0.2)) < 0.03
    assert abs(miss(pack, name, 1.0)) < 0.03


@pytest.mark.parametrize(
    ("name", "label"),
    [("Chen2020", 3.6), ("Chen2020", 3.7), ("Marquis2019", 3.7), ("Prada2013", 3.2)],
)
def test_a_mere_label_for_nominal_volts_costs_little(name: str, label: float) -> None:
    pack = pack_of(name, nominal_volts=label)
    assert abs(miss(pack, name, 0.2)) < 0.03
    assert abs(miss(pack, name, 1.0)) < 0.05


@pytest.mark.parametrize("name", REQUIRED)
def test_terminal_volts_follow_the_simulated_course_at_half_power(name: str) -> None:
    from lightcalc.physics.charge.discharge import discharge

    watts = watts_at(name, 0.5)
    run = sheet(name).cell.run(watts=watts)
    ours = discharge(pack_of(name), constant_power(watts))
    shares = np.linspace(0.1, 0.8, 15) * run.charge[-1]
    apart = np.interp(shares, ours.charge_coulomb, ours.volts) - np.interp(
        shares, run.charge, run.volts
    )
    assert np.abs(apart).mean() < 0.02 * sheet(name).mean_volts

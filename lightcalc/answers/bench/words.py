"""Places of readings in the maker's words, and the readings worth taking on a design."""

from __future__ import annotations

from collections.abc import Iterator

from lightcalc import units
from lightcalc.answers.bench.built import BuiltSupply
from lightcalc.answers.wiring import CutRun
from lightcalc.design.read_readings import far_end_m
from lightcalc.design.readings import Probe

HALF_HOUR_S = 1800.0
QUANTITIES = {"voltage": "volts", "current": "amps", "time": "time"}


def words_for(probe: Probe, only_supply: bool = True) -> str:
    """Say what is measured and where.

    >>> words_for(Probe("voltage", "main", "pad", run="front rail", spot="far end"))
    'volts at the far end of front rail'
    >>> words_for(Probe("voltage", "main", "pack", rested=True, lit_s=7200.0, level_ratio=0.6))
    'volts of the rested pack after 2 h at 60 %'
    """
    what = QUANTITIES[probe.quantity]
    if probe.run:
        return f"{what} {_on_run(probe)}"
    of = "" if only_supply else f" of {probe.supply}"
    level = units.show(probe.level_ratio, "ratio")
    if probe.place == "light":
        ends = "is half" if probe.until == "half light" else "goes out"
        return f"time until the light{of} {ends} at {level}"
    if probe.place == "output":
        at = "" if probe.level_ratio == 1.0 else f" at {level}"
        return f"{what} after the converter{of}{at}"
    state = "rested" if probe.rested else "lit"
    if probe.lit_s == 0.0:
        full = "full, rested" if probe.rested else "full, lit"
        at = "" if probe.rested else f" at {level}"
        return f"{what} of the {full} pack{of}{at}"
    return f"{what} of the {state} pack{of} after {units.show(probe.lit_s, 'time')} at {level}"


def _on_run(probe: Probe) -> str:
    level = "" if probe.level_ratio == 1.0 else f" at {units.show(probe.level_ratio, 'ratio')}"
    if probe.quantity == "current":
        feed = f" through {probe.spot}" if probe.spot else ""
        return f"of {probe.run}{feed}{level}"
    if probe.place == "lead":
        return (
            f"on the wires of {probe.spot.replace('lead', 'feed')} of {probe.run}, before its joint"
        )
    at = f"at {probe.spot}" if probe.spot[-1:].isdigit() else f"at the {probe.spot}"
    if "from its start" in probe.spot:
        at = f"at {probe.spot.removesuffix(' from its start')} from the start"
    return f"{at} of {probe.run}"


def worth_taking(supply: BuiltSupply, full_level_s: float) -> list[Probe]:
    """Return every kind of reading that one supply offers, at the usual places.

    `full_level_s` is how long it lasts, so that the pack can be read half way.
    """
    wired, name = supply.circuit.wired, supply.supply.name
    bank = wired.pack.output_v is not None
    found = [probe for run in wired.runs for probe in _of_run(run, name)]
    found.append(Probe("time", name, "light"))
    if wired.converter is None and not bank:
        found.append(Probe("time", name, "light", until="half light"))
    else:
        found += [Probe("voltage", name, "output"), Probe("current", name, "output")]
    if not bank:
        half_s = max(round(full_level_s / 2.0 / HALF_HOUR_S), 1) * HALF_HOUR_S
        found.append(Probe("current", name, "pack"))
        for rested in (True, False):
            found.append(Probe("voltage", name, "pack", rested=rested))
            found.append(Probe("voltage", name, "pack", rested=rested, lit_s=half_s))
    return found


def _of_run(run: CutRun, supply: str) -> Iterator[Probe]:
    name, feeds = run.run.name, run.run.feeds
    for feed, place in enumerate(feeds):
        at, before = f"feed {feed + 1}", f"lead {feed + 1}"
        yield Probe("voltage", supply, "pad", name, feed, place.at_m, spot=at)
        yield Probe("voltage", supply, "lead", name, feed, place.at_m, spot=before)
        if len(feeds) > 1:
            yield Probe("current", supply, "lead", name, feed, spot=at)
    far_m = far_end_m(run.run, run.strip)
    yield Probe("voltage", supply, "pad", name, at_m=far_m, spot="far end")
    yield Probe("current", supply, "run", name)

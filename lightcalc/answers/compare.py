"""One pack or two: the same runs and evenings with one shared pack, two packs, and one twice as big.

Each build is a whole design and is answered like any other. Packs and converter outputs are
never joined: in a build with two packs each feeds runs of its own.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from lightcalc.answers.answer import answer
from lightcalc.answers.results import Answer, BuildAnswer, Comparison
from lightcalc.answers.wiring import cut
from lightcalc.design.check import check_against_catalogue
from lightcalc.design.piece import Design, Feed, Run, Supply
from lightcalc.parts.kinds import Catalogue
from lightcalc.problems import Problems
from lightcalc.units import show

ONE, TWO, DOUBLE = "one shared pack", "two packs", "one pack of twice the cells"
# Builds whose hours differ by less than this are as good as each other; labels differ by more.
SAME_HOURS_RATIO = 0.05


@dataclass(frozen=True)
class Build:
    """One way to power the runs, as a design of its own."""

    name: str
    design: Design


def compare(design: Design, catalogue: Catalogue) -> Comparison:
    """Answer the three builds side by side; a build that cannot work says why."""
    first = design.supplies[0]
    builds = (
        Build(ONE, _shared(design, first, 1)),
        Build(TWO, _split(design, first, catalogue)),
        Build(DOUBLE, _shared(design, first, 2)),
    )
    answers = tuple(_build_answer(build, catalogue) for build in builds)
    return Comparison(
        piece=design.piece.name,
        units=design.system,
        currency=catalogue.currency,
        builds=answers,
        advice=_advice(answers),
    )


def _shared(design: Design, supply: Supply, times: int) -> Design:
    """All runs on one supply, with `times` the cells it has."""
    shared = replace(supply, pack_multiple=supply.pack_multiple * times)
    runs = tuple(replace(run, supply=supply.name) for run in design.runs)
    return replace(design, supplies=(shared,), runs=runs)


def _split(design: Design, supply: Supply, catalogue: Catalogue) -> Design:
    """Two supplies of the same parts, each with about half of the watts; one run is cut in two."""
    runs = list(design.runs)
    if len(runs) == 1:
        runs = _cut_in_two(runs[0], catalogue)
    by_power = sorted(runs, key=lambda run: -_rated_w(run, catalogue))
    loads = {0: 0.0, 1: 0.0}
    side: dict[str, int] = {}
    for run in by_power:
        lighter = min(loads, key=lambda number: loads[number])
        side[run.name] = lighter
        loads[lighter] += _rated_w(run, catalogue)
    names = (supply.name, f"{supply.name} 2")
    return replace(
        design,
        supplies=tuple(replace(supply, name=name) for name in names),
        runs=tuple(replace(run, supply=names[side[run.name]]) for run in runs),
    )


def _rated_w(run: Run, catalogue: Catalogue) -> float:
    cut_run = cut(run, catalogue)
    return cut_run.strip.power_w_per_m * cut_run.length_m


def _cut_in_two(run: Run, catalogue: Catalogue) -> list[Run]:
    """Cut one run at the mark nearest its middle, the second half fed from its far end."""
    strip = catalogue.strips[run.strip]
    units = cut(run, catalogue).units
    if units < 2:
        return [run]
    first_m = (units - units // 2) * strip.cut_unit_m
    second_m = (units // 2) * strip.cut_unit_m
    lead = run.feeds[0].lead
    return [
        replace(run, name=f"{run.name} (first half)", length_m=first_m, feeds=(Feed(0.0, lead),)),
        replace(
            run,
            name=f"{run.name} (second half)",
            length_m=second_m,
            feeds=(Feed(second_m, replace(lead, name=f"{lead.name} (second half)")),),
        ),
    ]


def _build_answer(build: Build, catalogue: Catalogue) -> BuildAnswer:
    problems = Problems("")
    check_against_catalogue(build.design, catalogue, problems)
    if problems.found:
        reason = " ".join(problem.sentence for problem in problems.found)
        return _impossible(build.name, reason)
    return _as_build(build.name, answer(build.design, catalogue))


def _impossible(name: str, reason: str) -> BuildAnswer:
    return BuildAnswer(
        build=name,
        possible=False,
        reason=reason,
        packs_count=0,
        cells="",
        hours_h=0.0,
        hours_low_h=0.0,
        hours_high_h=0.0,
        full_level_h=0.0,
        first_empty="",
        dimmest_light_ratio=0.0,
        light_fall_ratio=0.0,
        price=None,
        mass_kg=None,
        stops_count=0,
    )


def _as_build(name: str, result: Answer) -> BuildAnswer:
    """Sum up a build: the supply that empties first decides its hours."""
    first = min(result.supplies, key=lambda supply: supply.hours_h)
    last = max(result.supplies, key=lambda supply: supply.hours_h)
    even = last.hours_h - first.hours_h <= 1e-3 * last.hours_h
    return BuildAnswer(
        build=name,
        possible=True,
        reason="",
        packs_count=len(result.supplies),
        cells=", ".join(f"{s.packs_count} x {s.pack}" for s in result.supplies),
        hours_h=first.hours_h,
        hours_low_h=first.hours_low_h,
        hours_high_h=first.hours_high_h,
        full_level_h=min(supply.full_level_h for supply in result.supplies),
        first_empty="both together" if even and len(result.supplies) > 1 else first.supply,
        dimmest_light_ratio=min(run.dimmest_light_ratio for run in result.runs),
        light_fall_ratio=max(run.light_fall_ratio for run in result.runs),
        price=result.price,
        mass_kg=result.mass_kg,
        stops_count=sum(finding.grade == "stop" for finding in result.findings),
    )


def _advice(builds: tuple[BuildAnswer, ...]) -> str:
    """Say in words what the second pack buys."""
    one, two, double = builds
    if not (one.possible and two.possible) or one.hours_h <= 0.0:
        return "One of the builds cannot work; see its reason."
    text = (
        f"A second pack takes a charge from {_hours(one)} to {_hours(two)}, "
        f"{two.hours_h / one.hours_h:.2g} times as long."
    )
    if double.possible and double.hours_h > 0.0:
        ratio = two.hours_h / double.hours_h
        if abs(ratio - 1.0) < SAME_HOURS_RATIO:
            text += " One pack of twice the cells lasts as long, with one charger and one fuse."
        else:
            longer = "longer" if ratio < 1.0 else "less long"
            text += f" One pack of twice the cells lasts {longer}: {_hours(double)}."
    if two.first_empty != "both together":
        text += f" Of the two packs, {two.first_empty} is empty first."
    return text


def _hours(build: BuildAnswer) -> str:
    return show(build.hours_h * 3600.0, "time", digits=2)

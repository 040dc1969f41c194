"""One pack or two: the same runs and evenings with one pack, two packs, and one twice as big.

Each build is a whole design and is answered like any other. Packs and converter outputs are
never joined: in a build with two packs each feeds runs of its own.
"""

from __future__ import annotations

from collections.abc import Callable
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
NO_DOUBLE_BANK = "Nobody builds two USB banks into one; take a bank that holds twice as much."
# Builds whose hours differ by less than this are as good as each other; labels differ by more.
SAME_HOURS_RATIO = 0.05
# Two packs whose hours differ by less than this are empty together, as far as anyone can tell.
EVEN_RATIO = 0.02


@dataclass(frozen=True)
class Build:
    """One way to power the runs, as a design of its own; None, and why, where there is no way."""

    name: str
    design: Design | None
    reason: str = ""


Watch = Callable[[int, int], None]
"""Is told how many builds are answered, and of how many."""


def compare(
    design: Design,
    catalogue: Catalogue,
    answered: Answer | None = None,
    watch: Watch | None = None,
) -> Comparison:
    """Answer the three builds side by side; a build that cannot work says why.

    `answered` is the answer of the design itself, where it is at hand: a design with one supply is
    the first of the builds.
    """
    ways = builds(design, catalogue)
    found = []
    for number, build in enumerate(ways):
        if watch is not None:
            watch(number, len(ways))
        known = answered if build.design == design else None
        found.append(_build_answer(build, catalogue, known))
    answers = tuple(found)
    return Comparison(
        piece=design.piece.name,
        units=design.system,
        currency=catalogue.currency,
        asked_h=None if design.ask.charge_s is None else design.ask.charge_s / 3600.0,
        builds=answers,
        advice=_advice(answers),
    )


def builds(design: Design, catalogue: Catalogue) -> tuple[Build, Build, Build]:
    """Return the three ways to power the runs of a design from the parts of its first supply."""
    first = design.supplies[0]
    two = _split(design, first, catalogue)
    bank = catalogue.packs[first.pack].form == "usb bank"
    return (
        Build(ONE, _shared(design, first, 1)),
        Build(TWO, two, "" if two else "One cut unit cannot be shared between two packs."),
        Build(DOUBLE, None, NO_DOUBLE_BANK) if bank else Build(DOUBLE, _shared(design, first, 2)),
    )


def why_impossible(build: Build, catalogue: Catalogue) -> str:
    """Say why a build cannot be made; nothing when it can."""
    if build.design is None:
        return build.reason
    problems = Problems("")
    check_against_catalogue(build.design, catalogue, problems)
    return " ".join(problem.sentence for problem in problems.found)


def _shared(design: Design, supply: Supply, times: int) -> Design:
    """All runs on one supply, with `times` the cells it has."""
    shared = replace(supply, pack_multiple=supply.pack_multiple * times)
    runs = tuple(replace(run, supply=supply.name) for run in design.runs)
    return replace(design, supplies=(shared,), runs=runs)


def _split(design: Design, supply: Supply, catalogue: Catalogue) -> Design | None:
    """Two supplies of the same parts, each with about half of the watts; one run is cut in two."""
    runs = list(design.runs)
    if len(runs) == 1:
        runs = _cut_in_two(runs[0], catalogue)
    if len(runs) == 1:
        return None
    by_power = sorted(runs, key=lambda run: -_rated_w(run, catalogue))
    loads = {0: 0.0, 1: 0.0}
    side: dict[str, int] = {}
    for run in by_power:
        lighter = min(loads, key=lambda number: loads[number])
        side[run.name] = lighter
        loads[lighter] += _rated_w(run, catalogue)
    names = (f"{supply.name}, first pack", f"{supply.name}, second pack")
    return replace(
        design,
        supplies=tuple(replace(supply, name=name) for name in names),
        runs=tuple(replace(run, supply=names[side[run.name]]) for run in runs),
    )


def _rated_w(run: Run, catalogue: Catalogue) -> float:
    return cut(run, catalogue).rated_w


def _cut_in_two(run: Run, catalogue: Catalogue) -> list[Run]:
    """Cut one run at the mark nearest its middle and feed the halves as mirror images.

    ```
    one run     feed>|-------------------|           or    |---------^---------|
    two halves  feed>|---------|---------|<feed            |--------^|^--------|
    ```
    """
    whole = cut(run, catalogue)
    if whole.units < 2:
        return [run]
    first_m = (whole.units - whole.units // 2) * whole.strip.cut_unit_m
    second_m = (whole.units // 2) * whole.strip.cut_unit_m
    near, far = (end(run.feeds, key=lambda feed: feed.at_m) for end in (min, max))
    inward_m = max(min(near.at_m, whole.length_m - near.at_m, second_m), 0.0)
    far_lead = replace(far.lead, name=f"{far.lead.name} (second half)")
    halves = (
        ("first half", first_m, Feed(inward_m, near.lead)),
        ("second half", second_m, Feed(second_m - inward_m, far_lead)),
    )
    return [
        replace(run, name=f"{run.name} ({half})", length_m=length_m, feeds=(feed,))
        for half, length_m, feed in halves
    ]


def _build_answer(build: Build, catalogue: Catalogue, answered: Answer | None) -> BuildAnswer:
    reason = why_impossible(build, catalogue)
    if build.design is None or reason:
        return _impossible(build.name, reason)
    return _as_build(build.name, answered or answer(build.design, catalogue))


def _impossible(name: str, reason: str) -> BuildAnswer:
    return BuildAnswer(
        build=name,
        feeds=(),
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
    dark = [finding.why for finding in result.findings if finding.code == "no-light"]
    even = last.hours_h - first.hours_h <= EVEN_RATIO * last.hours_h
    return BuildAnswer(
        build=name,
        feeds=tuple(f"{s.supply} feeds {' and '.join(s.runs)}" for s in result.supplies),
        possible=True,
        reason=dark[0] if dark else "",
        packs_count=len(result.supplies),
        cells=", ".join(f"{s.packs_count} x {s.pack}" for s in result.supplies),
        hours_h=first.hours_h,
        hours_low_h=first.hours_low_h,
        hours_high_h=first.hours_high_h,
        full_level_h=min(supply.full_level_h for supply in result.supplies),
        first_empty=_first_empty(result, first.supply, even),
        dimmest_light_ratio=min(run.dimmest_light_ratio for run in result.runs),
        light_fall_ratio=max(run.light_fall_ratio for run in result.runs),
        price=result.price,
        mass_kg=result.mass_kg,
        stops_count=sum(finding.grade == "stop" for finding in result.findings),
    )


def _first_empty(result: Answer, first: str, even: bool) -> str:
    if len(result.supplies) == 1:
        return ""
    return "both together" if even else first


def _advice(builds: tuple[BuildAnswer, ...]) -> str:
    """Say in words what the second pack buys."""
    one, two, double = builds
    lit = [build.build for build in builds if build.hours_h > 0.0]
    if not lit:
        return "None of these gives light; the reasons say why."
    if one.build not in lit or two.build not in lit:
        return f"Only {' and '.join(lit)} can work; the reasons of the others say why."
    text = (
        f"A second pack takes a charge from {_hours(one)} to {_hours(two)}, "
        f"{two.hours_h / one.hours_h:.2g} times as long."
    )
    if double.build in lit and two.hours_h < (1.0 - SAME_HOURS_RATIO) * double.hours_h:
        text += " It is less than twice because each pack has a standby of its own."
    if double.build in lit:
        ratio = two.hours_h / double.hours_h
        if abs(ratio - 1.0) < SAME_HOURS_RATIO:
            text += " One pack of twice the cells lasts as long, and is one thing to look after."
        else:
            longer = "longer" if ratio < 1.0 else "less long"
            text += f" One pack of twice the cells lasts {longer}: {_hours(double)}."
    if two.first_empty != "both together":
        text += f" Empty first: {two.first_empty}."
    return text


def _hours(build: BuildAnswer) -> str:
    return show(build.hours_h * 3600.0, "time", digits=2)

"""Check that the names and leads of a design hold together, whatever its parts are.

supply ──trunk──┬──trunk──┬──feed lead──▶ run A
                │         └──feed lead──▶ run B     all of one supply
                └──feed lead──▶ run C
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from lightcalc.design.fields import label, shown, suggest
from lightcalc.design.piece import Design, Lead
from lightcalc.problems import Problems


def check_names_and_leads(design: Design, problems: Problems) -> None:
    """Add every name used twice or borne by nothing, and every lead that leads nowhere."""
    _check_names_once(design, problems)
    _check_supplies_named(design, problems)
    _check_parents(design, problems)
    _check_cycles(design, problems)
    _check_trunks_used(design, problems)


def _check_names_once(design: Design, problems: Problems) -> None:
    groups: dict[str, list[str]] = {
        "runs": [run.name for run in design.runs],
        "supplies": [supply.name for supply in design.supplies],
        "trunks": [trunk.name for trunk in design.trunks],
    }
    for group, names in groups.items():
        for name, times in Counter(names).items():
            if name and times > 1:
                problems.add(group, f'found "{name}" {times} times; give each its own name.')


def _check_supplies_named(design: Design, problems: Problems) -> None:
    names = [supply.name for supply in design.supplies if supply.name]
    for number, run in enumerate(design.runs, start=1):
        if run.supply and names and run.supply not in names:
            problems.add(
                f"runs.{label(run.name, number)}.supply",
                f"found {shown(run.supply)}, which is no supply; {suggest(run.supply, names)}",
            )


def _feed_leads(design: Design) -> Iterator[tuple[str, Lead, str]]:
    """Give each feed's place in the file, its lead, and the supply of its run."""
    for number, run in enumerate(design.runs, start=1):
        for feed_number, feed in enumerate(run.feeds, start=1):
            place = f"runs.{label(run.name, number)}.feeds.{feed_number}"
            yield place, feed.lead, run.supply


def _trunk_leads(design: Design) -> Iterator[tuple[str, Lead]]:
    for number, trunk in enumerate(design.trunks, start=1):
        yield f"trunks.{label(trunk.name, number)}", trunk


def _check_parents(design: Design, problems: Problems) -> None:
    names = [trunk.name for trunk in design.trunks if trunk.name]
    leads = [*_trunk_leads(design), *((place, lead) for place, lead, _ in _feed_leads(design))]
    for place, lead in leads:
        if lead.parent and lead.parent not in names:
            hint = suggest(lead.parent, names) if names else "there are no [[trunks]]."
            problems.add(
                f"{place}.from",
                f"found {shown(lead.parent)}, which is no trunk; {hint} "
                "Leave it out for a lead that starts at the supply.",
            )


def _check_cycles(design: Design, problems: Problems) -> None:
    for place, trunk in _trunk_leads(design):
        above = _above(design, trunk.parent)
        if trunk.name and trunk.name in above:
            way = " from ".join(shown(name) for name in (trunk.name, *above))
            problems.add(
                f"{place}.from",
                f"comes round to itself ({way}); a trunk starts at the supply or at a trunk nearer "
                "to it.",
            )


def _above(design: Design, name: str | None) -> list[str]:
    """Return the trunks from the named one towards the supply, each once."""
    parents = {trunk.name: trunk.parent for trunk in design.trunks}
    above: list[str] = []
    while name in parents and name is not None and name not in above:
        above.append(name)
        name = parents[name]
    return above


def _check_trunks_used(design: Design, problems: Problems) -> None:
    fed: dict[str, list[str]] = {trunk.name: [] for trunk in design.trunks}
    for _, lead, supply in _feed_leads(design):
        for name in _above(design, lead.parent):
            if supply not in fed[name]:
                fed[name].append(supply)
    leads = [*design.trunks, *(lead for _, lead, _ in _feed_leads(design))]
    # A lead that is missing or whose trunk is misspelt may be the one that starts there.
    all_drawn = bool(design.runs) and all(run.feeds for run in design.runs)
    all_known = all_drawn and all(lead.parent is None or lead.parent in fed for lead in leads)
    for place, trunk in _trunk_leads(design):
        supplies = [shown(name) for name in fed[trunk.name] if name]
        if trunk.name and not fed[trunk.name] and all_known:
            problems.add(
                place,
                f"leads to no run; write from = {shown(trunk.name)} in a feed, or take it out.",
            )
        elif len(supplies) > 1:
            problems.add(
                place,
                f"leads to runs of {' and '.join(supplies)}; a trunk carries one supply, or its "
                "packs would be joined. Give each supply a trunk of its own.",
            )

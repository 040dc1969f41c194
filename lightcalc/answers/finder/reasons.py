"""Say in words how a found design differs from the one drawn, and what speaks for it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from lightcalc.answers.finder.choices import AS_DRAWN, Choices, LightSide, Power
from lightcalc.answers.finder.notice import steps_worse
from lightcalc.answers.finder.search import Standing
from lightcalc.design.find import MERITS
from lightcalc.units import show

# What to call a merit that is better, and one that is worse.
BETTER = ("cheaper", "longer", "more even", "lighter")
WORSE = ("dearer", "shorter", "less even", "heavier")
ALIKE = "no difference that anyone would notice"


def why_it(one: Standing, beside: Standing, choices: Choices) -> str:
    """Say what a design is better in than another one, and what it is worse in.

    Differences within a step of what labels are good for are not said.
    """
    steps = steps_worse(one.merits, beside.merits)
    gains = [
        _difference(place, one, beside, BETTER, choices)
        for place, worse in enumerate(steps)
        if worse <= -1.0
    ]
    losses = [
        _difference(place, one, beside, WORSE, choices)
        for place, worse in enumerate(steps)
        if worse >= 1.0
    ]
    if gains and losses:
        return f"{_listed(gains)}; but {_listed(losses)}"
    if losses:
        return f"{_listed(losses)}, and better in nothing that anyone would notice"
    return _listed(gains) or ALIKE


def _difference(
    place: int, one: Standing, beside: Standing, words: tuple[str, ...], choices: Choices
) -> str:
    mine, other = one.merits, beside.merits
    word, system = words[place], choices.design.system
    if MERITS[place] == "hours":
        return f"{show(abs(mine.hours_h - other.hours_h) * 3600.0, 'time', digits=2)} {word}"
    if MERITS[place] == "evenness":
        gap = abs(mine.light_fall_ratio - other.light_fall_ratio)
        return f"{word} by {show(gap, 'ratio', digits=2)}"
    if MERITS[place] == "mass":
        if mine.mass_kg is None or other.mass_kg is None:
            return "of known mass" if other.mass_kg is None else "of unknown mass"
        return f"{show(abs(mine.mass_kg - other.mass_kg), 'mass', system, 2)} {word}"
    if mine.price is None or other.price is None:
        return "of known price" if other.price is None else "of unknown price"
    gap = abs(mine.price - other.price)
    return f"{gap:.{0 if gap >= 1.0 else 2}f} {choices.catalogue.currency} {word}"


def differs_from(one: Standing, choices: Choices) -> tuple[str, ...]:
    """Say everything that would have to be changed in the design as drawn."""
    light, runs = one.choice.light, choices.design.runs
    said = [*_strips(light, choices)]
    if light.build != AS_DRAWN:
        half = "half of the run" if len(runs) == 1 else "runs of its own"
        said.append(f"two packs, each with {half}")
    if light.feeds != AS_DRAWN:
        each = "each run " if len(runs) > 1 else ""
        place = "the middle" if light.feeds == "middle" else "both ends"
        said.append(f"{each}fed at {place}")
    if light.wire is not None:
        said.append(f"leads of {light.wire}")
    if light.level is not None:
        said.append(f"{show(light.level, 'ratio', digits=2)} at its brightest")
    drawn = choices.lit_by(light)
    groups = choices.supply_groups(drawn) if drawn else ()
    for group, power in zip(groups, one.choice.powers, strict=True):
        supply = choices.design.supplies[0] if len(groups) == 1 else choices.design.supply(group[0])
        was = Power(supply.pack, supply.pack_multiple, supply.converter)
        pack = "each pack" if len(group) > 1 else "pack"
        said += _power(was, power, pack, f" ({group[0]})" if len(groups) > 1 else "")
    return tuple(said)


def _strips(light: LightSide, choices: Choices) -> Iterator[str]:
    for drawn, strip in zip(choices.strip_groups, light.strips, strict=True):
        if strip != drawn:
            yield f"strip {strip}" if len(light.strips) == 1 else f"strip {strip} for {drawn}"


def _power(was: Power, power: Power, pack: str, of: str) -> Iterator[str]:
    if (power.pack, power.multiple) != (was.pack, was.multiple):
        yield f"{pack} {power.pack}{_times(was, power)}{of}"
    if power.converter != was.converter:
        yield f"converter {power.converter}{of}" if power.converter else f"no converter{of}"


def _times(was: Power, power: Power) -> str:
    """Say how many times the cells of a pack there are, where that is not plain."""
    if power.multiple == 1:
        return " with the cells of one" if was.multiple > 1 else ""
    return f" with {'twice' if power.multiple == 2 else f'{power.multiple} times'} the cells"


def _listed(words: Sequence[str]) -> str:
    """Make a list of a sentence.

    >>> _listed(["a"]), _listed(["a", "b", "c"])
    ('a', 'a, b and c')
    """
    return " and ".join([", ".join(words[:-1]), words[-1]]) if len(words) > 1 else "".join(words)

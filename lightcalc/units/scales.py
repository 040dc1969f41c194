"""Kinds of quantity, the words for their units, and how each unit becomes SI."""

from __future__ import annotations

import re
import tomllib
import unicodedata
from dataclasses import dataclass
from functools import cache, lru_cache
from pathlib import Path
from typing import TYPE_CHECKING, Any, NamedTuple

from lightcalc.units.worked_out import worked_out

if TYPE_CHECKING:
    import pint

_ALIKE = str.maketrans(
    {"″": '"', "”": '"', "“": '"', "′": "'", "’": "'", "‘": "'", "−": "-", "–": "-", "º": "°"}
)


class UnitProblem(ValueError):  # noqa: N818 - read as a sentence where it is raised
    """What was written is no quantity of the wanted kind; the sentence says what would be."""


class Scale(NamedTuple):
    """How a unit becomes SI: value * factor + offset. Only temperatures have an offset."""

    factor: float
    offset: float


@dataclass(frozen=True)
class Kind:
    """One kind of quantity; `metric` and `inch` say from which SI size a unit is shown."""

    si: str
    noun: str
    example: str
    metric: dict[str, float]
    inch: dict[str, float]
    words: dict[str, str]


@cache
def _table() -> dict[str, Any]:
    return tomllib.loads(Path(__file__).with_name("units.toml").read_text(encoding="utf-8"))


@cache
def kinds() -> dict[str, Kind]:
    """Return every kind of quantity by its name."""
    return {
        name: Kind(
            si=row["si"],
            noun=row["noun"],
            example=row["example"],
            metric=row["metric"],
            inch=row.get("inch", row["metric"]),
            words=row.get("words", {}),
        )
        for name, row in _table()["kinds"].items()
    }


@cache
def registry() -> pint.UnitRegistry[float]:
    """Return the one registry, with the units of `units.toml` and no others."""
    # Imported here because start-up must stay light where no unit is converted.
    import pint  # noqa: PLC0415

    built: pint.UnitRegistry[float] = pint.UnitRegistry(None)
    built.load_definitions(_table()["definitions"])
    return built


@cache
def _folded_words() -> dict[str, str]:
    return {word.casefold(): unit for word, unit in _table()["words"].items()}


def _word_unit(word: str, kind: Kind) -> str | None:
    """Return the registry's unit for one word, or None."""
    exact = kind.words.get(word) or _table()["words"].get(word)
    if exact:
        return str(exact)
    folded = _folded_words().get(word.casefold())
    if folded and word.startswith("M") and folded.startswith("milli"):
        return None
    return folded


def _unit_of(text: str, kind: Kind) -> pint.Unit | None:
    """Return the unit that `W/m`, `per m2` or `mm` names, or None when a word is unknown."""
    upper, slash, lower = text.removeprefix("per ").partition("/")
    if text.startswith("per "):
        upper, slash, lower = "", "per", upper if not slash else text
    if not upper and not slash:
        return None
    top = _word_unit(upper.strip(), kind) if upper else "dimensionless"
    bottom = _word_unit(lower.strip(), kind) if slash else "dimensionless"
    if top is None or bottom is None:
        return None
    build = registry().Unit
    return build(top) / build(bottom) if slash else build(top)


@cache
def _si_unit(name: str) -> pint.Unit:
    return registry().Unit(name)


@lru_cache(maxsize=1024)
def scale(unit: str, kind: str) -> Scale:
    """Return how numbers in the unit become SI numbers of the kind.

    Raises UnitProblem when the unit is unknown or measures something else.

    >>> scale("mm", "length").factor
    0.001
    >>> scale("W/ft", "power_per_length").factor
    3.28083989501312
    """
    known = worked_out().get((unit, kind))
    return Scale(*known) if known else scale_by_pint(unit, kind)


def words() -> tuple[str, ...]:
    """Return every word for a unit that is the same in all kinds."""
    return tuple(_table()["words"])


def scale_by_pint(unit: str, kind: str) -> Scale:
    """Work a scale out in the registry; raises as `scale`."""
    import pint  # noqa: PLC0415

    wanted = kinds()[kind]
    found = _unit_of(tidied(unit), wanted)
    if found is None:
        raise UnitProblem(f'"{unit}" is not a known unit; write {wanted.noun} as {wanted.example}.')
    convert, si = registry().convert, _si_unit(wanted.si)
    try:
        one = convert(1.0, found, si)
        zero = convert(0.0, found, si) if kind == "temperature" else 0.0
    except pint.errors.PintTypeError:  # wrong dimension, or a temperature in a compound
        measured = _measured(unit, kind)
        raise UnitProblem(
            f'"{unit}" measures {measured}; write {wanted.noun} as {wanted.example}.'
        ) from None
    return Scale(float(f"{one - zero:.15g}"), float(f"{zero:.15g}"))


def _measured(unit: str, but_kind: str) -> str:
    """Return what the unit measures, with its article."""
    found = _unit_of(tidied(unit), kinds()[but_kind])
    for kind in kinds().values():
        if found is not None and found.is_compatible_with(_si_unit(kind.si)):
            return kind.noun
    return "something else"


def example_of(kind: Kind) -> str:
    """Return the sentence that shows how a quantity of the kind is written."""
    return f"{kind.noun} needs a unit, such as {kind.example}."


def tidied(text: str) -> str:
    """Return the text with look-alike signs made one, and single plain spaces."""
    apart = re.sub(r"(?<=[0-9])(?=[¼-¾⅐-⅞])", " ", text.translate(_ALIKE))
    one_form = unicodedata.normalize("NFKC", apart).replace("⁄", "/").replace("''", '"')
    return " ".join(one_form.replace("'-", "' ").split())

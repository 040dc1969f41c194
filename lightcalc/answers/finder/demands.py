"""What a search asks of every design, and how designs are weighed against each other.

Labels of packs and strips miss by more than a few parts in a hundred, so merits are compared in
steps: what lies in one step counts as equal.
"""

from __future__ import annotations

import math
from dataclasses import dataclass, replace

import numpy as np
from numpy.typing import ArrayLike, NDArray

from lightcalc.answers.finder.results import Demand, Merits
from lightcalc.design.find import Find
from lightcalc.design.piece import Design

Array = NDArray[np.float64]

# Steps of price, hours and mass in parts of themselves, and of the fall in light (judgement: packs
# and strips are labelled no closer than a twentieth, and 2 % is about the least difference in
# light that an eye tells side by side).
PRICE_STEP, HOURS_STEP, MASS_STEP, FALL_STEP = 0.03, 0.05, 0.05, 0.02
NEVER = 10**9
# A search that says nothing of light keeps about as much as was drawn (judgement).
KEPT_LIGHT = 0.9


@dataclass(frozen=True)
class Demands:
    """At most or at least so much of each; None is not asked."""

    hours_h: float | None
    light_fall_ratio: float | None
    price: float | None
    mass_kg: float | None
    light_lm: float | None
    hidden: bool

    def met_by(self, merits: Merits) -> bool:
        """Whether a design meets them all."""
        return not self.missed_by(merits)

    def missed_by(self, merits: Merits) -> tuple[str, ...]:
        """Return the demands that a design misses, and those of which it cannot be told."""
        missed: dict[str, bool] = {
            "hours": self.hours_h is not None and merits.hours_h < self.hours_h,
            "evenness": self.light_fall_ratio is not None
            and merits.light_fall_ratio > self.light_fall_ratio,
            "price": _over(merits.price, self.price),
            "price-unknown": self.price is not None and merits.price is None,
            "mass": _over(merits.mass_kg, self.mass_kg),
            "mass-unknown": self.mass_kg is not None and merits.mass_kg is None,
            "light": self.light_lm is not None and merits.light_lm < self.light_lm,
            "dots": self.hidden and not merits.hidden,
        }
        return tuple(demand for demand, is_missed in missed.items() if is_missed)


def demands_of(design: Design, drawn_lm: float | None) -> Demands:
    """Gather what is asked of a design; `drawn_lm` is its light as drawn, if it can be lit."""
    find, ask = design.find, design.ask
    kept_lm = None if drawn_lm is None else KEPT_LIGHT * drawn_lm
    return Demands(
        hours_h=None if ask.charge_s is None else ask.charge_s / 3600.0,
        light_fall_ratio=ask.light_fall_ratio,
        price=find.price,
        mass_kg=find.mass_kg,
        light_lm=kept_lm if find.light_lm is None else find.light_lm,
        hidden=find.hidden,
    )


def without(design: Design, demands: Demands, demand: Demand) -> tuple[Design, Demands]:
    """Return a design and its demands with one of them let go."""
    find, ask = design.find, design.ask
    if demand == "hours":
        return replace(design, ask=replace(ask, charge_s=None)), replace(demands, hours_h=None)
    if demand == "evenness":
        loose = replace(design, ask=replace(ask, light_fall_ratio=1.0))
        return loose, replace(demands, light_fall_ratio=None)
    dropped: dict[Demand, tuple[Find, Demands]] = {
        "price": (replace(find, price=None), replace(demands, price=None)),
        "mass": (replace(find, mass_kg=None), replace(demands, mass_kg=None)),
        "light": (find, replace(demands, light_lm=None)),
        "dots": (replace(find, hidden=False), replace(demands, hidden=False)),
    }
    looser, left = dropped[demand]
    return replace(design, find=looser), left


def ranks(
    price: ArrayLike, hours_h: ArrayLike, fall: ArrayLike, mass_kg: ArrayLike
) -> NDArray[np.int64]:
    """Return merits in whole steps (..., 4), less is better; what is infinite or unknown is worst.

    >>> ranks(100.0, 6.0, 0.051, 0.5).tolist(), ranks(100.4, 6.05, 0.054, 0.5).tolist()
    ([155, -36, 2, -15], [155, -36, 2, -15])
    """
    steps = np.broadcast_arrays(
        _step(price, PRICE_STEP),
        -_step(hours_h, HOURS_STEP),
        np.minimum(np.floor(np.asarray(fall, dtype=float) / FALL_STEP), NEVER),
        _step(mass_kg, MASS_STEP),
    )
    return np.stack(steps, axis=-1).astype(np.int64)


def ranks_of(merits: Merits) -> NDArray[np.int64]:
    """Return the merits of one design in whole steps (4,)."""
    price = math.inf if merits.price is None else merits.price
    mass_kg = math.inf if merits.mass_kg is None else merits.mass_kg
    return ranks(price, merits.hours_h, merits.light_fall_ratio, mass_kg)


def _step(values: ArrayLike, share: float) -> Array:
    # Where nothing can be had, hours are less than none.
    found = np.maximum(np.asarray(values, dtype=float), 0.0)
    with np.errstate(divide="ignore"):
        steps = np.floor(np.log(found) / math.log1p(share))
    return np.asarray(np.clip(steps, -NEVER, NEVER))


def _over(value: float | None, most: float | None) -> bool:
    return most is not None and value is not None and value > most

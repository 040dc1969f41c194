"""The next reading to take: what would tell two faults apart, and what would teach a figure."""

from __future__ import annotations

from functools import cached_property

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.bench_words import words_for, worth_taking
from lightcalc.answers.refit import Believed, Refit, Refitter
from lightcalc.design.readings import USUAL_ACCURACY, Probe

Array = NDArray[np.float64]

CLEAR_DEVIATIONS = 3.0
"""Two faults are told apart by a reading that they put this many deviations apart."""


class Advice:
    """Looks for the next reading among those that the design offers."""

    def __init__(self, refitter: Refitter, refit: Refit) -> None:
        self.refitter, self.refit = refitter, refit
        self.only_supply = len(refitter.model.built) == 1

    @cached_property
    def _offered(self) -> tuple[Probe, ...]:
        model, taken = self.refitter.model, set(self.refitter.probes)
        found = []
        for supply in model.built:
            light = Probe("time", supply.supply.name, "light")
            lasts_s = float(model.predict(model.as_drawn, [light])[0, 0])
            found += [p for p in worth_taking(supply, lasts_s) if p not in taken]
        return tuple(found)

    @cached_property
    def _bench(self) -> Refitter:
        """The same piece with the readings that were not taken, on usual meters."""
        known = self.refitter
        meters = [USUAL_ACCURACY[probe.quantity] for probe in self._offered]
        return Refitter(known.model, known.parameters, known.faults, self._offered, meters)

    def _foreseen(self, believed: Believed) -> tuple[Array, Array, Array]:
        """Foresee what the readings offered would show under a fault.

        Returns them (readings,), their slopes to parameters and magnitude (readings, numbers), and
        the variance of the meters (readings,).
        """
        count, bench = len(self.refitter.parameters), self._bench
        numbers = np.zeros((1, bench.size))
        numbers[0, :count], numbers[0, -1] = believed.peak.mean[:count], believed.peak.mean[-1]
        straight = bench.straight([bench.faults[believed.fault]], numbers)
        slopes = straight.slopes[0]
        scales = slopes[:, count:-1] * bench.sd[count:-1]
        meter = (scales**2).sum(axis=1) + bench.noise_sd**2
        return straight.shown[0], np.delete(slopes, range(count, bench.size - 1), axis=1), meter

    def _spread(self, believed: Believed) -> Array:
        """Spread of parameters and magnitude, those of the meters used left out."""
        count, size = len(self.refitter.parameters), self.refitter.size
        kept = [*range(count), size - 1]
        return np.asarray(believed.peak.spread[np.ix_(kept, kept)])

    def tells_apart(self, one: Believed, other: Believed) -> tuple[str, float | None]:
        """Return the reading that puts two faults farthest apart, and how far, in deviations.

        The reading is "" when none puts them clearly apart.
        """
        if not self._offered:
            return "", None
        (shown, slopes, meter), (shown_2, slopes_2, _) = map(self._foreseen, (one, other))
        unsure = [
            np.einsum("rn,nm,rm->r", steep, self._spread(believed), steep)
            for steep, believed in ((slopes, one), (slopes_2, other))
        ]
        apart = np.abs(shown - shown_2) / np.sqrt(meter + 0.5 * sum(unsure))
        best = int(np.argmax(apart))
        words = words_for(self._offered[best], self.only_supply)
        clear = apart[best] >= CLEAR_DEVIATIONS
        return words if clear else "", float(apart[best])

    @cached_property
    def _lessons(self) -> Array:
        """Variance of every number after each reading offered, (readings, numbers)."""
        _, slopes, meter = self._foreseen(self.refit.best)
        spread = self._spread(self.refit.best)
        follows = slopes @ spread
        whole = np.einsum("rn,rn->r", follows, slopes) + meter
        return np.diag(spread) - follows**2 / whole[:, None]

    def teaches(self, figure: int) -> tuple[str, float]:
        """Return the reading that would narrow a figure most, and its deviation then."""
        if not self._offered:
            return "", self.refitter.parameters[figure].sd
        best = int(np.argmin(self._lessons[:, figure]))
        words = words_for(self._offered[best], self.only_supply)
        return words, float(np.sqrt(max(self._lessons[best, figure], 0.0)))

"""The next reading to take: what would tell two faults apart, and what would teach a figure."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from functools import cached_property
from itertools import combinations

import numpy as np
from numpy.typing import NDArray

from lightcalc.answers.bench.refit import Believed, Refit, Refitter
from lightcalc.answers.bench.words import words_for, worth_taking
from lightcalc.design.readings import USUAL_ACCURACY, Probe

Array = NDArray[np.float64]

CLEAR_DEVIATIONS = 3.0
"""Two faults are told apart by a reading that they put this many deviations apart."""


def _where(probe: Probe) -> Probe:
    """Return a probe with one name for one pad: feed 1 may be the start of its run."""
    return replace(probe, spot="", feed=0) if probe.place == "pad" else probe


class Advice:
    """Looks for the next reading among those that the design offers."""

    def __init__(self, refitter: Refitter, refit: Refit) -> None:
        self.refitter, self.refit = refitter, refit
        self.only_supply = len(refitter.model.built) == 1

    @cached_property
    def _offered(self) -> tuple[Probe, ...]:
        model, taken = self.refitter.model, {_where(probe) for probe in self.refitter.probes}
        found = []
        for supply in model.built:
            light = Probe("time", supply.supply.name, "light", until="half light")
            lasts_s = float(model.predict(model.as_drawn, [light])[0, 0])
            found += [p for p in worth_taking(supply, lasts_s) if _where(p) not in taken]
        return tuple(found)

    @cached_property
    def _bench(self) -> Refitter:
        """The same piece with the readings that were not taken, on the meters that were used."""
        known = self.refitter
        meters = dict(USUAL_ACCURACY)
        for probe, meter in zip(known.probes, known.meters, strict=True):
            meters[probe.quantity] = meter
        offered = [meters[probe.quantity] for probe in self._offered]
        return Refitter(known.model, known.parameters, known.faults, self._offered, offered)

    def _believed(self, believed: Believed) -> tuple[Array, Array]:
        """Mean and spread of the numbers of the readings offered, as the readings taken left them.

        A meter that was used keeps what was learned of its scale.
        """
        known, bench = self.refitter, self._bench
        count = len(known.parameters)
        mean, spread = np.zeros(bench.size), np.diag(bench.sd**2)
        pairs = [(n, n) for n in range(count)] + [(bench.size - 1, known.size - 1)]
        pairs += [
            (count + n, count + known.scales.index(scale))
            for n, scale in enumerate(bench.scales)
            if scale in known.scales
        ]
        here, there = (list(side) for side in zip(*pairs, strict=True))
        mean[here] = believed.peak.mean[there]
        spread[np.ix_(here, here)] = believed.peak.spread[np.ix_(there, there)]
        return mean, spread

    def _foreseen(self, believed: Believed) -> tuple[Array, Array, Array]:
        """Foresee what the readings offered would show under a fault.

        Returns them (readings,), their slopes (readings, numbers), and the numbers' spread.
        """
        mean, spread = self._believed(believed)
        straight = self._bench.straight([self._bench.faults[believed.fault]], mean[None])
        return straight.shown[0], straight.slopes[0], spread

    def tells_apart(self, one: Believed, other: Believed) -> tuple[str, float | None]:
        """Return the reading that puts two faults clearly apart, and how far, in deviations.

        The reading is "" when none puts them clearly apart.
        """
        if not self._offered:
            return "", None
        apart = self._apart((one, other))
        best = self._best(apart)
        words = words_for(self._offered[best], self.only_supply)
        clear = apart[0, best] >= CLEAR_DEVIATIONS
        return words if clear else "", float(apart[0, best])

    def splits(self, believed: Sequence[Believed]) -> str:
        """Return the reading that parts most of these faults from each other; "" for none left."""
        if not self._offered or len(believed) < 2:
            return ""
        return words_for(self._offered[self._best(self._apart(believed))], self.only_supply)

    def _apart(self, believed: Sequence[Believed]) -> Array:
        """How far each reading offered puts each pair apart, in deviations (pairs, readings)."""
        foreseen = [self._foreseen(one) for one in believed]
        unsure = [np.einsum("rn,nm,rm->r", steep, spread, steep) for _, steep, spread in foreseen]
        noise = self._bench.noise_sd**2
        return np.array(
            [
                np.abs(foreseen[a][0] - foreseen[b][0])
                / np.sqrt(noise + 0.5 * (unsure[a] + unsure[b]))
                for a, b in combinations(range(len(foreseen)), 2)
            ]
        )

    def _best(self, apart: Array) -> int:
        """Return the reading that parts most; of those that part all alike, one that is quick.

        Nobody waits for an evening where a minute with the meter says enough.
        """
        enough = np.minimum(apart, CLEAR_DEVIATIONS).sum(axis=0).round(6)
        slow = [probe.quantity == "time" or probe.lit_s > 0.0 for probe in self._offered]
        return int(np.lexsort((apart.sum(axis=0), ~np.array(slow), enough))[-1])

    @cached_property
    def _lessons(self) -> Array:
        """Variance of every number after each reading offered, (readings, numbers)."""
        _, slopes, spread = self._foreseen(self.refit.best)
        follows = slopes @ spread
        whole = np.einsum("rn,rn->r", follows, slopes) + self._bench.noise_sd**2
        return np.asarray(np.diag(spread) - follows**2 / whole[:, None])

    def teaches(self, figure: int) -> tuple[str, float]:
        """Return the reading that would narrow a figure most, and its deviation then."""
        if not self._offered:
            return "", self.refitter.parameters[figure].sd
        best = int(np.argmin(self._lessons[:, figure]))
        words = words_for(self._offered[best], self.only_supply)
        return words, float(np.sqrt(max(self._lessons[best, figure], 0.0)))

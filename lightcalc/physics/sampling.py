"""Samples of what is normally spread, and how well their percentiles are known."""

from __future__ import annotations

import math
from statistics import NormalDist

import numpy as np
from numpy.typing import NDArray

Floats = NDArray[np.float64]


def normal_scores(count: int, dimensions: int, seed: int) -> Floats:
    """Draw a Latin hypercube of standard normal numbers, (count, dimensions).

    Each column holds the middles of `count` stretches of equal probability, in an order of its own,
    so that every column alone is spread as evenly as can be: M. D. McKay, R. J. Beckman, W. J.
    Conover, Technometrics 21 (1979) 239-245. The same seed gives the same sample.

    >>> normal_scores(4, 2, seed=1).sum(axis=0).round(9).tolist()
    [0.0, 0.0]
    """
    if count < 1:
        raise ValueError(f"A sample of {count} was asked for; ask for 1 or more.")
    normal = NormalDist()
    upper = [normal.inv_cdf((place + 0.5) / count) for place in range((count + 1) // 2, count)]
    lower = [-score for score in reversed(upper)]
    column = np.array([*lower, *([0.0] * (count % 2)), *upper])
    rng = np.random.default_rng(seed)
    return rng.permuted(np.tile(column, (dimensions, 1)), axis=1).T


def percentile(values: Floats, share: float) -> float:
    """Value below which a share of the sample (n,) lies.

    >>> percentile(np.array([1.0, 2.0, 3.0]), 0.5)
    2.0
    """
    return float(np.quantile(values, share))


def percentile_error(values: Floats, share: float) -> float:
    """One standard error of a percentile of independent samples (n,).

    Half the distance between the two places in order that lie a standard deviation of the binomial
    count, sqrt(n p (1 - p)), to each side: the usual interval between order statistics, which
    asks nothing of the shape (H. A. David, Order Statistics, 1981, section 2.5). A Latin hypercube
    does no worse.

    >>> round(percentile_error(np.linspace(0.0, 1.0, 10_001), 0.5), 3)
    0.005
    """
    wide = math.sqrt(share * (1.0 - share) / max(values.size, 1))
    low, high = np.quantile(values, [max(share - wide, 0.0), min(share + wide, 1.0)])
    return float(high - low) / 2.0


def chance_error(share: float, count: int) -> float:
    """One standard error of a share found in `count` independent samples.

    >>> chance_error(0.5, 10_000)
    0.005
    """
    return math.sqrt(share * (1.0 - share) / count)

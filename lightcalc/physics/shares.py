"""What the spread of a result hangs on: the share of its variance that each input brings.

Sobol's indices, from a sample that is at hand. The result is written as a sum of Hermite
polynomials of its normal inputs, which are worth one variance each and do not mix; the squares of
their weights, gathered by input, are the shares: B. Sudret, "Global sensitivity analysis using
polynomial chaos expansions", Reliability Engineering and System Safety 93 (2008) 964-979.

    first   what goes when this input alone is known       terms of this input alone
    total   what stays when all others are known           those, and its terms with others

The weights are found by least squares, with terms up to the third power of each input, and the
products of the inputs that matter. What these do not reach, such as jumps or the play of three
inputs, is left as unexplained rather than shared out.
"""

from __future__ import annotations

from dataclasses import dataclass
from itertools import combinations

import numpy as np
from numpy.typing import ArrayLike, NDArray

Floats = NDArray[np.float64]

MOST_SAMPLES = 8_000
# With fewer samples for each term the weights are mostly chance.
SAMPLES_A_TERM = 4
_MIXED_A_RESULT, _MOST_MIXED = 6, 16


@dataclass(frozen=True)
class Shares:
    """Shares of the variance of `k` results for `m` inputs.

    first, total   (k, m); zeros for a result that does not vary
    unexplained    (k,)
    """

    first: Floats
    total: Floats
    unexplained: Floats


def variance_shares(scores: Floats, owners: ArrayLike, results: Floats) -> Shares:
    """Share out the variance of results by inputs.

    `scores` (n, d) are independent standard normal numbers, `owners` (d,) says which input, from 0,
    each column belongs to, and `results` (n, k) came from them. ValueError for too few samples.

    >>> rng = np.random.default_rng(1)
    >>> z = rng.standard_normal((2000, 2))
    >>> shares = variance_shares(z, [0, 1], 3.0 * z[:, :1] + 4.0 * z[:, 1:])
    >>> shares.first.round(6).tolist(), shares.unexplained.round(6).tolist()
    ([[0.36, 0.64]], [0.0])
    """
    owner = np.asarray(owners, dtype=np.intp)
    z, found = scores[:MOST_SAMPLES], results[:MOST_SAMPLES]
    if len(z) < SAMPLES_A_TERM * (z.shape[1] + 1):
        raise ValueError(f"{len(z)} samples are too few for {z.shape[1]} numbers; take more.")
    sd = found.std(axis=0)
    varies = sd > 1e-9 * np.maximum(np.abs(found).max(axis=0), 1e-300)
    y = (found - found.mean(axis=0)) / np.where(varies, sd, 1.0) * varies
    terms, inputs = _terms(z, owner, y)
    gram = np.linalg.inv(terms.T @ terms)
    weights = gram @ (terms.T @ y)
    spare = len(z) - terms.shape[1]
    rest = np.maximum(((y - terms @ weights) ** 2).sum(axis=0) / spare, 0.0)
    # A weight that is chance alone has this square in the mean.
    squares = np.maximum(weights**2 - np.outer(np.diag(gram), rest), 0.0)[1:]
    return _gathered(squares, inputs, int(owner.max()) + 1, np.minimum(rest, 1.0), varies)


def _terms(z: Floats, owner: NDArray[np.intp], y: Floats) -> tuple[Floats, list[set[int]]]:
    """Polynomials (n, terms), the first constant, and the inputs of every one but that."""
    own = [{int(one)} for one in owner]
    columns, inputs = [np.ones((len(z), 1)), z], list(own)
    room = len(z) // SAMPLES_A_TERM - 1 - z.shape[1]
    for power in (_square, _cube):
        if room >= z.shape[1]:
            columns.append(power(z))
            inputs += own
            room -= z.shape[1]
    for i, j in combinations(_that_matter(z, y), 2):
        if room < 1:
            break
        columns.append((z[:, i] * z[:, j])[:, None])
        inputs.append({int(owner[i]), int(owner[j])})
        room -= 1
    return np.concatenate(columns, axis=1), inputs


def _square(z: Floats) -> Floats:
    return np.asarray((z**2 - 1.0) / np.sqrt(2.0))


def _cube(z: Floats) -> Floats:
    return np.asarray((z**3 - 3.0 * z) / np.sqrt(6.0))


def _that_matter(z: Floats, y: Floats) -> list[int]:
    """Columns that say most about any of the results, the most important first."""
    says = np.abs(z.T @ y) + np.abs(_square(z).T @ y)
    first = np.argsort(-says, axis=0)[:_MIXED_A_RESULT]
    counts = np.zeros(z.shape[1])
    for rank, row in enumerate(first):
        np.add.at(counts, row, 1.0 / (1.0 + rank))
    order = np.argsort(-counts)
    return [int(one) for one in order[:_MOST_MIXED] if counts[one] > 0.0]


def _gathered(
    squares: Floats,
    inputs: list[set[int]],
    count: int,
    unexplained: Floats,
    varies: NDArray[np.bool_],
) -> Shares:
    results = squares.shape[1]
    first, total = np.zeros((results, count)), np.zeros((results, count))
    for square, own in zip(squares, inputs, strict=True):
        for one in own:
            total[:, one] += square
        if len(own) == 1:
            first[:, next(iter(own))] += square
    # The sample's variance is one; what the terms say of it and the rest come to that.
    scale = np.where(varies, (1.0 - unexplained) / np.maximum(squares.sum(axis=0), 1e-300), 0.0)
    return Shares(first * scale[:, None], total * scale[:, None], unexplained * varies)

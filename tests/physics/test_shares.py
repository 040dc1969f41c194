"""Shares of variance, against closed forms and SciPy's own estimate of Sobol's indices."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from lightcalc.physics.sampling import normal_scores
from lightcalc.physics.shares import variance_shares


def test_shares_of_a_linear_result_are_the_squares_of_its_weights_and_sum_to_one() -> None:
    weights = np.array([0.1, 0.7, -0.4, 0.0, 1.3])
    z = normal_scores(2000, 5, seed=2)
    found = variance_shares(z, range(5), (z @ weights + 4.0)[:, None])
    np.testing.assert_allclose(found.first[0], weights**2 / (weights @ weights), atol=1e-9)
    np.testing.assert_allclose(found.total, found.first, atol=1e-9)
    assert found.first.sum() == pytest.approx(1.0, abs=1e-9)
    assert found.unexplained[0] == pytest.approx(0.0, abs=1e-9)


def bent(z: np.ndarray) -> np.ndarray:
    """A result as bent as those of a design, and with inputs that act only together."""
    return np.exp(0.35 * z[0]) * (1.0 + 0.5 * z[1]) + 0.4 * z[2] ** 2 + 0.1 * z[3]


def ended_early(z: np.ndarray) -> np.ndarray:
    """Hours that stop short: level above a point, and a product below it."""
    return np.minimum(6.0 * np.exp(0.06 * z[0] - 0.05 * z[1]) + 0.2 * z[2], 6.4) + 0.05 * z[3]


@pytest.mark.parametrize("result", [bent, ended_early])
def test_shares_agree_with_those_of_scipy(result) -> None:
    normal = stats.norm()
    theirs = stats.sobol_indices(
        func=lambda z: result(z)[None, :], n=2**14, dists=[normal] * 4, rng=np.random.default_rng(5)
    )
    z = normal_scores(8000, 4, seed=3)
    ours = variance_shares(z, range(4), result(z.T)[:, None])
    # What is not explained may be anybody's.
    slack = 0.015 + float(ours.unexplained[0])
    assert slack < 0.06
    np.testing.assert_allclose(ours.first[0], theirs.first_order.ravel(), atol=slack)
    np.testing.assert_allclose(ours.total[0], theirs.total_order.ravel(), atol=slack)


def test_parts_of_one_batch_count_as_one_input() -> None:
    z = normal_scores(4000, 3, seed=1)
    result = (z[:, 0] + 0.5 * z[:, 1]) * (1.0 + 0.3 * z[:, 1]) + z[:, 2]
    together = variance_shares(z, [0, 0, 1], result[:, None])
    assert together.first.shape == (1, 2)
    # By hand: 0.5 * 0.3 (z^2 - 1) has a variance of 2 * 0.15^2, and z0 z1 one of 0.3^2.
    own = 1.0 + 0.25 + 2 * 0.15**2 + 0.3**2
    assert together.first[0, 0] == pytest.approx(own / (own + 1.0), abs=0.02)
    assert together.total[0, 0] == pytest.approx(together.first[0, 0], abs=0.01)


def test_a_jump_is_left_unexplained_and_a_constant_hangs_on_nothing() -> None:
    z = normal_scores(4000, 2, seed=9)
    jump = np.where(z[:, 0] > 1.3, 0.0, 5.0)
    found = variance_shares(z, [0, 1], np.stack((jump, np.full(4000, 3.0)), axis=1))
    assert found.unexplained[0] > 0.1
    assert found.first[0].sum() + found.unexplained[0] == pytest.approx(1.0, abs=0.02)
    assert found.first[1].tolist() == [0.0, 0.0]
    assert found.unexplained[1] == 0.0


def test_too_few_samples_are_refused() -> None:
    z = normal_scores(10, 9, seed=1)
    with pytest.raises(ValueError, match="too few"):
        variance_shares(z, range(9), z[:, :1])

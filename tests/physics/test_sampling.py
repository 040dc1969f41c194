"""Latin hypercubes and the errors of percentiles."""

from __future__ import annotations

import numpy as np
import pytest
from scipy import stats

from lightcalc.physics.sampling import chance_error, normal_scores, percentile, percentile_error


@pytest.mark.parametrize("count", [1, 2, 9, 10, 1000])
def test_every_column_holds_each_stretch_of_probability_once(count: int) -> None:
    scores = normal_scores(count, 3, seed=4)
    assert scores.shape == (count, 3)
    places = np.sort(stats.norm.cdf(scores), axis=0)
    wanted = (np.arange(count) + 0.5) / count
    np.testing.assert_allclose(places, np.repeat(wanted[:, None], 3, axis=1), atol=1e-12)


def test_columns_are_shuffled_apart_and_the_same_seed_repeats() -> None:
    scores = normal_scores(4000, 4, seed=7)
    apart = np.corrcoef(scores.T) - np.eye(4)
    assert np.abs(apart).max() < 5.0 / np.sqrt(4000)
    np.testing.assert_array_equal(scores, normal_scores(4000, 4, seed=7))
    assert not np.array_equal(scores, normal_scores(4000, 4, seed=8))


@pytest.mark.parametrize("share", [0.1, 0.5, 0.9])
def test_the_error_of_a_percentile_is_how_far_it_scatters(share: float) -> None:
    rng = np.random.default_rng(3)
    samples = rng.standard_normal((400, 900))
    scatter = np.std([percentile(one, share) for one in samples])
    said = np.mean([percentile_error(one, share) for one in samples])
    # The scatter of 400 is itself known within 1 / sqrt(800), a twenty-eighth.
    assert said == pytest.approx(scatter, rel=0.12)


def test_the_error_of_a_chance_is_that_of_a_count() -> None:
    assert chance_error(0.2, 400) == pytest.approx(stats.binom(400, 0.2).std() / 400)


def test_no_sample_at_all_is_refused() -> None:
    with pytest.raises(ValueError, match="1 or more"):
        normal_scores(0, 2, seed=1)

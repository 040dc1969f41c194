"""The likeliest numbers behind readings, against closed forms and numeric integration."""

import numpy as np
import pytest
from scipy import integrate, optimize, stats

from lightcalc.answers.bench.likeliest import Spreads, Straight, density_and_gain, likeliest

RNG = np.random.default_rng(5)
SLOPES = RNG.normal(size=(4, 3))
SD = np.array([0.5, 1.0, 2.0])
NOISE = np.array([0.1, 0.2, 0.1, 0.4])
MEAN = np.array([0.2, -0.3, 1.0])
READ = RNG.normal(size=4)


def before(mean=MEAN, sd=SD, noise=NOISE):
    return Spreads(mean[None], sd[None], noise[None])


def straight_line(which, numbers):
    return Straight(numbers @ SLOPES.T, np.repeat(SLOPES[None], len(which), axis=0))


def test_a_straight_model_gives_the_normal_equations_and_the_marginal_density():
    (peak,) = likeliest(straight_line, READ[None], before(), MEAN[None] + 0.7)
    precision = SLOPES.T @ np.diag(NOISE**-2) @ SLOPES + np.diag(SD**-2)
    mean = np.linalg.solve(precision, SLOPES.T @ (READ / NOISE**2) + MEAN / SD**2)
    assert peak.mean == pytest.approx(mean, abs=1e-9)
    assert peak.spread == pytest.approx(np.linalg.inv(precision), abs=1e-9)
    whole = SLOPES @ np.diag(SD**2) @ SLOPES.T + np.diag(NOISE**2)
    density = stats.multivariate_normal(SLOPES @ MEAN, whole).logpdf(READ)
    assert peak.log_density == pytest.approx(density, abs=1e-9)
    # At the peak of a straight model the misfit is that of the readings beside their mean.
    rest = READ - SLOPES @ MEAN
    assert peak.misfit == pytest.approx(rest @ np.linalg.solve(whole, rest), abs=1e-9)


def test_many_benches_at_once_are_each_as_if_alone():
    rest = RNG.normal(size=(5, 4))
    together, gain = density_and_gain(rest, SLOPES, SD, NOISE)
    for n, one in enumerate(rest):
        alone, same = density_and_gain(one[None], SLOPES, SD, NOISE)
        assert alone[0] == pytest.approx(together[n])
        assert same == pytest.approx(gain)


def test_a_reading_of_endless_noise_is_as_one_never_taken():
    loud, kept = np.where([0, 1, 0, 0], np.inf, NOISE), [0, 2, 3]
    rest = RNG.normal(size=(2, 4))
    log, gain = density_and_gain(rest, SLOPES, SD, loud)
    without, fewer = density_and_gain(rest[:, kept], SLOPES[kept], SD, NOISE[kept])
    assert log == pytest.approx(without)
    assert gain[:, kept] == pytest.approx(fewer)
    assert not gain[:, 1].any()
    (peak,) = likeliest(straight_line, READ[None], before(noise=loud), MEAN[None])
    few = Spreads(MEAN[None], SD[None], NOISE[None, kept])
    (same,) = likeliest(
        lambda which, numbers: Straight(
            straight_line(which, numbers).shown[:, kept],
            straight_line(which, numbers).slopes[:, kept],
        ),
        READ[None, kept],
        few,
        MEAN[None],
    )
    assert peak.misfit == pytest.approx(same.misfit)
    assert peak.mean == pytest.approx(same.mean)


def bent(numbers):
    return np.exp(numbers[:, :1]) + np.array([[0.0, 1.0]]) * numbers[:, :1]


def bent_straight(which, numbers):
    slopes = np.exp(numbers[:, :1]) + np.array([[0.0, 1.0]])
    return Straight(bent(numbers), slopes[:, :, None])


@pytest.mark.parametrize("start", [-1.0, 0.0, 1.5])
def test_a_bent_model_ends_at_its_peak_with_nearly_its_true_evidence(start):
    # Two readings of exp(x) and exp(x) + x; the optimum and the integral are scipy's.
    noise, sd, mean, read = np.array([0.1, 0.15]), 0.6, 0.1, np.array([1.6, 2.0])

    def log_joint(x):
        shown = bent(np.array([[x]]))[0]
        return stats.norm(shown, noise).logpdf(read).sum() + stats.norm(mean, sd).logpdf(x)

    (peak,) = likeliest(
        bent_straight,
        read[None],
        before(np.array([mean]), np.array([sd]), noise),
        np.array([[start]]),
    )
    best = optimize.minimize_scalar(lambda x: -log_joint(x), bounds=(-2, 3), method="bounded")
    assert peak.mean[0] == pytest.approx(best.x, abs=0.02 * sd)
    whole, _ = integrate.quad(lambda x: np.exp(log_joint(x)), -3, 3, points=[best.x])
    # A tenth is far less than what tells one fault from another.
    assert peak.log_density == pytest.approx(np.log(whole), abs=0.1)


def test_readings_that_say_nothing_leave_what_was_believed():
    (peak,) = likeliest(
        lambda *_: Straight(np.zeros((1, 4)), np.zeros((1, 4, 3))),
        READ[None],
        before(),
        MEAN[None],
    )
    assert peak.mean == pytest.approx(MEAN)
    assert peak.spread == pytest.approx(np.diag(SD**2))

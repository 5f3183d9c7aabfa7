"""How far a place's nights are off those that were told for it."""

import numpy as np
import pytest

from arbuscula.state.learning.nights import night_off, nothing_learned
from arbuscula.weather.compose import forecast_figures

FIGURES = forecast_figures()


def nights(n, shift_k=-2.0, scatter_k=1.0, seed=1):
    return shift_k + scatter_k * np.random.default_rng(seed).standard_normal(n)


def test_without_a_night_nothing_is_learned():
    assert night_off(np.array([]), FIGURES) == nothing_learned(FIGURES)
    assert nothing_learned(FIGURES).shift_k == 0


def test_one_night_moves_it_a_part_of_the_way():
    one = night_off(np.array([-3.0]), FIGURES)
    assert -3 < one.shift_k < -1
    assert one.shift_sd_k < nothing_learned(FIGURES).shift_sd_k


def test_many_nights_find_the_offset_and_the_scatter():
    """Three standard errors of 60 nights that count as about 32: 3 * 1 / 32 ** 0.5."""
    learned = night_off(nights(60), FIGURES)
    assert learned.shift_k == pytest.approx(-2, abs=0.53)
    assert learned.scatter_k == pytest.approx(1, abs=0.3)
    assert learned.shift_sd_k < 0.25
    assert learned.nights_n == 60


def test_the_more_nights_the_surer():
    sure = [night_off(nights(n), FIGURES).shift_sd_k for n in (1, 5, 20, 60)]
    assert sure == sorted(sure, reverse=True)


def test_a_slip_of_the_pen_teaches_nothing():
    told = nights(20)
    slipped = np.append(told, [85.0, np.nan])
    assert night_off(slipped, FIGURES) == night_off(told, FIGURES)


def test_the_spread_holds_what_it_says():
    """Of 400 places about nine in ten lie within 1.64 standard deviations.

    Sampling: 0.9 +- 3 * (0.09 / 400) ** 0.5 = 0.045.
    """
    rng = np.random.default_rng(7)
    prior = nothing_learned(FIGURES)
    alike = FIGURES.alike_frac.value
    inside = []
    for _ in range(400):
        shift_k = rng.normal(0, prior.shift_sd_k)
        noise = rng.normal(0, prior.scatter_k, 30)
        for n in range(1, 30):  # nights that hang together
            noise[n] = alike * noise[n - 1] + np.sqrt(1 - alike**2) * noise[n]
        learned = night_off(shift_k + noise, FIGURES)
        inside.append(abs(learned.shift_k - shift_k) < 1.645 * learned.shift_sd_k)
    assert np.mean(inside) == pytest.approx(0.9, abs=0.045)

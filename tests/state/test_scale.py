import numpy as np
import pytest

from arbuscula.kinds.case import Waterings, Weights
from arbuscula.state.scale import (
    USUAL_NOISE_G,
    lost_between_ml,
    noise_g,
    rises_of,
    summed_losses_ml,
)

HOUR_S = 3600.0
NONE = Waterings(at_s=np.empty(0), given_ml=np.empty(0))


def hourly(mass_g, step_h=1):
    at_s = np.arange(len(mass_g)) * step_h * HOUR_S
    return Weights(at_s=at_s, mass_g=np.asarray(mass_g, dtype=float))


def steady(hours=48, loss_g=10.0, noise=0.0, seed=1):
    mass = 3000 - loss_g * np.arange(hours)
    return mass + np.random.default_rng(seed).normal(0, noise, hours)


@pytest.mark.parametrize("noise", [1.0, 5.0])
def test_the_scale_tells_its_own_noise(noise):
    found = noise_g(hourly(steady(400, noise=noise)))
    assert found == pytest.approx(noise, rel=0.2)  # 400 weighings know it to a tenth


def test_a_watering_does_not_count_as_noise():
    mass = steady(200, noise=1.0)
    mass[100:] += 600
    assert noise_g(hourly(mass)) < 2


def test_weighings_far_apart_cannot_tell_the_noise():
    assert noise_g(hourly(steady(60), step_h=12)) == USUAL_NOISE_G


def test_a_rise_is_a_watering_of_the_rise_and_what_was_lost_meanwhile():
    mass = steady(48)
    mass[24:] += 300
    found = rises_of(hourly(mass), np.zeros(47))
    assert found.at_s.tolist() == [23 * HOUR_S]
    assert found.given_ml[0] == pytest.approx(300, abs=1e-6)


def test_rain_explains_a_rise():
    mass = steady(48)
    mass[24:] += 300
    caught_ml = np.zeros(47)
    caught_ml[23] = 310
    assert rises_of(hourly(mass), caught_ml).at_s.size == 0


def test_a_small_rise_is_noise():
    mass = steady(48, noise=3.0)
    assert rises_of(hourly(mass), np.zeros(47)).at_s.size == 0


def test_losses_add_up_over_a_watering_of_known_amount():
    mass = steady(48)
    mass[24:] += 300
    given = Waterings(at_s=np.array([23.5 * HOUR_S]), given_ml=np.array([300.0]))
    summed = summed_losses_ml(hourly(mass), given)
    assert summed[-1] == pytest.approx(470)


def test_losses_run_on_through_a_soak_of_unknown_amount():
    mass = steady(48)
    mass[24:] += 512
    soak = Waterings(at_s=np.array([23.5 * HOUR_S]), given_ml=np.array([np.inf]))
    summed = summed_losses_ml(hourly(mass), soak)
    assert summed[-1] == pytest.approx(470)


def test_a_loss_needs_weighings_on_both_sides():
    weights = hourly(steady(25))
    summed = summed_losses_ml(weights, NONE)
    assert lost_between_ml(weights, summed, 0, 24 * HOUR_S) == pytest.approx(240)
    assert lost_between_ml(weights, summed, -1, 24 * HOUR_S) is None
    assert lost_between_ml(weights, summed, 0, 25 * HOUR_S) is None

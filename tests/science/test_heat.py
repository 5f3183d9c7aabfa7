"""How warm a root ball is, hours behind the air, and when it freezes through."""

import numpy as np
import pytest

from arbuscula.science import heat

HOUR_S = 3600.0


def ball(volume_ml=1000.0, water_frac=0.4):
    return heat.ball_heat(
        volume_ml=volume_ml, water_frac=water_frac, dry_heat_j_cm3_k=0.5
    )


def run(one, driving_c, start_c=5.0, exchange_w_k=1.0, **how):
    held = heat.warmth_held_j(
        one,
        driving_c=np.asarray(driving_c, float),
        exchange_w_k=exchange_w_k,
        start_c=start_c,
        row_s=HOUR_S,
        **how,
    )
    return heat.temperature_c(one, held), heat.frozen_frac(one, held)


def test_a_ball_nears_the_air_as_a_warm_body_does():
    """0.1 K of 10: an exponential against steps of a fortieth of the lag."""
    one = ball()
    lag_h = one.thawed_j_k / 1.0 / HOUR_S
    told, _ = run(one, [20.0] * 6, start_c=10.0, steps_n=40)
    hours = np.arange(1, 7)
    exact = 20 - 10 * np.exp(-hours / lag_h)
    assert told == pytest.approx(exact, abs=0.1)


def test_it_stays_at_nought_until_its_ice_is_made():
    """The time is the heat of the ice over what flows; 4 steps an hour."""
    one = ball()
    told, frozen = run(one, [-5.0] * 48, start_c=0.0)
    lasts_h = one.freezing_j / 5.0 / HOUR_S
    first_through = int(np.argmax(frozen >= 1))
    assert first_through == pytest.approx(lasts_h, abs=1)
    assert np.all(told[: first_through - 1] == 0)
    assert told[-1] < -2


def test_what_leaves_a_ball_is_what_it_lacks_afterwards():
    one = ball()
    driving, held, left_j = np.array([6.0, -2.0, -9.0, -1.0, 4.0]), 200e3, 0.0
    begin = held
    for outside in driving:
        held = heat.held_after_j(
            one, held, driving_c=outside, exchange_w_k=1.5, step_s=HOUR_S
        )
        warm = heat.temperature_c(one, held)
        left_j += 1.5 * HOUR_S * (warm - outside)
    assert begin - held == pytest.approx(left_j)


def test_small_pots_freeze_sooner_and_sooner_still_when_dry():
    """The same shape: a face grows with the square of the size."""
    hours = [-4.0] * 200

    def through_h(size, water_frac):
        one = ball(volume_ml=1000.0 * size**3, water_frac=water_frac)
        _, frozen = run(one, hours, exchange_w_k=size**2)
        return int(np.argmax(frozen >= 1))

    big, small, dry = through_h(1.5, 0.45), through_h(0.6, 0.45), through_h(0.6, 0.15)
    assert dry < small < big


def test_a_pot_of_a_cup_freezes_through_in_one_night():
    """Practice, no source: about 200 mL, through in one night of hard frost."""
    one = ball(volume_ml=200.0, water_frac=0.45)
    _, frozen = run(one, [-6.0] * 12, start_c=3.0, exchange_w_k=0.25)
    assert frozen[-1] == 1


@pytest.mark.parametrize("warm_c", [-7.0, -0.1, 0.0, 0.3, 25.0])
def test_heat_and_warmth_tell_each_other(warm_c):
    one = ball()
    assert heat.temperature_c(one, heat.held_j(one, warm_c)) == pytest.approx(warm_c)


def test_half_the_ice_is_half_the_heat_of_freezing():
    one = ball()
    assert heat.frozen_frac(one, one.freezing_j / 2) == pytest.approx(0.5)


def test_no_step_however_long_goes_past_what_drives_it():
    one = ball(volume_ml=50.0)
    told, _ = run(one, [-30.0, 30.0], exchange_w_k=5.0, steps_n=1)
    assert -30 <= told[0] < 0
    assert 0 < told[1] <= 30


def test_wind_takes_more_heat_and_things_in_series_less_than_either():
    calm, rough = (
        heat.face_outside_w_m2_k(
            air_temperature_c=10.0,
            wind_speed_m_s=wind,
            width_m=0.15,
            turbulence_ratio=1.4,
        )
        for wind in (0.1, 3.0)
    )
    assert 6 < calm < rough < 40  # glowing alone takes 5 W/m2 K
    assert heat.in_series_w_m2_k(20.0, 20.0) == pytest.approx(10)


def test_a_thin_ball_is_reached_faster_than_a_thick_one():
    thin, thick = (
        heat.face_inside_w_m2_k(conductivity_w_m_k=0.5, volume_ml=v, area_m2=0.08)
        for v in (1000.0, 4000.0)
    )
    assert thin == pytest.approx(4 * thick)

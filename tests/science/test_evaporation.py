"""Evaporation: laws that hold whatever the numbers."""

import numpy as np
import pytest

from arbuscula.science import evaporation

JULY_DAY = {
    "air_temperature_c": 22.0,
    "wind_speed_2m_m_s": 1.5,
    "vapour_deficit_kpa": 1.1,
    "net_radiation_mj_m2_d": 14.0,
    "air_pressure_kpa": 99.0,
}


def test_a_kilogram_of_water_takes_2_45_megajoules():
    depth_mm = evaporation.mm_from_mj_m2(2.45)
    assert depth_mm == pytest.approx(1, rel=5e-4)  # the book rounds to 0.408


def test_heat_that_warms_the_ground_turns_no_water_to_vapour():
    plain_mm_d = evaporation.reference_evapotranspiration_mm_d(**JULY_DAY)
    warming_mm_d = evaporation.reference_evapotranspiration_mm_d(
        **JULY_DAY, soil_heat_mj_m2_d=0.5
    )
    assert warming_mm_d < plain_mm_d


def test_full_air_and_a_clear_night_make_dew():
    dew_mm_h = evaporation.reference_evapotranspiration_mm_h(
        air_temperature_c=12.0,
        wind_speed_2m_m_s=0.5,
        vapour_deficit_kpa=0.0,
        net_radiation_mj_m2_h=-0.2,
        air_pressure_kpa=101.3,
    )
    assert dew_mm_h < 0


def test_a_day_of_like_hours_is_24_of_them():
    """900 a day is 37.5 an hour, and the book has 37: 1.4 % of the wind's part.

    The hour gives a tenth of its radiation to the ground; the day is given
    the same tenth here.
    """
    day_mm = evaporation.reference_evapotranspiration_mm_d(
        **JULY_DAY, soil_heat_mj_m2_d=1.4
    )
    air_and_wind = {k: v for k, v in JULY_DAY.items() if k != "net_radiation_mj_m2_d"}
    hour_mm = evaporation.reference_evapotranspiration_mm_h(
        **air_and_wind, net_radiation_mj_m2_h=14.0 / 24
    )
    assert 24 * hour_mm == pytest.approx(day_mm, rel=0.014)
    assert 24 * hour_mm < day_mm


def glow_mj_m2_d(relative_shortwave_frac):
    return evaporation.net_longwave_mj_m2_d(
        day_high_c=20.0,
        night_low_c=10.0,
        vapour_pressure_kpa=1.2,
        relative_shortwave_frac=relative_shortwave_frac,
    )


def test_clouds_keep_the_ground_warm():
    assert glow_mj_m2_d(0.4) < glow_mj_m2_d(0.9)


@pytest.mark.parametrize(("share", "counts_as"), [(0.05, 0.3), (1.2, 1.0)])
def test_the_blackest_sky_takes_heat_and_none_is_clearer_than_clear(share, counts_as):
    assert glow_mj_m2_d(share) == glow_mj_m2_d(counts_as)
    assert glow_mj_m2_d(share) > 0


def test_an_even_day_loses_24_like_hours():
    day_mj_m2 = evaporation.net_longwave_mj_m2_d(
        day_high_c=15.0,
        night_low_c=15.0,
        vapour_pressure_kpa=1.2,
        relative_shortwave_frac=0.7,
    )
    hour_mj_m2 = evaporation.net_longwave_mj_m2_h(
        air_temperature_c=15.0, vapour_pressure_kpa=1.2, relative_shortwave_frac=0.7
    )
    assert 24 * hour_mj_m2 == pytest.approx(day_mj_m2, rel=1e-12)  # float width


def test_months_that_warm_evenly_need_no_forecast():
    known = evaporation.soil_heat_mj_m2_d(month_c=16.0, month_before_c=14.0)
    both = evaporation.soil_heat_mj_m2_d(
        month_c=16.0, month_before_c=14.0, month_after_c=18.0
    )
    assert known == pytest.approx(both, rel=1e-12)  # float width


def test_the_ground_takes_a_tenth_by_day_and_gives_half_by_night():
    ground = evaporation.soil_heat_mj_m2_h(np.array([2.0, 0.0, -0.2]))
    assert ground == pytest.approx([0.2, 0.0, -0.1])


def test_a_day_without_warming_shows_a_thermometer_nothing():
    depth_mm_d = evaporation.hargreaves_mm_d(
        day_high_c=15.0, night_low_c=15.0, extraterrestrial_mj_m2_d=30.0
    )
    assert depth_mm_d == 0


def test_a_gap_in_gives_a_gap_out():
    depth_mm_d = evaporation.reference_evapotranspiration_mm_d(
        **(JULY_DAY | {"wind_speed_2m_m_s": np.array([1.5, np.nan])})
    )
    assert np.isnan(depth_mm_d).tolist() == [False, True]

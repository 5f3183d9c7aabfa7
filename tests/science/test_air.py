"""Air: laws that hold whatever the numbers."""

import numpy as np
import pytest

from arbuscula.science import air


@pytest.mark.parametrize("air_temperature_c", [-10.0, 0.0, 14.0, 38.0])
def test_full_air_is_at_its_dew_point(air_temperature_c):
    e_kpa = air.saturation_vapour_pressure_kpa(air_temperature_c)
    # The same three constants forth and back: float width.
    assert air.dew_point_c(e_kpa) == pytest.approx(air_temperature_c, abs=1e-9)


@pytest.mark.parametrize("air_temperature_c", [-5.0, 10.0, 35.0])
def test_the_slope_is_the_slope_of_the_curve(air_temperature_c):
    below, above = air_temperature_c - 0.01, air_temperature_c + 0.01
    rise_kpa = air.saturation_vapour_pressure_kpa(
        above
    ) - air.saturation_vapour_pressure_kpa(below)
    # The book rounds 17.27 x 237.3 = 4098.17 to 4098.
    slope_kpa_c = air.saturation_slope_kpa_c(air_temperature_c)
    assert slope_kpa_c == pytest.approx(rise_kpa / 0.02, rel=1e-4)


def test_the_mean_of_a_wide_day_lies_above_the_curve():
    mean_kpa = air.mean_saturation_vapour_pressure_kpa(day_high_c=30, night_low_c=10)
    assert mean_kpa > air.saturation_vapour_pressure_kpa(20)


def test_two_thermometers_alike_mean_full_air():
    e_kpa = air.vapour_pressure_from_wet_bulb_kpa(
        air_temperature_c=18.0, wet_bulb_c=18.0, air_pressure_kpa=100.0
    )
    assert e_kpa == air.saturation_vapour_pressure_kpa(18.0)


def test_a_still_wet_bulb_means_drier_air_than_a_whirled_one():
    reading = {
        "air_temperature_c": 25.0,
        "wet_bulb_c": 19.0,
        "air_pressure_kpa": 101.3,
    }
    whirled_kpa = air.vapour_pressure_from_wet_bulb_kpa(**reading)
    still_kpa = air.vapour_pressure_from_wet_bulb_kpa(
        **reading, psychrometer_per_c=0.0012
    )
    assert still_kpa < whirled_kpa


def test_fog_lacks_nothing():
    deficit_kpa = air.vapour_deficit_kpa(
        saturation_vapour_pressure_kpa=1.20, vapour_pressure_kpa=1.23
    )
    assert deficit_kpa == 0


def test_at_sea_level_the_pressure_is_the_books():
    assert air.air_pressure_kpa(0.0) == pytest.approx(101.3, rel=1e-12)  # float width


def test_the_terrace_has_less_air_than_the_shore():
    assert air.air_pressure_kpa(330.0) < air.air_pressure_kpa(5.0)


def test_wind_at_2_m_stays_as_it_is():
    wind_m_s = air.wind_speed_2m_m_s(wind_speed_m_s=3.0, height_m=2.0)
    assert wind_m_s == pytest.approx(3.0, rel=5e-4)  # the book rounds to 4.87


def test_a_gap_in_gives_a_gap_out():
    warmth_c = np.array([20.0, np.nan])
    e_kpa = air.vapour_pressure_kpa(
        air_temperature_c=warmth_c, relative_humidity_frac=0.5
    )
    deficit_kpa = air.vapour_deficit_kpa(
        saturation_vapour_pressure_kpa=air.saturation_vapour_pressure_kpa(warmth_c),
        vapour_pressure_kpa=e_kpa,
    )
    assert np.isnan(deficit_kpa).tolist() == [False, True]

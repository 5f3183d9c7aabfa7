"""Air: how much water it holds, and how hard it pulls at a leaf."""

from typing import Final

import numpy as np

from arbuscula.kinds.values import Num

ASPIRATED_PER_C: Final = 0.000662  # thermometers whirled or fanned at about 5 m/s


def saturation_vapour_pressure_kpa(air_temperature_c: Num) -> Num:
    """Return the vapour pressure of air that can hold no more water.

    Given a dew point instead of an air temperature, the answer is the
    vapour pressure that the air has now (eq. 14 of the same book).

    Shape: any; the answer has the shape of the argument.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: -40 to 60 degC, over water.
    Source: fao56, eq. 11.
    """
    t = air_temperature_c
    return 0.6108 * np.exp(17.27 * t / (t + 237.3))


def mean_saturation_vapour_pressure_kpa(*, day_high_c: Num, night_low_c: Num) -> Num:
    """Return the mean over a day, from its highest and lowest temperature.

    The curve bends upwards, so the saturation at the mean temperature is
    too low: 3 % of a summer day's evaporation are lost by it.

    Shape: arguments broadcast together.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: days, weeks, months; for an hour take the hour's temperature.
    Source: fao56, eq. 12.
    """
    warm = saturation_vapour_pressure_kpa(day_high_c)
    cold = saturation_vapour_pressure_kpa(night_low_c)
    return (warm + cold) / 2


def saturation_slope_kpa_c(air_temperature_c: Num) -> Num:
    """Return how fast the saturation vapour pressure rises with temperature.

    Shape: any; the answer has the shape of the argument.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: -40 to 60 degC, over water.
    Source: fao56, eq. 13.
    """
    t = air_temperature_c
    return 4098 * saturation_vapour_pressure_kpa(t) / (t + 237.3) ** 2


def dew_point_c(vapour_pressure_kpa: Num) -> Num:
    """Return the temperature at which this vapour would begin to settle.

    Shape: any; the answer has the shape of the argument.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: any vapour pressure above nil.
    Source: fao56, eq. 11 solved for the temperature.
    """
    steps = np.log(vapour_pressure_kpa / 0.6108)
    return 237.3 * steps / (17.27 - steps)


def vapour_pressure_kpa(*, air_temperature_c: Num, relative_humidity_frac: Num) -> Num:
    """Return the vapour pressure of air of this relative humidity.

    A day has two: the highest humidity stands with the lowest temperature
    and the reverse, and the day's value is the mean of both (eq. 17).

    Shape: arguments broadcast together.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: humidity and temperature of the same moment.
    Source: fao56, eq. 10 solved for the vapour pressure.
    """
    return relative_humidity_frac * saturation_vapour_pressure_kpa(air_temperature_c)


def vapour_pressure_from_wet_bulb_kpa(
    *,
    air_temperature_c: Num,
    wet_bulb_c: Num,
    air_pressure_kpa: Num,
    psychrometer_per_c: float = ASPIRATED_PER_C,
) -> Num:
    """Return the vapour pressure told by a dry and a wet thermometer.

    Shape: arguments broadcast together.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: a wet wick above freezing, whirled or fanned. Where no fan
      turns the book gives 0.0008 outdoors and 0.0012 in a room.
    Source: fao56, eq. 15 and 16.
    """
    gamma = psychrometer_per_c * air_pressure_kpa
    cooling = air_temperature_c - wet_bulb_c
    return saturation_vapour_pressure_kpa(wet_bulb_c) - gamma * cooling


def vapour_deficit_kpa(
    *, saturation_vapour_pressure_kpa: Num, vapour_pressure_kpa: Num
) -> Num:
    """Return what the air still lacks of vapour; never less than nil.

    Shape: arguments broadcast together.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: both of the same moment, or both the means of one day.
    Source: fao56, ch. 3.
    Departs: fog reads as nil, where the difference would be negative.
    """
    return np.maximum(saturation_vapour_pressure_kpa - vapour_pressure_kpa, 0)


def air_pressure_kpa(elevation_m: Num) -> Num:
    """Return the usual air pressure at this height above the sea.

    Shape: any; the answer has the shape of the argument.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: the mean of the year at 20 degC; weather moves it by 3 %.
    Source: fao56, eq. 7.
    """
    return 101.3 * ((293 - 0.0065 * elevation_m) / 293) ** 5.26


def psychrometric_constant_kpa_c(air_pressure_kpa: Num) -> Num:
    """Return the heat of the air weighed against the heat of its vapour.

    Shape: any; the answer has the shape of the argument.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: a heat of vaporisation of 2.45 MJ/kg, that of 20 degC.
    Source: fao56, eq. 8.
    """
    return 0.665e-3 * air_pressure_kpa


def wind_speed_2m_m_s(*, wind_speed_m_s: Num, height_m: Num) -> Num:
    """Return the wind at 2 m, from wind measured at another height.

    Shape: arguments broadcast together.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: open short grass, instruments 0.5 m up or higher; neither
      behind a hedge nor under netting.
    Source: fao56, eq. 47.
    """
    return wind_speed_m_s * 4.87 / np.log(67.8 * height_m - 5.42)

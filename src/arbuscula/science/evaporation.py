"""Evaporation: the lawn that every other water use is measured against."""

from typing import Final

import numpy as np

from arbuscula.kinds.values import Num
from arbuscula.science import air

GRASS_ALBEDO_FRAC: Final = 0.23
SURFACE_S_M: Final = 0.34  # the book's; a later standard has 0.24 for an hour of day


def mm_from_mj_m2(energy_mj_m2: Num) -> Num:
    """Return the water that this energy turns to vapour.

    Shape: any; the answer has the shape of the argument.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: a heat of vaporisation of 2.45 MJ/kg, that of 20 degC.
    Source: fao56, eq. 20.
    """
    return 0.408 * energy_mj_m2


def reference_evapotranspiration_mm_d(
    *,
    air_temperature_c: Num,
    wind_speed_2m_m_s: Num,
    vapour_deficit_kpa: Num,
    net_radiation_mj_m2_d: Num,
    air_pressure_kpa: Num,
    soil_heat_mj_m2_d: Num = 0.0,
) -> Num:
    """Return the daily water use of a short, well-watered lawn.

    The lawn is a yardstick beside the leaf model, never a pot's own
    demand. Heat stored in the ground is nil over a day, not over a month.

    Shape: arguments broadcast together; time runs along the first axis.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: means of a day to a month; wind measured at, or brought to,
      2 m. An answer below nil is dew.
    Source: fao56, eq. 6.
    """
    return _penman_monteith(
        air_temperature_c=air_temperature_c,
        wind_speed_2m_m_s=wind_speed_2m_m_s,
        vapour_deficit_kpa=vapour_deficit_kpa,
        energy_mj_m2=net_radiation_mj_m2_d - soil_heat_mj_m2_d,
        air_pressure_kpa=air_pressure_kpa,
        Cn=900,
    )


def reference_evapotranspiration_mm_h(
    *,
    air_temperature_c: Num,
    wind_speed_2m_m_s: Num,
    vapour_deficit_kpa: Num,
    net_radiation_mj_m2_h: Num,
    air_pressure_kpa: Num,
) -> Num:
    """Return the water use of the same lawn in one hour.

    Shape: arguments broadcast together; time runs along the first axis.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: means of one hour; wind measured at, or brought to, 2 m. An
      answer below nil is dew.
    Source: fao56, eq. 53, with the heat of the ground by eq. 45 and 46.
    """
    soil_heat = soil_heat_mj_m2_h(net_radiation_mj_m2_h)
    return _penman_monteith(
        air_temperature_c=air_temperature_c,
        wind_speed_2m_m_s=wind_speed_2m_m_s,
        vapour_deficit_kpa=vapour_deficit_kpa,
        energy_mj_m2=net_radiation_mj_m2_h - soil_heat,
        air_pressure_kpa=air_pressure_kpa,
        Cn=37,
    )


def _penman_monteith(
    *,
    air_temperature_c: Num,
    wind_speed_2m_m_s: Num,
    vapour_deficit_kpa: Num,
    energy_mj_m2: Num,
    air_pressure_kpa: Num,
    Cn: float,
) -> Num:
    t, u2, D = air_temperature_c, wind_speed_2m_m_s, vapour_deficit_kpa
    slope = air.saturation_slope_kpa_c(t)
    gamma = air.psychrometric_constant_kpa_c(air_pressure_kpa)
    radiation = slope * mm_from_mj_m2(energy_mj_m2)
    wind = gamma * Cn / (t + 273) * u2 * D
    return (radiation + wind) / (slope + gamma * (1 + SURFACE_S_M * u2))


def net_radiation_mj_m2_d(
    *,
    day_high_c: Num,
    night_low_c: Num,
    vapour_pressure_kpa: Num,
    shortwave_mj_m2_d: Num,
    clear_sky_mj_m2_d: Num,
) -> Num:
    """Return what the lawn keeps of a day's sun, after its own glow.

    Shape: arguments broadcast together; time runs along the first axis.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: a day to a month, where the sun rises.
    Source: fao56, eq. 38 to 40.
    """
    glow = net_longwave_mj_m2_d(
        day_high_c=day_high_c,
        night_low_c=night_low_c,
        vapour_pressure_kpa=vapour_pressure_kpa,
        relative_shortwave_frac=shortwave_mj_m2_d / clear_sky_mj_m2_d,
    )
    return net_shortwave_mj_m2_d(shortwave_mj_m2_d) - glow


def net_radiation_mj_m2_h(
    *,
    air_temperature_c: Num,
    vapour_pressure_kpa: Num,
    shortwave_mj_m2_h: Num,
    relative_shortwave_frac: Num,
) -> Num:
    """Return what the lawn keeps of one hour's sun, after its own glow.

    At night no sun tells of the clouds: give the share of clear-sky sun
    seen two to three hours before sunset.

    Shape: arguments broadcast together; time runs along the first axis.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: means of one hour.
    Source: fao56, eq. 38 to 40, with a 24th of the day's constant.
    """
    glow = net_longwave_mj_m2_h(
        air_temperature_c=air_temperature_c,
        vapour_pressure_kpa=vapour_pressure_kpa,
        relative_shortwave_frac=relative_shortwave_frac,
    )
    return (1 - GRASS_ALBEDO_FRAC) * shortwave_mj_m2_h - glow


def net_shortwave_mj_m2_d(shortwave_mj_m2_d: Num) -> Num:
    """Return the sun that the lawn does not throw back.

    Shape: any; the answer has the shape of the argument.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: green grass.
    Source: fao56, eq. 38.
    """
    return (1 - GRASS_ALBEDO_FRAC) * shortwave_mj_m2_d


def net_longwave_mj_m2_d(
    *,
    day_high_c: Num,
    night_low_c: Num,
    vapour_pressure_kpa: Num,
    relative_shortwave_frac: Num,
) -> Num:
    """Return the heat that the lawn loses to the sky in a day.

    Shape: arguments broadcast together.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: a day to a month.
    Source: fao56, eq. 39.
    Departs: a share of clear-sky sun below 0.3 counts as 0.3 (asce2005),
      so that a black sky never warms the ground.
    """
    fourth = ((day_high_c + 273.16) ** 4 + (night_low_c + 273.16) ** 4) / 2
    return _glow(fourth, vapour_pressure_kpa, relative_shortwave_frac)


def net_longwave_mj_m2_h(
    *,
    air_temperature_c: Num,
    vapour_pressure_kpa: Num,
    relative_shortwave_frac: Num,
) -> Num:
    """Return the heat that the lawn loses to the sky in an hour.

    Shape: arguments broadcast together.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: one hour.
    Source: fao56, eq. 39, with a 24th of the day's constant.
    Departs: as the day's.
    """
    fourth = (air_temperature_c + 273.16) ** 4
    return _glow(fourth, vapour_pressure_kpa, relative_shortwave_frac) / 24


def _glow(
    fourth_power: Num, vapour_pressure_kpa: Num, relative_shortwave_frac: Num
) -> Num:
    clear = np.clip(relative_shortwave_frac, 0.3, 1)
    vapour = 0.34 - 0.14 * np.sqrt(vapour_pressure_kpa)
    return 4.903e-9 * fourth_power * vapour * (1.35 * clear - 0.35)


def soil_heat_mj_m2_d(
    *, month_c: Num, month_before_c: Num, month_after_c: Num | None = None
) -> Num:
    """Return the heat that a month puts into the ground, each day.

    Where the month after is still to come, the month itself stands in for
    it, and the step is half as long.

    Shape: arguments broadcast together.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: mean air temperatures of months that follow each other.
    Source: fao56, eq. 43, or 44 without the month after.
    """
    if month_after_c is None:
        return 0.14 * (month_c - month_before_c)
    return 0.07 * (month_after_c - month_before_c)


def soil_heat_mj_m2_h(net_radiation_mj_m2_h: Num) -> Num:
    """Return the heat that goes into the ground under grass in an hour.

    Shape: any; the answer has the shape of the argument.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: dense short grass.
    Source: fao56, eq. 45 and 46.
    Departs: day and night are told by the sign of the net radiation, as
      asce2005 does.
    """
    by_day = net_radiation_mj_m2_h > 0
    return np.where(by_day, 0.1, 0.5)[()] * net_radiation_mj_m2_h


def hargreaves_mm_d(
    *, day_high_c: Num, night_low_c: Num, extraterrestrial_mj_m2_d: Num
) -> Num:
    """Return the lawn's daily water use, where only a thermometer is known.

    Shape: arguments broadcast together; time runs along the first axis.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: means of a week or longer; too high in humid air, too low in
      wind. It is the last resort.
    Source: fao56, eq. 52.
    """
    mean = (day_high_c + night_low_c) / 2
    swing = np.sqrt(day_high_c - night_low_c)
    return 0.0023 * (mean + 17.8) * swing * mm_from_mj_m2(extraterrestrial_mj_m2_d)

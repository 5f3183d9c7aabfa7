"""Open air: a bench under the whole sky, or a plant with its own light meter."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.leaf import CrownAir
from arbuscula.kinds.library import BallTraits
from arbuscula.kinds.values import Num
from arbuscula.kinds.weather import Row, Spot, WeatherRows
from arbuscula.science.air import (
    air_pressure_kpa,
    saturation_vapour_pressure_kpa,
    vapour_deficit_kpa,
    vapour_pressure_kpa,
)
from arbuscula.science.evaporation import (
    net_radiation_mj_m2_h,
    reference_evapotranspiration_mm_h,
)
from arbuscula.science.light import sun_light_mol_m2_d
from arbuscula.science.sun import (
    beam_and_sky,
    clear_sky_transmission_frac,
    cloud_frac,
    extraterrestrial_normal_w_m2,
    extraterrestrial_w_m2,
    sun_position,
)
from arbuscula.science.water.sky import sky_longwave_w_m2
from arbuscula.units import STANDARD_PRESSURE_KPA, mj_m2_d_from_w_m2, mj_m2_h_from_w_m2

MOVED_AIR_RATIO: Final = 1.4  # over a smooth plate in a wind tunnel
CLOUD_TOLD_ABOVE_DEG: Final = 10.0  # a lower sun cannot tell cloud from haze
DARK_W_M2: Final = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class OpenLight:
    """What comes down under the whole sky, row by row."""

    sun_elevation_deg: Num
    sun_azimuth_deg: Num  # from north through east
    beam_w_m2: Num  # on a plane that faces the sun
    sky_w_m2: Num
    longwave_w_m2: Num  # of the sky less that of a black body at air temperature


def air_at_crown(rows: WeatherRows, spot: Spot | None, ball: BallTraits) -> CrownAir:
    """Return air and light at the crown, one number a row.

    The sun stands where it does in the middle of a row. Without a spot all
    light is diffuse and the sky is as warm as the air.
    """
    vapour_kpa = vapour_of_kpa(rows)
    light = open_light(rows, spot)
    return CrownAir(
        air_temperature_c=rows.air_temperature_c,
        vapour_pressure_kpa=vapour_kpa,
        air_pressure_kpa=(
            air_pressure_kpa(spot.elevation_m) if spot else STANDARD_PRESSURE_KPA
        ),
        wind_speed_m_s=ball.wind_at_crown_ratio.value * rows.wind_speed_2m_m_s,
        beam_w_m2=light.beam_w_m2,
        sky_w_m2=light.sky_w_m2,
        window_w_m2=np.zeros_like(light.sky_w_m2),
        sun_elevation_rad=np.radians(light.sun_elevation_deg),
        longwave_w_m2=light.longwave_w_m2,
        turbulence_ratio=MOVED_AIR_RATIO,
        daily_light_mol_m2_d=_mean_light_mol_m2_d(rows),
    )


def vapour_of_kpa(rows: WeatherRows) -> Num:
    """Return the vapour pressure of weather."""
    return vapour_pressure_kpa(
        air_temperature_c=rows.air_temperature_c,
        relative_humidity_frac=rows.relative_humidity_frac,
    )


def open_light(rows: WeatherRows, spot: Spot | None) -> OpenLight:
    """Return the light of weather, parted; without a spot all of it is the sky's."""
    return _under_sky(rows, spot) if spot else _diffuse(rows)


def _diffuse(rows: WeatherRows) -> OpenLight:
    nil = np.zeros_like(rows.shortwave_w_m2)
    return OpenLight(
        sun_elevation_deg=nil,
        sun_azimuth_deg=nil,
        beam_w_m2=nil,
        sky_w_m2=rows.shortwave_w_m2,
        longwave_w_m2=nil,
    )


def _under_sky(rows: WeatherRows, spot: Spot) -> OpenLight:
    middle_s = (rows.from_s + rows.until_s) / 2
    sun = sun_position(
        unix_s=middle_s,
        latitude_deg=spot.latitude_deg,
        longitude_deg=spot.longitude_deg,
    )
    light = beam_and_sky(
        shortwave_w_m2=rows.shortwave_w_m2,
        extraterrestrial_normal_w_m2=extraterrestrial_normal_w_m2(middle_s),
        elevation_deg=sun.elevation_deg,
    )
    longwave_w_m2 = sky_longwave_w_m2(
        air_temperature_c=rows.air_temperature_c,
        vapour_pressure_kpa=vapour_of_kpa(rows),
        cloud_frac=cloud_frac(_relative_shortwave_frac(rows, spot)),
    )
    return OpenLight(
        sun_elevation_deg=sun.elevation_deg,
        sun_azimuth_deg=sun.azimuth_deg,
        beam_w_m2=light.beam_normal_w_m2,
        sky_w_m2=light.diffuse_w_m2,
        longwave_w_m2=longwave_w_m2,
    )


def lawn_mm_h(rows: WeatherRows, spot: Spot) -> Num:
    """Return what a lawn would use row by row: the yardstick, never a pot's demand."""
    vapour_kpa = vapour_of_kpa(rows)
    net_mj_m2_h = net_radiation_mj_m2_h(
        air_temperature_c=rows.air_temperature_c,
        vapour_pressure_kpa=vapour_kpa,
        shortwave_mj_m2_h=mj_m2_h_from_w_m2(rows.shortwave_w_m2),
        relative_shortwave_frac=_relative_shortwave_frac(rows, spot),
    )
    full_kpa = saturation_vapour_pressure_kpa(rows.air_temperature_c)
    return np.maximum(
        reference_evapotranspiration_mm_h(
            air_temperature_c=rows.air_temperature_c,
            wind_speed_2m_m_s=rows.wind_speed_2m_m_s,
            vapour_deficit_kpa=vapour_deficit_kpa(
                saturation_vapour_pressure_kpa=full_kpa,
                vapour_pressure_kpa=vapour_kpa,
            ),
            net_radiation_mj_m2_h=net_mj_m2_h,
            air_pressure_kpa=air_pressure_kpa(spot.elevation_m),
        ),
        0.0,
    )


def _elevation_deg(rows: WeatherRows, spot: Spot) -> Num:
    return sun_position(
        unix_s=(rows.from_s + rows.until_s) / 2,
        latitude_deg=spot.latitude_deg,
        longitude_deg=spot.longitude_deg,
    ).elevation_deg


def _relative_shortwave_frac(rows: WeatherRows, spot: Spot) -> Row:
    """Return the sun's share of a clear sky's; nights keep the evening's."""
    elevation_deg = np.asarray(_elevation_deg(rows, spot))
    middle_s = (rows.from_s + rows.until_s) / 2
    above_w_m2 = extraterrestrial_w_m2(unix_s=middle_s, elevation_deg=elevation_deg)
    clear_w_m2 = clear_sky_transmission_frac(spot.elevation_m) * above_w_m2
    share = rows.shortwave_w_m2 / np.maximum(clear_w_m2, DARK_W_M2)
    return _held_by_night(np.asarray(share), elevation_deg > CLOUD_TOLD_ABOVE_DEG)


def _held_by_night(share: Row, is_day: NDArray[np.bool_]) -> Row:
    """Return the day's share; a first night has the morning's, no day a closed sky."""
    days = np.flatnonzero(is_day)
    if not days.size:
        return np.zeros_like(share)
    places = np.arange(is_day.size)
    before = np.maximum(np.searchsorted(days, places, side="right") - 1, 0)
    return share[..., days[before]]


def _mean_light_mol_m2_d(rows: WeatherRows) -> Num:
    """Return the mean daily light of the whole table: what the leaves know."""
    lasts_s = rows.until_s - rows.from_s
    mean_w_m2 = (rows.shortwave_w_m2 * lasts_s).sum(axis=-1, keepdims=True)
    return sun_light_mol_m2_d(mj_m2_d_from_w_m2(mean_w_m2 / lasts_s.sum()))

"""Felt: air, light and rain as they come to a bench, and what they come from."""

from dataclasses import dataclass

import numpy as np

from arbuscula.kinds.values import Num
from arbuscula.kinds.weather import Row, Spot, WeatherRows
from arbuscula.microclimate.open_air import OpenLight, open_light, vapour_of_kpa
from arbuscula.science.air import air_pressure_kpa
from arbuscula.units import (
    DEG_IN_H,
    HOUR_S,
    STANDARD_PRESSURE_KPA,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Outside:
    """The place's weather, its light parted."""

    rows: WeatherRows
    spot: Spot | None
    vapour_pressure_kpa: Num
    light: OpenLight


@dataclass(frozen=True, slots=True, kw_only=True)
class Air:
    """Air at a bench."""

    air_temperature_c: Num
    vapour_pressure_kpa: Num
    wind_speed_m_s: Num  # at 2 m in the open, at the crowns under a roof
    turbulence_ratio: float
    in_the_open: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Light:
    """Light at a bench, as sunlight that carries as much for leaves."""

    beam_w_m2: Num  # on a plane that faces the sun
    sky_w_m2: Num  # from above
    window_w_m2: Num  # through a window, on a plane that faces it
    longwave_w_m2: Num


@dataclass(frozen=True, slots=True, kw_only=True)
class Felt:
    """All that a bench feels of the weather, row by row."""

    air: Air
    light: Light
    rain_mm: Num


def outside_of(rows: WeatherRows, spot: Spot | None) -> Outside:
    """Return the place's weather with its light parted."""
    return Outside(
        rows=rows,
        spot=spot,
        vapour_pressure_kpa=vapour_of_kpa(rows),
        light=open_light(rows, spot),
    )


def pressure_kpa(spot: Spot | None) -> float:
    """Return the usual air pressure of a place."""
    if spot is None:
        return STANDARD_PRESSURE_KPA
    return float(air_pressure_kpa(spot.elevation_m))


def mean_of_last(rows: WeatherRows, told: Num, last_h: float) -> Row:
    """Return the mean of the last hours up to each row; at first of those there are.

    Nothing older counts, so that rows told in two parts say the same, to the bit.
    """
    told = np.asarray(told, np.float64)
    step_s = float(np.median(rows.until_s - rows.from_s))
    window_n = max(round(last_h * HOUR_S / step_s), 1)
    nothing = np.zeros((*told.shape[:-1], window_n - 1))
    longer = np.concatenate([nothing, told], axis=-1)
    windows = np.lib.stride_tricks.sliding_window_view(longer, window_n, axis=-1)
    rows_n = np.minimum(np.arange(1, told.shape[-1] + 1), window_n)
    return np.asarray(windows.sum(axis=-1) / rows_n)


def solar_hour_h(rows: WeatherRows, spot: Spot | None) -> Row:
    """Return the hour by the sun at which each row begins, 0 to 24."""
    ahead_h = spot.longitude_deg / DEG_IN_H if spot else 0.0
    return (rows.from_s / HOUR_S + ahead_h) % 24

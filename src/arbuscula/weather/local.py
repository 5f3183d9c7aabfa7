"""Local: what is told of a place, moved to what its own thermometer showed.

A low says how cold the night was and nothing of the day, so that the night is
moved in full and the afternoon not at all.
"""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from arbuscula.kinds.forecast import Fill
from arbuscula.kinds.weather import Row, WeatherRows
from arbuscula.science.air import saturation_vapour_pressure_kpa
from arbuscula.units import DAY_H, DEG_IN_H, HOUR_S

COLDEST_H: Final = 5.0  # by the sun
LEAD_S: Final = 2 * HOUR_S  # of what is past, so that known hours lead on


@dataclass(frozen=True, slots=True, kw_only=True)
class LocalShift:
    """By how much nights are moved, from when on."""

    night_k: float
    usual_night_k: tuple[float, ...]  # of the usual weather, by month
    error_ratio: float  # of a forecast's error here, over the assumed one
    longitude_deg: float
    since_s: float


def night_share(from_s: Row, until_s: Row, longitude_deg: float) -> Row:
    """Return how much of a night's shift holds: all before sunrise, none by day."""
    middle_h = (from_s + until_s) / 2 / HOUR_S + longitude_deg / DEG_IN_H
    turn = 2 * np.pi * (middle_h - COLDEST_H) / DAY_H
    return np.asarray((1 + np.cos(turn)) / 2)


def shifted(
    rows: WeatherRows, shift_k: float | Row, longitude_deg: float
) -> WeatherRows:
    """Return rows whose nights are moved; the vapour in the air stays as it was."""
    share = night_share(rows.from_s, rows.until_s, longitude_deg)
    air_c = rows.air_temperature_c + shift_k * share
    drier = saturation_vapour_pressure_kpa(
        rows.air_temperature_c
    ) / saturation_vapour_pressure_kpa(air_c)
    humidity = np.minimum(rows.relative_humidity_frac * drier, 1.0)
    return replace(rows, air_temperature_c=air_c, relative_humidity_frac=humidity)


def shifted_ahead(rows: WeatherRows, local: LocalShift) -> WeatherRows:
    """Return a forecast whose coming nights are moved."""
    ahead = rows.until_s > local.since_s - LEAD_S
    return shifted(rows, np.where(ahead, local.night_k, 0.0), local.longitude_deg)


def error_ratio(rows: WeatherRows, local: LocalShift | None) -> Row:
    """Return how far off coming hours may be, over what is assumed of them."""
    if local is None:
        return np.ones_like(rows.from_s)
    ahead = rows.until_s > local.since_s - LEAD_S
    return np.where(ahead, local.error_ratio, 1.0)


def shifted_fill(fill: Fill, local: LocalShift) -> Fill:
    """Return a maker of usual weather whose coming nights are moved by month."""

    def filled(
        from_s: float, until_s: float, last_known: WeatherRows | None, members_n: int
    ) -> WeatherRows:
        rows = fill(from_s, until_s, last_known, members_n)
        ahead = rows.until_s > local.since_s - LEAD_S
        month = rows.from_s.astype("datetime64[s]").astype("datetime64[M]")
        by_month = np.array(local.usual_night_k)[month.astype(np.int64) % 12]
        return shifted(rows, by_month * ahead, local.longitude_deg)

    return filled

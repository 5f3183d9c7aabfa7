"""Made weather: what a yard might have seen for two years, and may see next."""

from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from typing import Final, Literal, TypeAlias

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.forecast import Batch, WeatherSort
from arbuscula.kinds.weather import Row, Spot, WeatherRows
from arbuscula.science.evaporation import mm_from_mj_m2
from arbuscula.units import DAY_H, HOUR_S, mj_m2_d_from_w_m2
from arbuscula.weather.usual import usual_weather
from arbuscula.weather.world import World

AHEAD: Final = timedelta(days=5)
Coming: TypeAlias = Literal["cold", "storm"]
FROST_C: Final = -4.0  # the low of a made cold night
GALE_M_S: Final = 14.0  # at 2 m, the hour's mean of a made storm
DOWNPOUR_MM: Final = 15.0  # in the first hour of it
MADE: Final = "made up by this program"
TAKEN_FRAC: Final = 0.6  # of the light that could evaporate; made up like the rest


@dataclass(frozen=True, slots=True, kw_only=True)
class Days:
    """The weather of one day after another, as somebody who waters feels it."""

    lawn_mm: Row  # what a lawn would lose
    rain_mm: Row
    night_min_c: Row


def made_weather(
    world: World, spot: Spot, begins: datetime, at: datetime
) -> WeatherRows:
    """Return one possible course of hours, from the beginning to some days ahead."""
    until_s = (at + AHEAD).timestamp() // HOUR_S * HOUR_S
    rows = usual_weather(world, spot)(begins.timestamp(), until_s, None, 1)
    return _one(rows, np.ones(rows.from_s.size, dtype=bool))


def turned(rows: WeatherRows, at: datetime, coming: Coming) -> WeatherRows:
    """Return the same hours with a hard night, or a storm, in the day that comes."""
    into_s = rows.from_s - at.timestamp()
    soon = (into_s >= 0) & (into_s < DAY_H * HOUR_S)
    if coming == "cold":
        low_c = float(rows.air_temperature_c[soon].min())
        colder_k = np.where(into_s >= 0, max(low_c - FROST_C, 0.0), 0.0)
        return replace(rows, air_temperature_c=rows.air_temperature_c - colder_k)
    wind_m_s = np.where(soon, GALE_M_S, rows.wind_speed_2m_m_s)
    bursts = soon & (np.cumsum(soon) == DAY_H // 4)
    rain_mm = np.where(bursts, DOWNPOUR_MM, rows.rain_mm)
    return replace(rows, wind_speed_2m_m_s=wind_m_s, rain_mm=rain_mm)


def batches_of(rows: WeatherRows, yard: str, at: datetime) -> tuple[Batch, Batch]:
    """Return the past as a station saw it, and the hours ahead as a forecast."""
    now_s = at.timestamp() // HOUR_S * HOUR_S
    seen, ahead = rows.from_s < now_s, rows.from_s >= now_s
    return (
        _batch(_one(rows, seen), yard, "station", WeatherSort.OBSERVED, now_s),
        _batch(_one(rows, ahead), yard, "made", WeatherSort.FORECAST, now_s),
    )


def days_of(rows: WeatherRows) -> Days:
    """Return whole days, in the order of their dates in UTC."""
    days_n = rows.from_s.size // DAY_H

    def by_day(row: Row) -> Row:
        return np.asarray(row[: days_n * DAY_H].reshape(days_n, DAY_H))

    air_c = by_day(rows.air_temperature_c)
    light_mj_m2_d = mj_m2_d_from_w_m2(by_day(rows.shortwave_w_m2).mean(axis=1))
    return Days(
        lawn_mm=TAKEN_FRAC * np.asarray(mm_from_mj_m2(light_mj_m2_d)),
        rain_mm=by_day(rows.rain_mm).sum(axis=1),
        night_min_c=air_c.min(axis=1),
    )


def _batch(
    rows: WeatherRows, yard: str, source: str, sort: WeatherSort, at_s: float
) -> Batch:
    return Batch(
        yard=yard,
        source=source,
        sort=sort,
        issued_s=at_s,
        read_s=at_s,
        attribution=MADE,
        rows=rows,
    )


def _one(rows: WeatherRows, chosen: NDArray[np.bool_]) -> WeatherRows:
    """Return some rows, of the first member where there are several."""

    def cells(part: Row) -> Row:
        return np.asarray(np.atleast_2d(part)[0][chosen], dtype=np.float64)

    return WeatherRows(
        from_s=rows.from_s[chosen],
        until_s=rows.until_s[chosen],
        air_temperature_c=cells(rows.air_temperature_c),
        relative_humidity_frac=cells(rows.relative_humidity_frac),
        wind_speed_2m_m_s=cells(rows.wind_speed_2m_m_s),
        rain_mm=cells(rows.rain_mm),
        shortwave_w_m2=cells(rows.shortwave_w_m2),
    )

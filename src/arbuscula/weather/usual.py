"""Usual: possible weather from the normals, where nothing else reaches."""

from datetime import UTC, datetime, timedelta
from hashlib import sha256
from typing import Final

import numpy as np

from arbuscula.kinds.forecast import Fill
from arbuscula.kinds.weather import Spot, WeatherRows
from arbuscula.kinds.world import HourlyWeather, LastDay, LastHour, Normals
from arbuscula.units import (
    DAY_H,
    DEG_IN_H,
    HOUR_S,
)
from arbuscula.weather.generator import daily_weather
from arbuscula.weather.hours import hourly_weather
from arbuscula.weather.normals import by_day, normals_at
from arbuscula.weather.world import World

NOON_H: Final = 12.0


def usual_weather(world: World, spot: Spot) -> Fill:
    """Return a maker of possible weather for one place, hour by hour.

    The same stretch asked for again is the same again: its seed is the place
    and the day on which it begins.
    """
    monthly = normals_at(
        world,
        latitude_deg=spot.latitude_deg,
        longitude_deg=spot.longitude_deg,
        elevation_m=spot.elevation_m,
    )
    normals = by_day(monthly)

    def fill(
        from_s: float, until_s: float, last_known: WeatherRows | None, members_n: int
    ) -> WeatherRows:
        first = datetime.fromtimestamp(from_s, UTC).replace(
            hour=0, minute=0, second=0, microsecond=0
        )
        last = datetime.fromtimestamp(until_s - 1, UTC)
        days_n = (last - first) // timedelta(days=1) + 1
        hours = _hours(world, normals, spot, first, days_n, last_known, members_n)
        return _between(hours, first.timestamp(), from_s, until_s)

    return fill


def _hours(
    world: World,
    normals: Normals,
    spot: Spot,
    first: datetime,
    days_n: int,
    last_known: WeatherRows | None,
    members_n: int,
) -> HourlyWeather:
    """Return whole days of possible weather that lead on from what is known."""
    rng = _generator(spot, first)
    figures = world.figures.generator
    day, hour = _last(last_known, first)
    daily = daily_weather(
        normals,
        figures,
        rng=rng,
        members_n=members_n,
        first=first.date(),
        days_n=days_n,
        after=day,
    )
    return hourly_weather(
        daily,
        figures,
        latitude_deg=spot.latitude_deg,
        rng=rng,
        after=day,
        last_hour=hour,
        solar_noon_h=(NOON_H - spot.longitude_deg / DEG_IN_H) % DAY_H,
    )


def _generator(spot: Spot, first: datetime) -> np.random.Generator:
    key = f"{spot.latitude_deg:.4f},{spot.longitude_deg:.4f},{first:%Y-%m-%d}"
    return np.random.default_rng(int.from_bytes(sha256(key.encode()).digest()[:8]))


def _last(
    known: WeatherRows | None, first: datetime
) -> tuple[LastDay | None, LastHour | None]:
    """Return the last known day and hour, as the generator takes them."""
    if known is None or not known.from_s.size:
        return None, None
    day = known.from_s >= known.from_s[-1] - (DAY_H - 1) * HOUR_S
    air_c = np.atleast_2d(known.air_temperature_c)[:, day]
    rain_mm = np.atleast_2d(known.rain_mm)[:, day]
    last = LastDay(
        night_min_c=air_c.min(axis=1),
        day_max_c=air_c.max(axis=1),
        rain_mm=rain_mm.sum(axis=1),
    )
    hour_n = round((known.from_s[-1] - first.timestamp()) / HOUR_S)
    return last, LastHour(hour_n=hour_n, air_temperature_c=air_c[:, -1])


def _between(
    hours: HourlyWeather, first_s: float, from_s: float, until_s: float
) -> WeatherRows:
    """Return the hours that begin within the stretch."""
    hours_n = hours.air_temperature_c.shape[-1]
    begins_s = np.asarray(first_s + np.arange(hours_n) * float(HOUR_S))
    inside = (begins_s >= from_s) & (begins_s < until_s)
    return WeatherRows(
        from_s=begins_s[inside],
        until_s=begins_s[inside] + HOUR_S,
        air_temperature_c=hours.air_temperature_c[:, inside],
        relative_humidity_frac=hours.relative_humidity_frac[:, inside],
        wind_speed_2m_m_s=hours.wind_speed_2m_m_s[:, inside],
        rain_mm=hours.rain_mm[:, inside],
        shortwave_w_m2=hours.shortwave_w_m2[:, inside],
    )

"""Hours: a day's low, high, light, vapour and rain become 24 hours."""

from typing import Final

import numpy as np
from numpy.random import Generator

from arbuscula.kinds.values import Num
from arbuscula.kinds.world import (
    Curve,
    DailyWeather,
    GeneratorFigures,
    HourlyWeather,
    LastDay,
    LastHour,
)
from arbuscula.science.air import saturation_vapour_pressure_kpa
from arbuscula.science.sun import daylight_h, declination_rad, sunset_angle_rad
from arbuscula.units import (
    DAY_H,
    W_M2_IN_MJ_M2_H,
)
from arbuscula.weather.year import day_before, days_of_year

MIDDLES_H: Final = np.arange(DAY_H) + 0.5

_LATE_H: Final = 1.86  # the warmest hour after noon, parton1981
_COOLING: Final = 2.2  # how fast the night cools, parton1981
_DAYLIGHT_H: Final = (2.0, 22.0)  # outside it the polar day has no evening


def hourly_weather(
    daily: DailyWeather,
    figures: GeneratorFigures,
    *,
    latitude_deg: Num,
    rng: Generator,
    after: LastDay | None = None,
    last_hour: LastHour | None = None,
    solar_noon_h: float = 12.0,
) -> HourlyWeather:
    """Return possible weather by the hour, from midnight of the first day.

    Sums of rain and light are those of the days. With the last known day the
    first night leads on from its evening; with the last known hour temperature
    starts from there, and what it was off fades away. Hours up to that one are
    the caller's to replace.

    Shape: (members, places, hours); one place has no axis.
    Unit: `solar_noon_h` is the clock's hour when the sun stands highest.
    """
    warmth = _temperature_c(daily, after, latitude_deg, solar_noon_h)
    if last_hour is not None:
        warmth = warmth + _fading_k(warmth, last_hour, figures.joining_h.value)
    warmth = warmth[..., DAY_H:]
    full_kpa = saturation_vapour_pressure_kpa(warmth)
    vapour_kpa = np.repeat(daily.vapour_pressure_kpa, DAY_H, axis=-1)
    return HourlyWeather(
        first=daily.first,
        air_temperature_c=warmth,
        relative_humidity_frac=np.minimum(vapour_kpa / full_kpa, 1),
        wind_speed_2m_m_s=np.repeat(daily.wind_speed_2m_m_s, DAY_H, axis=-1),
        rain_mm=_rain_mm(daily.rain_mm, figures.rain_spell_h.value, rng),
        shortwave_w_m2=_shortwave_w_m2(daily, latitude_deg, solar_noon_h),
    )


def _in_a_row(hours: Curve) -> Curve:
    """Return hours of days as hours in a row: the last two axes become one."""
    return hours.reshape(*hours.shape[:-2], -1)


def _sunset_rad(daily: DailyWeather, latitude_deg: Num, days_before_n: int) -> Curve:
    """Return the sunset angle of each day: (places, days)."""
    first = day_before(daily.first) if days_before_n else daily.first
    day = days_of_year(first, daily.rain_mm.shape[-1] + days_before_n)
    declination = declination_rad(day.astype(np.float64) + 1)
    return np.asarray(
        sunset_angle_rad(
            latitude_deg=np.asarray(latitude_deg)[..., None],
            declination_rad=declination,
        )
    )


def _temperature_c(
    daily: DailyWeather, after: LastDay | None, latitude_deg: Num, solar_noon_h: float
) -> Curve:
    """Return temperature by the hour, from the midnight before the first day's."""
    low = _with_day_before(daily.night_min_c, after.night_min_c if after else None)
    high = _with_day_before(daily.day_max_c, after.day_max_c if after else None)
    daylight = np.asarray(daylight_h(_sunset_rad(daily, latitude_deg, 1)))
    rising, falling, tomorrow, old_low, old_high = _shares(daylight, solar_noon_h)
    next_low = np.concatenate([low[..., 1:], low[..., -1:]], -1)
    last_low = np.concatenate([low[..., :1], low[..., :-1]], -1)
    last_high = np.concatenate([high[..., :1], high[..., :-1]], -1)
    hours = low[..., None] * rising + high[..., None] * falling
    hours += next_low[..., None] * tomorrow
    hours += last_low[..., None] * old_low + last_high[..., None] * old_high
    return _in_a_row(hours)


def _with_day_before(days: Curve, known: Num | None) -> Curve:
    """Return the days with the known one before them, or the first one twice."""
    if known is None:
        return np.concatenate([days[..., :1], days], axis=-1)
    before = np.broadcast_to(known, days.shape[:-1])[..., None]
    return np.concatenate([before, days], axis=-1)


def _shares(daylight: Curve, solar_noon_h: float) -> tuple[Curve, ...]:
    """Return the shares that each hour has of five extremes: (places, days, 24).

    By day a sine between the low and the high, by night a decay from sunset to
    the next low. The five are today's low and high, tomorrow's low, yesterday's
    low and high.

    Source: parton1981.
    """
    hour = (MIDDLES_H - solar_noon_h + 12) % DAY_H
    light = np.clip(daylight, *_DAYLIGHT_H)[..., None]
    rise, fall = 12 - light / 2, 12 + light / 2
    by_day, evening = (hour >= rise) & (hour <= fall), hour > fall
    morning = ~by_day & ~evening
    sine = _sine(hour - rise, light)
    at_sunset = _sine(light, light)
    since = np.where(evening, hour - fall, hour + DAY_H - fall)
    left = _left(since / (DAY_H - light))
    low = np.select([by_day, evening], [1 - sine, left * (1 - at_sunset)], 1 - left)
    high = np.select([by_day, evening], [sine, left * at_sunset], 0)
    tomorrow = np.where(evening, 1 - left, 0)
    old_low = np.where(morning, left * (1 - at_sunset), 0)
    old_high = np.where(morning, left * at_sunset, 0)
    return low, high, tomorrow, old_low, old_high


def _sine(since_rise_h: Curve, light_h: Curve) -> Curve:
    lit_h = np.clip(since_rise_h, 0, light_h)
    return np.sin(np.pi * lit_h / (light_h + 2 * _LATE_H))


def _left(night_frac: Curve) -> Curve:
    """Return what is left of the sunset's warmth in a part of the night."""
    end = np.exp(-_COOLING)
    return (np.exp(-_COOLING * night_frac) - end) / (1 - end)


def _fading_k(warmth: Curve, last_hour: LastHour, joining_h: float) -> Curve:
    """Return how far the known hour was off, fading over the hours that follow."""
    at = DAY_H + last_hour.hour_n
    off_k = last_hour.air_temperature_c - warmth[..., at]
    since_h = np.arange(warmth.shape[-1]) - at
    fading = np.where(since_h >= 0, np.exp(-np.maximum(since_h, 0) / joining_h), 0)
    return off_k[..., None] * fading


def _shortwave_w_m2(
    daily: DailyWeather, latitude_deg: Num, solar_noon_h: float
) -> Curve:
    """Return light by the hour; a day's hours add up to the day.

    Source: collares1979.
    """
    sunset = _sunset_rad(daily, latitude_deg, 0)[..., None]
    angle = ((MIDDLES_H - solar_noon_h + 12) % DAY_H - 12) * np.pi / 12
    a = 0.409 + 0.5016 * np.sin(sunset - np.pi / 3)
    b = 0.6609 - 0.4767 * np.sin(sunset - np.pi / 3)
    height = np.cos(angle) - np.cos(sunset)
    light = np.maximum((a + b * np.cos(angle)) * height, 0)
    share = light / np.maximum(light.sum(axis=-1, keepdims=True), 1e-12)
    hours = daily.shortwave_mj_m2_d[..., None] * share * W_M2_IN_MJ_M2_H
    return _in_a_row(hours)


def _rain_mm(rain_mm: Curve, spell_h: float, rng: Generator) -> Curve:
    """Return rain by the hour: one spell a day, at any hour, of any length."""
    start_h = rng.uniform(0, DAY_H, rain_mm.shape)[..., None]
    lasts_h = np.minimum(1 + rng.exponential(spell_h - 1, rain_mm.shape), DAY_H)
    end_h = start_h + lasts_h[..., None]
    hour = np.arange(DAY_H)
    fallen = np.zeros((*rain_mm.shape, DAY_H))
    for begin in (hour, hour + DAY_H):  # what passes midnight falls in the morning
        inside = np.minimum(end_h, begin + 1) - np.maximum(start_h, begin)
        fallen += np.maximum(inside, 0)
    return _in_a_row(rain_mm[..., None] * fallen / lasts_h[..., None])

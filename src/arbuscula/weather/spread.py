"""Spread: a forecast as members, as far apart as it may be off at the yard.

A draw hangs on yard, source, quantity and day, so that the same hour asked for
again, alone or with others, has the same error.
"""

from dataclasses import replace
from hashlib import sha256
from statistics import NormalDist

import numpy as np

from arbuscula.kinds.forecast import ForecastFigures, Kept
from arbuscula.kinds.values import Num, Value
from arbuscula.kinds.weather import Row, WeatherRows
from arbuscula.science.air import saturation_vapour_pressure_kpa
from arbuscula.units import DAY_S
from arbuscula.weather.packed import QUANTITIES, quantity


def spread_out(
    rows: WeatherRows,
    kept: Kept,
    figures: ForecastFigures,
    *,
    as_of_s: float,
    members_n: int,
    air_ratio: Num = 1.0,
) -> WeatherRows:
    """Return the forecast in as many members, each off in its own way.

    A single course is the more off the farther ahead it looks. Members tell
    that by themselves; they are the more off the older they are. Where a place
    has its own record, `air_ratio` is what its nights made of the assumed error.

    Shape: members first, rows last.
    """
    at_s = (rows.from_s + rows.until_s) / 2
    seen_from_s = at_s if kept.members_n == 1 else np.full_like(at_s, as_of_s)
    growth = _growth_ratio(seen_from_s - kept.issued_s, figures)

    def off(name: str, value: Value) -> Row:
        key = f"{kept.yard}\x1f{kept.source}\x1f{name}"
        return value.value * growth * _normals(key, at_s, members_n, figures)

    told = {name: _dealt(quantity(rows, name), members_n) for name in QUANTITIES}
    told_c = told["air_temperature_c"]
    air_c = told_c + air_ratio * off("air", figures.air_temperature_k)
    drier = saturation_vapour_pressure_kpa(told_c) / saturation_vapour_pressure_kpa(
        air_c
    )
    damper = drier * np.exp(off("vapour", figures.vapour_ln))
    windier = np.exp(off("wind", figures.wind_ln))
    wetter = np.exp(off("rain", figures.rain_ln))
    brighter = np.exp(off("sun", figures.shortwave_ln))
    return replace(
        rows,
        air_temperature_c=air_c,
        relative_humidity_frac=np.minimum(told["relative_humidity_frac"] * damper, 1),
        wind_speed_2m_m_s=told["wind_speed_2m_m_s"] * windier,
        rain_mm=told["rain_mm"] * wetter,
        shortwave_w_m2=told["shortwave_w_m2"] * brighter,
    )


def _dealt(cells: Row, members_n: int) -> Row:
    """Return one member's course for each of ours, in turn."""
    told = np.atleast_2d(cells)
    return told[np.arange(members_n) % told.shape[0]]


def _growth_ratio(aged_s: Row, figures: ForecastFigures) -> Row:
    doubled = np.maximum(aged_s, 0) / (figures.doubling_d.value * DAY_S)
    return np.minimum(1 + doubled, figures.most_ratio.value)


def _normals(key: str, at_s: Row, members_n: int, figures: ForecastFigures) -> Row:
    """Return standard normals that keep a part of themselves from day to day.

    Between the middles of two days one glides into the other.
    """
    lasting_frac = figures.lasting_frac.value
    days = at_s / DAY_S - 0.5
    first = np.floor(days).astype(int)
    span = range(int(first.min()), int(first.max()) + 2)
    by_day = np.stack([_even_normals(f"{key}\x1f{day}", members_n) for day in span])
    share = days - first
    today, tomorrow = by_day[first - span.start], by_day[first - span.start + 1]
    gliding = (1 - share)[:, None] * today + share[:, None] * tomorrow
    gliding /= np.hypot(1 - share, share)[:, None]
    lasting = _even_normals(key, members_n)
    mixed = np.sqrt(lasting_frac) * lasting + np.sqrt(1 - lasting_frac) * gliding
    return mixed.T


def _even_normals(key: str, members_n: int) -> Row:
    """Return one standard normal a member, evenly spread and shuffled by key."""
    normal = NormalDist()
    middles = [normal.inv_cdf((n + 0.5) / members_n) for n in range(members_n)]
    digest = sha256(key.encode()).digest()
    rng = np.random.default_rng(int.from_bytes(digest[:16], "big"))
    return rng.permutation(np.array(middles))

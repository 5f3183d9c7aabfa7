"""Sensors: readings that were posted or typed become rows, and so does a low.

A min-max thermometer tells how cold the night was, not when. The night keeps
its usual course and is moved to meet the reading.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import ClassVar, Final

import numpy as np

from arbuscula.kinds.forecast import Ask, Batch, Heard, Posted
from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.kinds.weather import Row, WeatherRows
from arbuscula.units import DAY_S, HOUR_S
from arbuscula.weather.bounds import between, whole_hours
from arbuscula.weather.packed import (
    QUANTITIES,
    observed_batch,
    rows_from,
)

HOLDS_S: Final = HOUR_S  # a reading stands for an hour at most
LOW, HIGH = "night_min_c", "day_max_c"
LEAST_RANGE_K: Final = 0.5  # of a usual day that is drawn out to a wider one


@dataclass(frozen=True, slots=True, kw_only=True)
class Sensors:
    """What one's own sensors posted."""

    readings: tuple[Posted, ...]

    key: ClassVar[str] = "sensors"
    attribution: ClassVar[str] = ""
    terms: ClassVar[Said] = Said("weather.terms_own", {"source": "sensors"})

    def hear(self, ask: Ask) -> Heard:
        """Return the readings of the time that is asked about, as rows."""
        inside = [p for p in self.readings if ask.from_s <= p.at_s < ask.until_s]
        told = [p for p in inside if p.reading.quantity in QUANTITIES]
        if not told:
            return Heard(batches=())
        return Heard(batches=(_batch(self.key, rows_of_readings(told), ask),))


@dataclass(frozen=True, slots=True, kw_only=True)
class Thermometer:
    """A min-max thermometer read by hand, and the weather there usually was."""

    readings: tuple[Posted, ...]  # of night_min_c and day_max_c
    usual: WeatherRows

    key: ClassVar[str] = "thermometer"
    attribution: ClassVar[str] = ""
    terms: ClassVar[Said] = Said("weather.terms_own", {"source": "thermometer"})

    def hear(self, ask: Ask) -> Heard:
        """Return the temperature of the days whose low or high was read."""
        inside = [
            p
            for p in self.readings
            if p.reading.quantity in (LOW, HIGH) and ask.from_s <= p.at_s <= ask.until_s
        ]
        rows = rows_of_extremes(inside, self.usual)
        if not rows.from_s.size:
            return Heard(batches=())
        return Heard(batches=(_batch(self.key, rows, ask),))


def _batch(key: str, rows: WeatherRows, ask: Ask) -> Batch:
    return observed_batch(rows, yard=ask.yard, source=key, now_s=ask.now_s)


def rows_of_readings(readings: Sequence[Posted]) -> WeatherRows:
    """Return rows from reading to reading; each holds an hour at most."""
    at_s = np.unique([posted.at_s for posted in readings])
    until_s = np.append(at_s[1:], at_s[-1] + HOLDS_S)
    cells = np.full((len(QUANTITIES), at_s.size), np.nan)
    for posted in readings:
        row = np.searchsorted(at_s, posted.at_s)
        cells[QUANTITIES.index(posted.reading.quantity), row] = posted.reading.value
    return rows_from([at_s, np.minimum(until_s, at_s + HOLDS_S), *cells])


def rows_of_extremes(readings: Sequence[Posted], usual: WeatherRows) -> WeatherRows:
    """Return the usual temperature by the hour, moved to meet lows and highs read.

    A reading is of the day before it, or of the time since the one before.
    """
    bounds_s = _bounds_s(usual)
    usual_c = between(
        np.atleast_2d(usual.air_temperature_c).mean(axis=0),
        from_s=usual.from_s,
        until_s=usual.until_s,
        bounds_s=bounds_s,
        name="air_temperature_c",
    )
    air_c = np.full_like(usual_c, np.nan)
    before_s = -np.inf
    for at_s in sorted({posted.at_s for posted in readings}):
        since_s = max(before_s, at_s - DAY_S)
        hours = (bounds_s[:-1] >= since_s) & (bounds_s[1:] <= at_s)
        read_c = {
            p.reading.quantity: p.reading.value for p in readings if p.at_s == at_s
        }
        if hours.any():
            air_c[hours] = _moved(usual_c[hours], read_c.get(LOW), read_c.get(HIGH))
        before_s = at_s
    told = np.isfinite(air_c)
    cells = np.full((len(QUANTITIES), int(told.sum())), np.nan)
    cells[QUANTITIES.index("air_temperature_c")] = air_c[told]
    return rows_from([bounds_s[:-1][told], bounds_s[1:][told], *cells])


def _bounds_s(usual: WeatherRows) -> Row:
    if not usual.from_s.size:
        return np.zeros(1)
    return whole_hours(float(usual.from_s[0]), float(usual.until_s[-1]))


def _moved(usual_c: Row, low_c: float | None, high_c: float | None) -> Row:
    """Return a course that has this low and this high, as far as they are known."""
    usual_low_c, usual_high_c = float(usual_c.min()), float(usual_c.max())
    if high_c is None:
        return usual_c + (usual_low_c if low_c is None else low_c) - usual_low_c
    if low_c is None:
        return usual_c + high_c - usual_high_c
    if low_c > high_c:
        figures: dict[str, Figure] = {"low_c": low_c, "high_c": high_c}
        raise ArbusculaError(Said("weather.low_above_high", figures))
    range_k = max(usual_high_c - usual_low_c, LEAST_RANGE_K)
    return low_c + (usual_c - usual_low_c) * (high_c - low_c) / range_k

"""Plausible: what cannot be is not let in, and a little of it is told.

One odd reading among many is left out and told. Where they are many, the units,
the time zone or a clock are wrong, and all that was told is refused.
"""

from collections.abc import Iterator
from dataclasses import replace
from typing import Final

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.forecast import Batch, WeatherSort
from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.kinds.weather import Row, Spot, WeatherRows
from arbuscula.science.sun import sun_position
from arbuscula.strict.quote import plain_number
from arbuscula.units import HOUR_S
from arbuscula.weather.packed import QUANTITIES, quantity
from arbuscula.weather.table import COLUMNS, LIGHT

RANGES: Final = {c.name: (c.low, c.high) for c in (*COLUMNS, *LIGHT)}
FEW_FRAC: Final = 0.05  # practice, no source
ROUNDING: Final = 1e-6  # of a 32-bit float
CLOCK_S: Final = 900.0  # how far two clocks may differ
NIGHT_DEG: Final = -3.0  # the sun's height under which a meter sees nothing
NIGHT_W_M2: Final = 15.0
JUDGED_N: Final = 12  # rows from which a whole reply may be judged
BRIGHT_DEG: Final = 20.0
DARKEST_W_M2: Final = 5.0  # no cloud takes so much of every high sun
DRIEST_FRAC: Final = 0.03  # the dampest hour of a desert's day is damper

Bad = NDArray[np.bool_]


def impossible(batch: Batch) -> tuple[Said, ...]:
    """Return why a batch cannot be stored; nothing, if it can."""
    rows, about = batch.rows, _about(batch)
    if not rows.from_s.size:
        return (Said("weather.nothing_told", about),)
    times = [*rows.from_s, *rows.until_s, batch.issued_s, batch.read_s]
    if not np.isfinite(times).all() or not _in_order(rows):
        return (Said("weather.times", about),)
    faults = [*_ahead_of_us(batch)]
    for name in QUANTITIES:
        cells = quantity(rows, name)
        if (bad := _outside(name, cells)).any():
            faults.append(_said("weather.outside", batch, name, cells, bad))
    if batch.sort is WeatherSort.OBSERVED and _has_members(rows):
        faults.append(Said("weather.members_observed", about))
    return tuple(faults)


def plausible(batch: Batch, spot: Spot) -> tuple[Batch, tuple[Said, ...]]:
    """Return a batch without what cannot be, and a note on each part left out.

    Errors: many odd readings, light by night, a wrong clock.
    """
    if not batch.rows.from_s.size or not _in_order(batch.rows):
        raise ArbusculaError(*impossible(batch))
    night = _is_night(batch.rows, spot)
    told: dict[str, Row] = {}
    notes: list[Said] = []
    faults = [*_odd_on_the_whole(batch, spot)]
    for name in QUANTITIES:
        cells = quantity(batch.rows, name)
        for message_id, bad, judged in _odd(name, cells, night):
            if bad.sum() > _few_n(judged & ~np.isnan(cells)):
                faults.append(_said(message_id, batch, name, cells, bad))
            elif bad.any():
                notes.append(_said("weather.left_out", batch, name, cells, bad))
            cells = np.asarray(np.where(bad, np.nan, cells))
        told[name] = _floored(name, cells)
    batch = replace(batch, rows=replace(batch.rows, **told))
    faults = faults or [*impossible(batch)]
    if faults:
        raise ArbusculaError(*faults)
    return batch, tuple(notes)


def _odd(name: str, cells: Row, night: Bad) -> Iterator[tuple[str, Bad, Bad]]:
    """Yield what may be odd, where it is, and among which readings it counts."""
    yield "weather.outside", _outside(name, cells), np.ones_like(night)
    if name == "shortwave_w_m2":
        yield "weather.sun_at_night", night & (cells > NIGHT_W_M2), night


def _few_n(judged: Bad) -> float:
    """Return how many odd ones are few: always one, where there are some to judge."""
    count = int(judged.sum())
    return max(FEW_FRAC * count, 1.0 if count >= JUDGED_N else 0.0)


def _floored(name: str, cells: Row) -> Row:
    """Return cells without what is a sensor's own offset, or a float's."""
    low, high = RANGES[name]
    return np.clip(cells, max(low, 0.0) if name == "shortwave_w_m2" else low, high)


def _has_members(rows: WeatherRows) -> bool:
    return any(quantity(rows, name).ndim > 1 for name in QUANTITIES)


def _in_order(rows: WeatherRows) -> bool:
    whole = rows.until_s > rows.from_s
    apart = rows.from_s[1:] >= rows.until_s[:-1]
    return bool(whole.all() and apart.all())


def _outside(name: str, cells: Row) -> Bad:
    low, high = RANGES[name]
    return (cells < low - ROUNDING) | (cells > high + ROUNDING)


def _is_night(rows: WeatherRows, spot: Spot) -> Bad:
    """Return the rows through which the sun stays well below the horizon."""
    bounds_s = [rows.from_s, (rows.from_s + rows.until_s) / 2, rows.until_s]
    return np.all([_sun_deg(at_s, spot) < NIGHT_DEG for at_s in bounds_s], axis=0)


def _sun_deg(at_s: Row, spot: Spot) -> Row:
    sun = sun_position(
        unix_s=at_s, latitude_deg=spot.latitude_deg, longitude_deg=spot.longitude_deg
    )
    return np.asarray(sun.elevation_deg)


def _odd_on_the_whole(batch: Batch, spot: Spot) -> Iterator[Said]:
    """Tell what no single reading gives away: all of it is far too small."""
    rows, about = batch.rows, _about(batch)
    middle_s = (rows.from_s + rows.until_s) / 2
    bright = _sun_deg(middle_s, spot) > BRIGHT_DEG
    lit = rows.shortwave_w_m2[..., bright]
    if _judged(lit) and np.nanmax(lit) < DARKEST_W_M2:
        yield Said("weather.too_dark", about)
    damp = rows.relative_humidity_frac
    if _judged(damp) and np.nanmax(damp) < DRIEST_FRAC:
        yield Said("weather.too_dry", about)


def _judged(cells: Row) -> bool:
    return bool(np.isfinite(cells).sum() >= JUDGED_N)


def _ahead_of_us(batch: Batch) -> Iterator[Said]:
    """Tell of times that have not come yet: one of two clocks is wrong."""
    latest_s = batch.read_s + CLOCK_S
    last_s = float(batch.rows.from_s[-1])
    if batch.issued_s > latest_s:
        ahead_h = (batch.issued_s - batch.read_s) / HOUR_S
        yield Said("weather.clock", {**_about(batch), "ahead_h": ahead_h})
    if batch.sort is WeatherSort.OBSERVED and last_s > latest_s:
        ahead_h = (last_s - batch.read_s) / HOUR_S
        yield Said("weather.observed_ahead", {**_about(batch), "ahead_h": ahead_h})


def _about(batch: Batch) -> dict[str, Figure]:
    return {"source": batch.source}


def _said(message_id: str, batch: Batch, name: str, cells: Row, bad: Bad) -> Said:
    """Tell the oddest of the odd readings, and how many there are."""
    low, high = RANGES[name]
    middle = (low + high) / 2
    odd = cells[np.broadcast_to(bad, cells.shape)]
    figures = {
        "quantity": name,
        "found": plain_number(float(odd[np.argmax(np.abs(odd - middle))])),
        "allowed": f"{plain_number(low)} to {plain_number(high)}",
        "readings": f"{odd.size}",
    }
    return Said(message_id, {**_about(batch), **figures})

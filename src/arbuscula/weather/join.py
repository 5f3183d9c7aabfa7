"""Join: hours of many origins become one course a member, without a step.

What was observed stays as it is. A forecast, or the usual weather, starts from
what is known before it, and ends at what is known after it; how far it was off
there fades away.

Arrays have quantities first, then members, then hours.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.forecast import Fill, Kept, WeatherSort
from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.kinds.weather import Row, WeatherRows
from arbuscula.units import HOUR_S
from arbuscula.weather.bounds import between
from arbuscula.weather.packed import QUANTITIES, quantity, rows_from

LAST_KNOWN_N: Final = 48  # rows that the usual weather leads on from
USUAL: Final = -1  # the origin of what nobody told

JOINED: Final = {  # the quantities that do not jump, and where they end
    "air_temperature_c": (-np.inf, np.inf),
    "relative_humidity_frac": (0.0, 1.0),
    "wind_speed_2m_m_s": (0.0, np.inf),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Origin:
    """What one source told, or its members will have told, of some hours."""

    kept: Kept  # the newest of what is used
    used: tuple[Kept, ...]
    first_n: int  # the hour at which its cells begin
    cells: Row


@dataclass(frozen=True, slots=True, kw_only=True)
class Sheet:
    """The hours to be told, and for each quantity whose word is taken."""

    bounds_s: Row
    origins: list[Origin]
    chosen: NDArray[np.intp]  # quantities first, then hours


@dataclass(frozen=True, slots=True, kw_only=True)
class _Run:
    """Hours in a row of one quantity that one origin has to tell."""

    first_n: int
    end_n: int
    name: str
    origin_n: int


def joined(
    sheet: Sheet, *, fill: Fill, start_n: int, members_n: int, joining_h: float
) -> Row:
    """Return all hours from the start on; gaps are left before it only."""
    hours_n = sheet.bounds_s.size - 1
    cells = np.full((len(QUANTITIES), members_n, hours_n), np.nan)
    runs = sorted(_runs(sheet, start_n), key=lambda run: (run.first_n, run.name))
    for run in [run for run in runs if _is_seen(sheet, run.origin_n)]:
        cells[_place(run)] = _told(sheet, run)[:, 1:-1]
    usual: dict[tuple[int, int], Row] = {}
    for run in [run for run in runs if not _is_seen(sheet, run.origin_n)]:
        told = _told(sheet, run)
        if run.origin_n == USUAL:
            span = (run.first_n, run.end_n)
            if span not in usual:
                usual[span] = _usual(sheet, cells, span, start_n, fill)
            told = usual[span][QUANTITIES.index(run.name)]
        cells[_place(run)] = _led_on(sheet, cells, run, told, joining_h)
    return cells


def _place(run: _Run) -> tuple[int, slice, slice]:
    return QUANTITIES.index(run.name), slice(None), slice(run.first_n, run.end_n)


def _is_seen(sheet: Sheet, origin_n: int) -> bool:
    if origin_n == USUAL:
        return False
    return sheet.origins[origin_n].kept.sort is WeatherSort.OBSERVED


def _runs(sheet: Sheet, start_n: int) -> Iterator[_Run]:
    for name, chosen in zip(QUANTITIES, sheet.chosen, strict=True):
        steps = np.flatnonzero(np.diff(chosen[start_n:])) + start_n + 1
        ends = [start_n, *steps.tolist(), chosen.size]
        for first_n, end_n in pairwise(ends):
            origin_n = int(chosen[first_n])
            yield _Run(first_n=first_n, end_n=end_n, name=name, origin_n=origin_n)


def _told(sheet: Sheet, run: _Run) -> Row:
    """Return what the origin told of the run and of an hour on either side."""
    if run.origin_n == USUAL:
        return np.empty((1, 0))
    origin = sheet.origins[run.origin_n]
    told = origin.cells[QUANTITIES.index(run.name)]
    hours = np.arange(run.first_n - 1, run.end_n + 1) - origin.first_n
    inside = (hours >= 0) & (hours < told.shape[-1])
    return np.where(inside, told[:, np.where(inside, hours, 0)], np.nan)


def _usual(
    sheet: Sheet, cells: Row, span: tuple[int, int], start_n: int, fill: Fill
) -> Row:
    """Return the usual weather of a run and of the known hours beside it."""
    first_n, end_n = span
    bounds_s = sheet.bounds_s
    before_n, after_n = max(first_n - 1, start_n), min(end_n + 1, bounds_s.size - 1)
    known = slice(max(first_n - LAST_KNOWN_N, start_n), first_n)
    rows = fill(
        float(bounds_s[before_n] // HOUR_S * HOUR_S),
        float(-(-bounds_s[after_n] // HOUR_S) * HOUR_S),
        _rows_of(cells, bounds_s, known) if known.stop > known.start else None,
        cells.shape[1],
    )
    told = np.full((*cells.shape[:2], end_n - first_n + 2), np.nan)
    inner = slice(before_n - first_n + 1, after_n - first_n + 1)
    told[..., inner] = cells_between(rows, bounds_s[before_n : after_n + 1])
    if np.isnan(told[..., 1:-1]).any():
        raise ArbusculaError(Said("weather.unfilled", {}))
    return told


def _rows_of(cells: Row, bounds_s: Row, hours: slice) -> WeatherRows:
    times = (bounds_s[:-1][hours], bounds_s[1:][hours])
    return rows_from([*times, *cells[..., hours]])


def cells_between(rows: WeatherRows, bounds_s: Row) -> Row:
    """Return the rows between bounds: quantities, members, hours."""
    told = [
        between(
            np.atleast_2d(quantity(rows, name)),
            from_s=rows.from_s,
            until_s=rows.until_s,
            bounds_s=bounds_s,
            name=name,
        )
        for name in QUANTITIES
    ]
    return np.stack(np.broadcast_arrays(*told))


def _led_on(sheet: Sheet, cells: Row, run: _Run, told: Row, joining_h: float) -> Row:
    """Return the run's hours, moved to meet what is known on either side."""
    if run.name not in JOINED:
        return told[:, 1:-1]
    known = cells[QUANTITIES.index(run.name)]
    middle_h = (sheet.bounds_s[1:] + sheet.bounds_s[:-1]) / (2 * HOUR_S)
    hours_h = middle_h[run.first_n : run.end_n]
    before, before_h = _off(known, told[:, :2], run.first_n - 1, hours_h[0], middle_h)
    after, after_h = _off(known, told[:, :-3:-1], run.end_n, hours_h[-1], middle_h)
    near = np.exp(-(hours_h - before_h) / joining_h)
    far = np.exp(-(after_h - hours_h) / joining_h)
    across = np.exp(-(after_h - before_h) / joining_h)
    at_start = (before - after * across) / (1 - across**2)
    at_end = (after - before * across) / (1 - across**2)
    off = at_start[:, None] * near + at_end[:, None] * far
    return np.clip(told[:, 1:-1] + off, *JOINED[run.name])


def _off(
    known: Row, pair: Row, at_n: int, own_h: float, middle_h: Row
) -> tuple[Row, float]:
    """Return how far the origin is off at a known hour, and when that was.

    Of the pair, the first is what it tells of that very hour. Where it tells
    nothing of it, its own nearest hour stands for it.
    """
    side = 1 if at_n > 0 and middle_h[at_n - 1] >= own_h else -1
    if not 0 <= at_n < middle_h.size or np.isnan(known[:, at_n]).any():
        return np.zeros(known.shape[0]), side * np.inf
    if np.isfinite(pair[:, 0]).all():
        return known[:, at_n] - pair[:, 0], float(middle_h[at_n])
    at_h = own_h if side < 0 else float(middle_h[at_n])
    return known[:, at_n] - pair[:, 1], at_h

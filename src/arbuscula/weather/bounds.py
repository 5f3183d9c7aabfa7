"""Bounds: rows of any step become rows between given bounds."""

from typing import Final

import numpy as np

from arbuscula.kinds.weather import Row
from arbuscula.units import HOUR_S

LEAST_FRAC: Final = 0.5  # of a row that must be known, or it is a gap
ROUNDING_S: Final = 1e-3
SUMS: Final = ("rain_mm",)


def between(cells: Row, *, from_s: Row, until_s: Row, bounds_s: Row, name: str) -> Row:
    """Return a quantity between bounds: its mean, or what fell.

    Where half of the time or more is known the rest is taken to be alike.

    Shape: rows last, members before them; the rows are in order of time.
    """
    if not from_s.size:
        return np.full((*cells.shape[:-1], bounds_s.size - 1), np.nan)
    lasts_s = until_s - from_s
    known = np.isfinite(cells)
    rate = np.where(known, cells, 0.0) / (lasts_s if name in SUMS else 1.0)
    told = _summed(rate * lasts_s, from_s, until_s, bounds_s)
    known_s = _summed(known * lasts_s, from_s, until_s, bounds_s)
    wide_s = np.diff(bounds_s)
    enough = known_s > np.maximum(LEAST_FRAC * wide_s, ROUNDING_S) - ROUNDING_S
    mean = told / np.where(enough, known_s, np.nan)
    return mean * wide_s if name in SUMS else mean


def _summed(parts: Row, from_s: Row, until_s: Row, bounds_s: Row) -> Row:
    """Return how much of these parts falls between bounds, spread evenly in each."""
    before = np.concatenate(
        [np.zeros((*parts.shape[:-1], 1)), np.cumsum(parts, axis=-1)], axis=-1
    )
    row = np.maximum(np.searchsorted(from_s, bounds_s, side="right") - 1, 0)
    share = np.clip((bounds_s - from_s[row]) / (until_s - from_s)[row], 0, 1)
    return np.diff(before[..., row] + share * parts[..., row], axis=-1)


def whole_hours(from_s: float, until_s: float) -> Row:
    """Return bounds from one time to another, and every whole hour between."""
    first_h, last_h = np.floor(from_s / HOUR_S) + 1, np.ceil(until_s / HOUR_S)
    hours_s = np.arange(first_h, last_h) * HOUR_S
    return np.concatenate([[from_s], hours_s, [until_s]])

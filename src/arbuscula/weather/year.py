"""Year: twelve months, 365 days, and the smooth curve between them."""

from datetime import date, timedelta
from functools import cache
from typing import Final

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.world import Curve

MONTH_DAYS_N: Final = np.array([31, 28, 31, 30, 31, 30, 31, 31, 30, 31, 30, 31])
USUAL_MONTH_DAYS_N: Final = MONTH_DAYS_N + np.where(np.arange(12) == 1, 0.25, 0)
DAYS_N: Final = 365
DAYS_OF_YEAR_N: Final = np.arange(1.0, DAYS_N + 1)
MONTH_OF_DAY: Final = np.repeat(np.arange(12), MONTH_DAYS_N)

_LEAP_DAY_N: Final = 59  # counted from nought: 29 February
_MEANS: Final = np.eye(12)[MONTH_OF_DAY] / MONTH_DAYS_N  # (365, 12)


def month_means(days: Curve) -> Curve:
    """Return the twelve means of a curve of days; the year is the last axis."""
    return days @ _MEANS


def smooth_year(months: Curve) -> Curve:
    """Return the smoothest round year of days that has these monthly means."""
    return months @ _smoother()


def bounded_year(months: Curve, low: float, high: float) -> Curve:
    """Return a smooth year that keeps within bounds, and nearly its means."""
    wanted = np.clip(months, low, high)
    days = np.clip(smooth_year(wanted), low, high)
    for _ in range(3):
        stretch = wanted / np.maximum(month_means(days), 1e-9)
        days = np.clip(days * stretch[..., MONTH_OF_DAY], low, high)
    return days


def days_of_year(first: date, days_n: int) -> NDArray[np.int64]:
    """Return the place of each day in a year of 365, counted from nought.

    The 29th of February takes the place of the 28th.
    """
    days = np.datetime64(first, "D") + np.arange(days_n)
    years = days.astype("datetime64[Y]")
    place = (days - years).astype(np.int64)
    length_d = ((years + 1).astype("datetime64[D]") - years).astype(np.int64)
    return place - ((length_d > DAYS_N) & (place >= _LEAP_DAY_N))


def day_before(first: date) -> date:
    """Return the day before a date."""
    return first - timedelta(days=1)


@cache
def _smoother() -> Curve:
    """Return what turns months into days: least bending, exact means."""
    turn = 2 * np.pi * np.arange(1, DAYS_N // 2 + 1) / DAYS_N
    ease = np.append(0, (2 - 2 * np.cos(turn)) ** -2.0)  # one over the bending
    waves = np.fft.rfft(_MEANS, axis=0) * ease[:, None]
    bent = np.fft.irfft(waves, DAYS_N, axis=0)
    ones = np.ones((12, 1))
    whole = np.block([[_MEANS.T @ bent, ones], [ones.T, np.zeros((1, 1))]])
    solved = np.linalg.solve(whole, np.eye(13, 12))
    return (bent @ solved[:12] + solved[12]).T

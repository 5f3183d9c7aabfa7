"""Season: when it is warm and bright enough to grow, and to stand outside.

A year is round: its first day follows its last. Places in it are counted from
nought, but where a standard counts from one.
"""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.lib.stride_tricks import sliding_window_view
from numpy.typing import NDArray

from arbuscula.kinds.values import Num
from arbuscula.kinds.world import Curve

WEEKS_N: Final = 52  # the last one holds eight days
WEEK_D: Final = 7
COMMON_YEAR_D: Final = 365
THERMAL_C: Final = 5.0
THERMAL_RUN_D: Final = 6
FIRST_OF_JULY_N: Final = 182  # of a year from January, without a leap day
FIRST_OF_JANUARY_N: Final = 185  # of a year from July

Which = NDArray[np.bool_]
Whole = NDArray[np.int64]


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """A stretch of a round year; one that lasts nil is none."""

    first_n: Whole
    lasts_n: Whole


@dataclass(frozen=True, slots=True, kw_only=True)
class ThermalSeason:
    """The season of a thermometer alone; days are counted from one."""

    start_n: Curve  # the first day of the first warm run; NaN: none comes
    end_n: Curve  # the first day of the cold run, or the day after the last
    length_d: Curve  # without a start nil
    has_end: Which  # False: no cold run comes, the year's end stands in


def centred_mean_c(air_temperature_c: Curve, *, window_d: int) -> Curve:
    """Return the mean of the days around each day.

    Half a window of days is lost at either end: give as many more.

    Shape: days are the last axis; the answer is window_d - 1 shorter.
    Errors: none raised; after a gap (NaN) all is a gap.
    Holds for: an odd number of days, so that a day has a middle to be in.
    Source: arbuscula; the window is a choice.
    """
    sums = np.cumsum(air_temperature_c, axis=-1)
    sums = np.concatenate([np.zeros_like(sums[..., :1]), sums], axis=-1)
    return (sums[..., window_d:] - sums[..., :-window_d]) / window_d


def is_growing(
    *, mean_c: Num, base_c: Num, light_mol_m2_d: Num, enough_mol_m2_d: Num
) -> Which:
    """Return whether it grows: warm enough for three weeks, and bright enough.

    Shape: arguments broadcast together.
    Errors: none raised; at a gap (NaN) it does not grow.
    Holds for: air and light where the tree stands, the mean being that of the
      days around; a flush that somebody sees counts more.
    Source: arbuscula; no trial of a potted fig is behind it.
    """
    warm, bright = mean_c >= base_c, light_mol_m2_d >= enough_mol_m2_d
    return np.logical_and(warm, bright)


def weekly_cold_frac(night_min_c: Curve, *, floor_c: float) -> Curve:
    """Return how often a week has at least one night below the floor.

    Shape: members first, 365 nights last; weeks in their place.
    Errors: none raised; a gap (NaN) counts as no cold night.
    Holds for: weeks of seven days from the year's first, the last of eight.
    Source: arbuscula; counted.
    """
    cold: Which = np.asarray(night_min_c < floor_c)
    sevens = cold[..., : WEEKS_N * WEEK_D]
    weeks = np.asarray(sevens.reshape(*cold.shape[:-1], WEEKS_N, WEEK_D).any(axis=-1))
    weeks[..., -1] |= cold[..., WEEKS_N * WEEK_D :].any(axis=-1)
    return np.asarray(weeks.mean(axis=0))


def last_cold_d(night_min_c: Curve, *, floor_c: float, before_n: Whole) -> Curve:
    """Return how many days before a day the last night below the floor comes.

    Shape: nights are the last axis; one day for each place.
    Errors: none raised; without such a night in half a year, infinity.
    Holds for: round years; nil is a night below the floor on the day itself.
    Source: arbuscula; counted.
    """
    size = night_min_c.shape[-1]
    cold = _turned(night_min_c < floor_c, before_n, -np.arange(size // 2))
    return np.where(cold.any(axis=-1), cold.argmax(axis=-1), np.inf)


def stretch_around(inside: Which, *, middle_n: Whole) -> Stretch:
    """Return the unbroken stretch of a round year around one place in it.

    Shape: the year is the last axis; one middle for each place.
    Errors: none raised; a middle that is not inside itself has none around it.
    Holds for: days, weeks or months.
    Source: geometry.
    """
    size = inside.shape[-1]
    after = _leading_n(_turned(inside, middle_n, np.arange(size)))
    before = _leading_n(_turned(inside, middle_n, -np.arange(size))) - 1
    before = np.where(after > 0, before, 0)
    return Stretch(
        first_n=(middle_n - before) % size,
        lasts_n=np.minimum(before + after, size),
    )


def _turned(year: Which, middle_n: Whole, steps: Whole) -> Which:
    """Return a round year as seen from one place, so many steps on or back."""
    places = (np.asarray(middle_n)[..., None] + steps) % year.shape[-1]
    shape = (*year.shape[:-1], steps.size)
    return np.take_along_axis(year, np.broadcast_to(places, shape), axis=-1)


def _leading_n(inside: Which) -> Whole:
    """Return how many stand there before the first that does not."""
    broken = ~inside
    return np.where(broken.any(axis=-1), broken.argmax(axis=-1), inside.shape[-1])


def turning_day_n(*, year_d: int, is_southern: bool) -> int:
    """Return the day after which a thermal season may end.

    It is the 1st of July; of a southern year, which begins in July, the 1st of
    January.

    Errors: none raised.
    Holds for: years of 365 and 366 days, counted from one.
    Source: etccdi.
    """
    if is_southern:
        return FIRST_OF_JANUARY_N
    return FIRST_OF_JULY_N + year_d - COMMON_YEAR_D


def thermal_season(
    air_temperature_c: Curve, *, turning_n: Whole | int
) -> ThermalSeason:
    """Return the season between a run of warm days and a run of cold ones.

    It starts with the first six days above 5 degC and ends with the first six
    below, on or after the turning day. A day of exactly 5 breaks either run.

    Shape: one year's daily means along the last axis; one turning day for each
      place.
    Errors: none raised; a gap (NaN) breaks a run.
    Holds for: places with a cold time of the year.
    Source: etccdi.
    Departs: without a cold run the year's end stands in, and is told; a cold
      run before the start ends nothing.
    """
    warm, cold = (
        _runs(air_temperature_c > THERMAL_C),
        _runs(air_temperature_c < THERMAL_C),
    )
    starts, start = warm.any(axis=-1), warm.argmax(axis=-1)
    earliest = np.maximum(start, turning_n - 1)
    cold &= np.arange(cold.shape[-1]) >= earliest[..., None]
    has_end = cold.any(axis=-1)
    end = np.where(has_end, cold.argmax(axis=-1), air_temperature_c.shape[-1])
    return ThermalSeason(
        start_n=np.where(starts, start + 1, np.nan),
        end_n=np.where(starts, end + 1, np.nan),
        length_d=np.where(starts, end - start, 0),
        has_end=np.asarray(has_end & starts),
    )


def _runs(days: Which) -> Which:
    """Return where a run of six begins."""
    return np.array(sliding_window_view(days, THERMAL_RUN_D, axis=-1).all(axis=-1))

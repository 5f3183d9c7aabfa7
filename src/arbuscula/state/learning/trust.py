"""Trust: how far a pot's own last days bear out what was foreseen of them.

The forecast is made again on the eve of each of the last days, knowing what was
known then, and held against what the scale told next. Two things come of it:
which share of a foreseen change came true, and how much wider than the members'
band the truth lay. A few days tell little: both begin with some days' worth of
belief, no day counts for more than one, and one on which hardly a change was
foreseen counts for little. A pot that is short of water may lose what its soil
gives, whatever the leaves ask: there the forecast is a mixture of the model and
the loss of yesterday (bates1969). A wet pot gives what is asked.
"""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final

import numpy as np

from arbuscula.kinds.library import TrustFigures
from arbuscula.kinds.weather import Row
from arbuscula.state.ensemble import ONE_IN_TEN_SD, TENTHS, Grid

TRIED_N: Final = 5  # days; what they began with is forgotten
WIDEST_RATIO: Final = 3.0  # of one day
FAR_OFF_LN: Final = 1.5  # a member further off is moved no further
LEAST_BAND_LN: Final = 0.02
LEAST_LOST_ML: Final = 0.01
TURNS: Final = (0.25, 4.0)  # in one round


@dataclass(frozen=True, slots=True, kw_only=True)
class Tried:
    """One of the last days: the loss before it, the one foreseen, the one that came."""

    age_d: float
    before_ml: float
    foreseen_ml: Row  # by each member
    came_ml: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Trust:
    """What the last days leave to believe."""

    comes_frac: float  # of a foreseen change against yesterday
    wider_ratio: float  # how far members are to lie apart, over how far they do
    fades_frac: float  # of what yesterday says, is left a day later


def trust_of(tried: Sequence[Tried], figures: TrustFigures) -> Trust:
    """Return what these days leave to believe; without any, what one begins with."""
    before_ln = np.log([day.before_ml for day in tried])
    came_ln = np.log([day.came_ml for day in tried]) - before_ln
    tenths_ln = np.array([_tenths_ln(day.foreseen_ml) for day in tried]).reshape(-1, 3)
    low_ln, middle_ln, high_ln = tenths_ln.T
    foreseen_ln = middle_ln - before_ln
    ages_d = np.array([day.age_d for day in tried])
    counts = 2 ** (-ages_d / figures.half_life_d.value)
    comes_frac = _comes_frac(foreseen_ln, came_ln, counts, figures)
    band_ln = np.maximum((high_ln - low_ln) / 2 / ONE_IN_TEN_SD, LEAST_BAND_LN)
    off = (came_ln - comes_frac * foreseen_ln) / band_ln
    return Trust(
        comes_frac=comes_frac,
        wider_ratio=_wider_ratio(off, counts, figures),
        fades_frac=figures.fades_frac.value,
    )


def _comes_frac(
    foreseen_ln: Row, came_ln: Row, counts: Row, figures: TrustFigures
) -> float:
    """Return the slope of what came over what was foreseen, through no change."""
    begun, begun_d = figures.comes_frac.value, figures.comes_d.value
    tells = counts / (foreseen_ln**2 + figures.hardly_ln.value**2)
    share = (begun_d * begun + np.sum(tells * foreseen_ln * came_ln)) / (
        begun_d + np.sum(tells * foreseen_ln**2)
    )
    return float(np.clip(share, 0, 1))


def _wider_ratio(off: Row, counts: Row, figures: TrustFigures) -> float:
    """Return the root mean square of how far off the days were, in their bands."""
    begun, begun_d = figures.wider_ratio.value, figures.wider_d.value
    seen = np.minimum(np.abs(off), WIDEST_RATIO)
    wider = (begun_d * begun**2 + np.sum(counts * seen**2)) / (begun_d + counts.sum())
    return float(np.sqrt(wider))


def _tenths_ln(lost_ml: Row) -> Row:
    return np.asarray(np.log(np.maximum(np.quantile(lost_ml, TENTHS), LEAST_LOST_ML)))


def trusted_ml(lost_ml: Grid, yesterday_ml: float | None, trust: Trust) -> Grid:
    """Return what each member is to lose, day by day.

    The middle is drawn towards the loss of yesterday, where there is one, from day
    to day less; about it the members are spread as far as the last days ask.
    """
    lost_ln = np.log(np.maximum(lost_ml, LEAST_LOST_ML))
    middle_ln = np.median(lost_ln, axis=0)
    off_ln = np.clip(lost_ln - middle_ln, -FAR_OFF_LN, FAR_OFF_LN)
    change_ln = 0.0 if yesterday_ml is None else middle_ln - np.log(yesterday_ml)
    held_back = (1 - trust.comes_frac) * trust.fades_frac ** np.arange(middle_ln.size)
    wider_ln = (trust.wider_ratio - 1) * off_ln
    return np.exp(lost_ln + wider_ln - held_back * change_ln)


def turn_ratio(wanted_ml: Grid, lost_ml: Grid) -> Grid:
    """Return how many times as much members are to ask for, to lose what is wanted.

    A dry soil gives less than is asked, so that once is not enough.
    """
    return np.clip(wanted_ml / np.maximum(lost_ml, LEAST_LOST_ML), *TURNS)

"""Scale: what weighings alone tell, before any model is asked."""

from typing import Final

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.case import Waterings, Weights
from arbuscula.kinds.weather import Row
from arbuscula.units import HOUR_S

LEAST_RISE_G: Final = 10.0
NOISES_OF_A_RISE_N: Final = 4
USUAL_NOISE_G: Final = 2.0  # of a kitchen scale, until the weights tell
ENOUGH_WEIGHTS_N: Final = 8
GAUSS_FROM_MEDIAN: Final = 1.4826
LEAST_NOISE_G: Final = 0.1
NEAR_S: Final = 3 * HOUR_S


def noise_g(weights: Weights) -> float:
    """Return the scale's standard error, from how unevenly the mass falls.

    Of three weighings close together the middle one lies off the line through
    its neighbours; the median of that leaves waterings out. Too few such
    weighings: that of a kitchen scale.
    """
    at_s, mass_g = weights.at_s, weights.mass_g
    whole_s = at_s[2:] - at_s[:-2]
    near = whole_s <= NEAR_S
    if np.count_nonzero(near) < ENOUGH_WEIGHTS_N:
        return USUAL_NOISE_G
    share = ((at_s[1:-1] - at_s[:-2]) / whole_s)[near]
    on_line_g = mass_g[:-2][near] * (1 - share) + mass_g[2:][near] * share
    off_g = np.abs(mass_g[1:-1][near] - on_line_g)
    widened = np.sqrt(1 + share**2 + (1 - share) ** 2)
    return max(GAUSS_FROM_MEDIAN * float(np.median(off_g / widened)), LEAST_NOISE_G)


def rises_of(weights: Weights, caught_ml: Row) -> Waterings:
    """Return the waterings that a rise between two weighings gives away.

    Caught is the rain that can have fallen on the pot between the two. What
    was given is the rise and what the pot lost meanwhile, at the rate of the
    steps beside it.
    """
    rise_g = np.diff(weights.mass_g)
    least_g = max(LEAST_RISE_G, NOISES_OF_A_RISE_N * noise_g(weights))
    places = np.flatnonzero(rise_g - caught_ml > least_g)
    lost_ml = _losses_ml(weights, np.zeros_like(rise_g), unknown=places)
    return Waterings(
        at_s=weights.at_s[places], given_ml=rise_g[places] + lost_ml[places]
    )


def summed_losses_ml(weights: Weights, waterings: Waterings) -> Row:
    """Return what the pot has lost by each weighing, counted from the first.

    Lost is the fall of mass and the water given. Where a soak of unknown
    amount lies between two weighings, the loss runs on as beside it.
    """
    between = np.searchsorted(weights.at_s, waterings.at_s, side="right") - 1
    given_ml = np.zeros(weights.at_s.size - 1)
    inside = (between >= 0) & (between < given_ml.size)
    np.add.at(given_ml, between[inside], waterings.given_ml[inside])
    soaked = np.flatnonzero(np.isinf(given_ml))
    lost_ml = _losses_ml(weights, np.where(np.isinf(given_ml), 0, given_ml), soaked)
    return np.concatenate([[0.0], np.cumsum(lost_ml)])


def _losses_ml(weights: Weights, given_ml: Row, unknown: NDArray[np.int64]) -> Row:
    """Return each step's loss; unknown ones run on at the rate beside them."""
    lasts_s = np.diff(weights.at_s)
    lost_ml = given_ml - np.diff(weights.mass_g)
    known = np.setdiff1d(np.arange(lost_ml.size), unknown)
    if known.size and unknown.size:
        rate = lost_ml[known] / lasts_s[known]
        lost_ml[unknown] = np.interp(unknown, known, rate) * lasts_s[unknown]
    return np.where(
        np.isin(np.arange(lost_ml.size), known), lost_ml, np.maximum(lost_ml, 0)
    )


def lost_between_ml(
    weights: Weights, summed_ml: Row, from_s: float, until_s: float
) -> float | None:
    """Return the loss between two moments; None where no weighing spans them."""
    if from_s < weights.at_s[0] or until_s > weights.at_s[-1]:
        return None
    at_ends = np.interp([from_s, until_s], weights.at_s, summed_ml)
    return float(at_ends[1] - at_ends[0])

"""Roots: how far they fill a pot, by the growth that has gone by."""

from typing import Final

import numpy as np

from arbuscula.kinds.values import Num

POT_SIZE_EXP: Final = 0.516


def root_fill_frac(
    *, begun_frac: Num, growth_y: Num, fills_y: Num, filled_frac: float
) -> Num:
    """Return the share of the pot that roots take after so much growth.

    Growth is counted in years of it, so that a winter fills nothing.

    Shape: arguments broadcast together.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: one pot; it never falls, and ends at the whole.
    Source: growers; a pot is full in one to three years.
    Departs: a straight line from what was left in it.
    """
    grown = np.asarray(growth_y) / fills_y * filled_frac
    return np.clip(np.asarray(begun_frac) + grown, 0.0, 1.0)


def pot_growth_ratio(volume_ratio: Num) -> Num:
    """Return how much more a plant grows in a pot so much larger.

    Shape: like the ratio.
    Errors: none raised; nil gives nil.
    Holds for: a pot that limits growth, from half to four times the volume.
    Source: poorter2012; a power that gives 43 % more at twice the volume.
    """
    return np.asarray(volume_ratio) ** POT_SIZE_EXP


def shaved_frac(*, radius_cm: float, height_cm: float, shave_cm: float) -> float:
    """Return the share of a round ball that is lost at its sides and one end.

    Errors: none raised.
    Holds for: upright balls thicker than what is shaved.
    Source: geometry.
    """
    left = (1 - shave_cm / radius_cm) ** 2 * (1 - shave_cm / height_cm)
    return 1 - left

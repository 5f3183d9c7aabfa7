"""Vigour: whether a tree grows at all, out of a few measures with known error."""

from math import erf, sqrt

import numpy as np

from arbuscula.kinds.world import Curve


def standstill_frac(
    growth_y: Curve,
    size_mm: Curve,
    *,
    error_mm: float,
    usual_mm: float,
    spread_mm: float,
    least_mm: float,
) -> float:
    """Return how likely a tree grows less than the least of interest.

    A straight line through measures of known error, with a normal belief about
    its slope beforehand. Sizes are told over growth that has gone by, not over
    days, or every winter would read as a standstill.

    Shape: one measure a place.
    Errors: none raised; of fewer than two measures only the belief is told.
    Holds for: measures at one height of the trunk, or counts that do not jump.
    Source: arbuscula; the conjugate normal formula.
    """
    grown, size = np.asarray(growth_y, np.float64), np.asarray(size_mm, np.float64)
    precision, weighed = 1 / spread_mm**2, usual_mm / spread_mm**2
    if grown.size > 1:
        off = grown - grown.mean()
        precision += float(off @ off) / error_mm**2
        weighed += float(off @ size) / error_mm**2
    z = (least_mm - weighed / precision) * sqrt(precision)
    return 0.5 * (1 + erf(z / sqrt(2)))

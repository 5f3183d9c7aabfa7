"""Checks: what a finger, a skewer or a lift teaches about one tree's water.

A soft likelihood: around each line between dry, moist and wet the answer
changes over a tenth of the water that is gone, and three answers in a hundred
are slips. Members that the answer speaks against lose weight; when few are
left, they are drawn anew, jittered (liu2001).
"""

from typing import Final

import numpy as np

from arbuscula.kinds.checks import Feel
from arbuscula.kinds.events import Found
from arbuscula.kinds.weather import Row

WIDTH_LN: Final = 0.09  # of the logistic, in the logarithm of the water gone
LAPSE_FRAC: Final = 0.03
LEAST_GONE_FRAC: Final = 0.01
DRY: Final = (Found.DRY, Found.LIGHT)
WET: Final = (Found.WET, Found.HEAVY)


def found_ln(gone_frac: Row, found: Found, feel: Feel) -> Row:
    """Return the logarithm of how likely each member makes what was found."""
    gone_ln = np.log(np.maximum(gone_frac, LEAST_GONE_FRAC))
    dry = _above(gone_ln, feel.dry_above_frac.value)
    wet = 1 - _above(gone_ln, feel.wet_below_frac.value)
    shares = {**dict.fromkeys(DRY, dry), **dict.fromkeys(WET, wet)}
    right = shares.get(found, np.maximum(1 - dry - wet, 0.0))
    return np.log(LAPSE_FRAC / 3 + (1 - LAPSE_FRAC) * right)


def _above(gone_ln: Row, line_frac: float) -> Row:
    return 1 / (1 + np.exp(-(gone_ln - np.log(line_frac)) / WIDTH_LN))

"""Kopp and Lean 2011, Geophysical Research Letters 38:L01706."""

import numpy as np
import pytest

from arbuscula.science import sun

pytestmark = [pytest.mark.published, pytest.mark.recalled]


def test_the_suns_strength_at_its_mean_distance():
    """1360.8 W/m2, give or take 0.5, the instrument's own error; 0.2 for the orbit."""
    year_s = 86400 * np.arange(365.0)
    shine_w_m2 = sun.extraterrestrial_normal_w_m2(year_s)
    # The mean of 1/r2 over an orbit so nearly round exceeds 1 by 0.00014.
    assert shine_w_m2.mean() == pytest.approx(1360.8, abs=0.7)

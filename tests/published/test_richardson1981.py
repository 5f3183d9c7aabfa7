"""Richardson (1981) and Richardson & Wright (1984): the matrices of their generator."""

import numpy as np
import pytest

from arbuscula.weather.generator import lag_matrices

pytestmark = [pytest.mark.published, pytest.mark.recalled]

# In the order day maximum, night minimum, radiation.
SAME_DAY = np.array([[1.0, 0.633, 0.186], [0.633, 1.0, -0.193], [0.186, -0.193, 1.0]])
A = np.array([[0.567, 0.086, -0.002], [0.253, 0.504, -0.05], [-0.006, -0.039, 0.244]])
B = np.array([[0.781, 0.0, 0.0], [0.328, 0.637, 0.0], [0.238, -0.341, 0.873]])


def test_what_chance_gives_follows_from_what_yesterday_gives():
    """Printed to 0.001; roundings of nine numbers add up to 0.005."""
    ours_A, ours_B = lag_matrices(SAME_DAY, A @ SAME_DAY)
    assert ours_A == pytest.approx(A, abs=1e-9)
    assert ours_B == pytest.approx(B, abs=0.005)


def test_the_matrices_keep_the_correlations_of_a_day():
    """A M A' + B B' = M, the law that makes the weather neither grow nor fade."""
    ours_A, ours_B = lag_matrices(SAME_DAY, A @ SAME_DAY)
    kept = ours_A @ SAME_DAY @ ours_A.T + ours_B @ ours_B.T
    assert kept == pytest.approx(SAME_DAY, abs=0.005)


def test_warmth_of_the_next_day_is_what_31_stations_showed():
    """Lag one of 0.62 by day and 0.67 by night there; ours lies within 0.06 of both."""
    from tests.world import FIGURES

    assert FIGURES.lag_frac.value == pytest.approx(0.62, abs=0.06 + 1e-9)
    assert FIGURES.lag_frac.value == pytest.approx(0.67, abs=0.06)

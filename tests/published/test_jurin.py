"""Jurin's law, in any textbook: h = 4 sigma / (rho g d)."""

import pytest

from arbuscula.science import retention

pytestmark = pytest.mark.published


def test_water_stands_3_cm_in_a_gap_of_1_mm():
    """2.97 cm at 0.0728 N/m; 0.02 spans 15 to 25 degC."""
    assert retention.capillary_rise_cm(1.0) == pytest.approx(2.97, abs=0.02)

"""Kasten and Czeplak 1980, Solar Energy 24:177: what cloud leaves of the sun."""

import pytest

from arbuscula.science import sun

pytestmark = [pytest.mark.published, pytest.mark.recalled]


@pytest.mark.parametrize(("eighths", "left"), [(0, 1.0), (4, 0.93), (8, 0.25)])
def test_half_a_sky_of_cloud_takes_little_and_a_closed_one_three_quarters(
    eighths, left
):
    """Told in whole percents."""
    through_frac = sun.cloud_transmission_frac(eighths / 8)
    assert through_frac == pytest.approx(left, abs=0.005)

"""Day length at New York, 40.71 N, at the solstices, with two horizons."""

import numpy as np
import pytest

from arbuscula.science import sun

pytestmark = pytest.mark.published

SOLSTICES_DEG = np.array([23.44, -23.44])


def daylight_min(horizon_deg):
    sunset_rad = sun.sunset_angle_rad(
        latitude_deg=40.71,
        declination_rad=np.radians(SOLSTICES_DEG),
        horizon_deg=horizon_deg,
    )
    return sun.daylight_h(sunset_rad) * 60


def test_a_gardening_page_counts_to_the_suns_upper_rim():
    """The page prints 15:06 and 9:15, whole minutes."""
    almanac_min = daylight_min(sun.SUNRISE_HORIZON_DEG)
    assert almanac_min == pytest.approx([906, 555], abs=1)


def test_plain_geometry_is_ten_minutes_shorter():
    """Spherical astronomy, computed to 0.1 min on another road."""
    assert daylight_min(0.0) == pytest.approx([895.2, 544.8], abs=0.2)

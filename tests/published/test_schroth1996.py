"""Schroth et al. (1996), Soil Sci. Soc. Am. J. 60:1331: four uniform sands.

Air entry 5.42, 8.66, 13.03 and 19.37 cm, from memory; times the grain 5.96,
6.17, 6.93 and 6.95 cm mm.
"""

import pytest

from arbuscula.science import retention

pytestmark = [pytest.mark.published, pytest.mark.recalled]

PRODUCTS_CM_MM = [5.96, 6.17, 6.93, 6.95]


def test_entry_times_grain_is_the_mean_of_the_four():
    """6.5 cm mm, to .05 as printed."""
    mean_cm_mm = sum(PRODUCTS_CM_MM) / 4
    assert retention.air_entry_cm(1.0) == pytest.approx(mean_cm_mm, abs=0.05)


@pytest.mark.parametrize("product_cm_mm", PRODUCTS_CM_MM)
@pytest.mark.parametrize("entry_cm", [5.42, 19.37])
def test_the_law_meets_each_sand(product_cm_mm, entry_cm):
    """The four lie within a tenth of their mean."""
    grain_mm = product_cm_mm / entry_cm
    assert retention.air_entry_cm(grain_mm) == pytest.approx(entry_cm, rel=0.1)

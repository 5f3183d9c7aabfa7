"""Gilman, Harchick, Paz (2010), here gilman2010: a container's root ball, shaved.

Radius and height of the ball are assumed; the share is geometry.
"""

import pytest

from arbuscula.science.roots import shaved_frac
from tests.jobs import LIBRARY

pytestmark = pytest.mark.published


def test_2_5_cm_off_the_side_and_one_end_is_43_percent():
    """Printed to a whole percent."""
    share = shaved_frac(radius_cm=12.5, height_cm=24.0, shave_cm=2.5)
    assert share == pytest.approx(0.43, abs=0.005)


def test_what_we_allow_is_less_than_what_seven_species_bore():
    shaved = shaved_frac(radius_cm=12.5, height_cm=24.0, shave_cm=2.5)
    for terms in LIBRARY.techniques["repot"].terms:
        assert terms.most_roots_frac.high < shaved

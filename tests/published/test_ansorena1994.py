"""Ansorena (1994), Sustratos: midpoints of the ranges at three suctions.

Second-hand. The default "ideal" set was fitted to them.
"""

import pytest

from arbuscula.science import retention
from tests.media import IDEAL

pytestmark = pytest.mark.published


@pytest.mark.parametrize(
    ("suction_cm", "held_frac"), [(10, 0.625), (50, 0.355), (100, 0.280)]
)
def test_the_ideal_set_passes_its_three_points(suction_cm, held_frac):
    """The fit's residuals are under .001."""
    found_frac = retention.water_frac(IDEAL, suction_cm)
    assert found_frac == pytest.approx(held_frac, abs=0.001)

"""Ansorena (1994), Sustratos: midpoints of the ranges at three suctions.

Second-hand. The default "ideal" set was fitted to them.
"""

import pytest

from arbuscula.science import retention
from tests.media import IDEAL
from tests.substrates import library_substrates

pytestmark = pytest.mark.published


@pytest.mark.parametrize(
    ("suction_cm", "held_frac"), [(10, 0.625), (50, 0.355), (100, 0.280)]
)
def test_the_ideal_set_passes_its_three_points(suction_cm, held_frac):
    """The fit's residuals are under .001."""
    found_frac = retention.water_frac(IDEAL, suction_cm)
    assert found_frac == pytest.approx(held_frac, abs=0.001)


@pytest.mark.parametrize(
    ("suction_cm", "held_frac"), [(10, 0.625), (50, 0.355), (100, 0.280)]
)
def test_the_library_s_potting_mix_does_too(suction_cm, held_frac):
    """Its alpha is kept to three digits: 0.002 at most."""
    mix = retention.substrate_curve(library_substrates()["potting-mix"])
    assert retention.water_frac(mix, suction_cm) == pytest.approx(held_frac, abs=0.002)

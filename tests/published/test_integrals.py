"""Container capacity against integrals that anyone can work out again.

The integral is exact; the sets of parameters carry their own, weaker, grades.
"""

import math

import pytest

from arbuscula.kinds.pot import Pot
from arbuscula.science import container
from tests.media import IDEAL, straight_pot, van_genuchten

pytestmark = pytest.mark.published


@pytest.mark.parametrize(
    ("curve", "height_cm", "mean_frac"),
    [
        ((0.65, 0.35, 0.15, 2.0), 10, 0.588953),
        ((0.80, 0.10, 0.05, 2.0), 15, 0.746937),
    ],
)
def test_closed_form_for_n_2(curve, height_cm, mean_frac):
    """residual + (full - residual) asinh(aH) / aH. Both to 1e-6, as printed."""
    full_frac, residual_frac, alpha_per_cm, _ = curve
    rise = alpha_per_cm * height_cm
    exact_frac = residual_frac + (full_frac - residual_frac) * math.asinh(rise) / rise
    found_frac = container.container_capacity_frac(
        van_genuchten(*curve), straight_pot(height_cm)
    )
    assert found_frac == pytest.approx(exact_frac, abs=1e-6)
    assert found_frac == pytest.approx(mean_frac, abs=1e-6)


@pytest.mark.parametrize(
    ("height_cm", "mean_frac"),
    [(3, 0.8403), (5, 0.8122), (7.5, 0.7774), (10, 0.7455), (15, 0.6917), (20, 0.6489)],
)
def test_ideal_set_by_height(height_cm, mean_frac):
    """Printed to .0001."""
    found_frac = container.container_capacity_frac(IDEAL, straight_pot(height_cm))
    assert found_frac == pytest.approx(mean_frac, abs=0.00005)


@pytest.mark.parametrize(
    ("height_cm", "mean_frac"),
    [(3, 0.8547), (5, 0.8377), (7.5, 0.8139), (10, 0.7896), (15, 0.7441), (20, 0.7042)],
)
def test_wet_set_by_height(height_cm, mean_frac):
    """Printed to .0001."""
    wet = van_genuchten(0.87, 0.10, 0.10, 1.6)
    found_frac = container.container_capacity_frac(wet, straight_pot(height_cm))
    assert found_frac == pytest.approx(mean_frac, abs=0.00005)


@pytest.mark.parametrize(
    ("taper_frac", "mean_frac"), [(1.0, 0.7455), (0.8, 0.7358), (0.6, 0.7241)]
)
def test_a_wider_dry_top_lowers_the_mean(taper_frac, mean_frac):
    """Truncated cones of 10 cm. Printed to .0001."""
    cone = Pot(shape="round", diameter_mm=150, depth_mm=100, taper_frac=taper_frac)
    found_frac = container.container_capacity_frac(IDEAL, cone)
    assert found_frac == pytest.approx(mean_frac, abs=0.00005)


@pytest.mark.parametrize(
    ("height_cm", "air_pct"),
    [(3, 3.0), (4, 4.4), (5, 5.8), (6, 7.2), (8, 9.9), (10, 12.4)],
)
def test_even_an_ideal_mix_has_little_air_in_a_tray(height_cm, air_pct):
    """Printed to .1 %."""
    found_frac = container.air_frac(IDEAL, straight_pot(height_cm))
    assert 100 * found_frac == pytest.approx(air_pct, abs=0.06)

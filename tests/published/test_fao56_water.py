"""Soil water of FAO Irrigation and Drainage Paper 56 (Allen et al., 1998), ch. 7, 8.

Example 36 is from memory. The two runs have the structure of examples 35 and
37 with inputs from memory: their figures are arithmetic, not the book's.
"""

import numpy as np
import pytest

from arbuscula.kinds.water import Ball
from arbuscula.science.water.balance import (
    drawn_ml,
    surface_reduction_frac,
    terms_of,
)

pytestmark = pytest.mark.published

SOILS = {"loamy sand": 0.09, "silt": 0.17, "silty clay": 0.12}  # FC less WP
CROPS = {"onion": (0.4, 0.30), "tomato": (0.8, 0.40), "maize": (1.2, 0.55)}
TOTAL_MM = {"onion": (36, 68, 48), "tomato": (72, 136, 96), "maize": (108, 204, 144)}
READY_MM = {"onion": (11, 20, 14), "tomato": (29, 54, 38), "maize": (59, 112, 79)}
LITTLE_ML = 1e-6  # asked: the law itself, before it is summed over a step


def stress_frac(left_frac, below_frac):
    """Return Ks: what a soil of a litre gives of a little that is asked."""
    soil = Ball(
        capacity_ml=1000.0,
        stop_ml=0.0,
        top_area_cm2=100.0,
        crown_area_cm2=100.0,
        gap_frac=1.0,
        canopy_store_ml=0.0,
        stage_1_mm=8.0,
        stage_2_mm=18.0,
        stress_below_frac=below_frac,
        shed_below_frac=0.0,
        shed_frac=0.0,
    )
    return drawn_ml(1000 * left_frac, terms_of(soil), LITTLE_ML) / LITTLE_ML


@pytest.mark.recalled
@pytest.mark.parametrize("crop", CROPS)
def test_example_36_stress_begins_where_the_ready_water_ends(crop):
    """The book prints whole millimetres, hence half of one as tolerance."""
    depth_m, p = CROPS[crop]
    rows = zip(SOILS.values(), TOTAL_MM[crop], READY_MM[crop], strict=True)
    for holds, total_mm, ready_mm in rows:
        whole_mm = 1000 * holds * depth_m
        assert whole_mm == pytest.approx(total_mm, abs=0.5)
        at_ready = stress_frac((whole_mm - ready_mm + 0.5) / whole_mm, 1 - p)
        beyond = stress_frac((whole_mm - ready_mm - 0.51) / whole_mm, 1 - p)
        assert at_ready == 1
        assert beyond < 1


def test_ten_dry_days_of_stress():
    """Printed to 0.01 and 0.1 mm: half of that as tolerance."""
    ks = [1, 1, 0.97, 0.91, 0.85, 0.80, 0.75, 0.70, 0.66, 0.62]
    start_mm = [55, 61, 67, 72.8, 78.3, 83.4, 88.2, 92.6, 96.9, 100.8]
    total_mm, ready_mm, depleted_mm = 160, 64, 55.0
    for share, printed_mm in zip(ks, start_mm, strict=True):
        assert depleted_mm == pytest.approx(printed_mm, abs=0.06)
        left = 1 - depleted_mm / total_mm
        got = stress_frac(left, 1 - ready_mm / total_mm)
        assert got == pytest.approx(share, abs=0.005)
        depleted_mm += 6 * got


def test_ten_days_after_rain_on_an_open_surface():
    """Dual coefficient; printed to 0.01: 0.006 as tolerance."""
    lawn_mm = (4.5, 5.0, 3.9, 4.2, 4.8, 2.7, 5.8, 5.1, 4.7, 5.2)
    basal = (0.30, 0.31, 0.32, 0.33, 0.34, 0.36, 0.37, 0.38, 0.39, 0.40)
    covered = (0.08, 0.09, 0.09, 0.10, 0.10, 0.11, 0.11, 0.12, 0.12, 0.13)
    printed = (0.91, 0.90, 0.65, 0.36, 0.19, 0.60, 0.44, 0.20, 0.10, 0.06)
    depleted_mm = 18.0
    for day in range(10):
        wetted = 0.8 if day < 5 else 1.0
        gain_mm = {0: 40 / 0.8, 5: 6.0}.get(day, 0.0)
        exposed = min(1 - covered[day], wetted)
        kr = surface_reduction_frac(
            max(0.0, depleted_mm - gain_mm), stage_1_mm=8.0, stage_2_mm=18.0
        )
        ke = min(kr * (1.21 - basal[day]), exposed * 1.21)
        assert ke == pytest.approx(printed[day], abs=0.006)
        through_mm = max(0.0, gain_mm - depleted_mm)
        left_mm = depleted_mm - gain_mm + ke * lawn_mm[day] / exposed + through_mm
        depleted_mm = float(np.clip(left_mm, 0.0, 18.0))

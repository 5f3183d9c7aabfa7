"""A ball that never sheds water, such as one of pumice alone, and empty ones."""

from dataclasses import replace

import pytest

from tests.science.water.four_days import ball
from tests.science.water.test_balance import after, holding


@pytest.mark.filterwarnings("error")
@pytest.mark.parametrize("water_ml", [0.0, 1.0, 500.0])
def test_a_mineral_ball_takes_all_that_fits(water_ml):
    mineral = replace(ball("ideal"), shed_frac=0.4, shed_below_frac=0.0)
    passed = after(holding(water_ml), mineral, given_ml=100.0)[1]
    assert passed.gained_ml == min(100.0, mineral.capacity_ml - water_ml)

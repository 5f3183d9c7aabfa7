"""The window days of the demand model, out of weather and panes this time.

docs/water.md works out two made days behind a window from light that was typed
in: about 300 W/m2 of morning sun in summer, 60 W/m2 at noon in winter. Here the
window makes its own light. The level must be of that size, and the pots must dry
in the same order.
"""

import numpy as np
import pytest

from arbuscula.science.water.demand import crown_demand_ml_h
from tests.microclimate.benches import air_on, bench, last_day, rows_on, weather
from tests.science.water.four_days import (
    CROWN,
    DAYS,
    FIG,
    OPTICS,
    ball,
    dry_down,
    first_below_d,
)
from tests.science.water.test_four_days import PRINTED

SUMMER = weather("2026-07-15", mean_c=23.0, clear=0.6)
WINTER = weather("2026-12-21", mean_c=4.0, clear=0.25)
EAST = bench(facing_deg=90.0, glass_distance_cm=30.0, obstruction_deg=15.0)
NORTH = bench(facing_deg=0.0, glass_distance_cm=20.0)


def day_of(told, one):
    air = air_on(told, one)
    parts = {
        name: np.broadcast_to(last_day(part), 24).copy()
        for name in air.__dataclass_fields__
        if np.size(part := getattr(air, name)) > 1
    }
    return type(air)(**{n: getattr(air, n) for n in air.__dataclass_fields__} | parts)


def test_light_is_of_the_size_that_was_typed_in():
    """A factor of two to either side: the made days name no pane and no wall."""
    east = last_day(rows_on(SUMMER, EAST).shortwave_w_m2)
    north = last_day(rows_on(WINTER, NORTH).shortwave_w_m2)
    assert DAYS["summer window"].window_w_m2.max() == pytest.approx(east.max(), rel=0.5)
    assert 30 / 2 < north.max() < 60 * 2


@pytest.mark.parametrize(
    ("day", "told", "one"),
    [("summer window", SUMMER, EAST), ("winter window", WINTER, NORTH)],
)
def test_leaves_ask_for_as_much_as_on_the_made_days(day, told, one):
    """A factor of 1.5, which is what the level is known to."""
    asked = np.sum(crown_demand_ml_h(CROWN, FIG, OPTICS, day_of(told, one)))
    assert PRINTED[day][0] / 1.5 < asked < PRINTED[day][0] * 1.5


def test_a_pot_lasts_longer_at_a_winter_window():
    summer_d, winter_d = (
        first_below_d(dry_down(day_of(told, one), ball("ideal"))[0], 0.25)
        for told, one in ((SUMMER, EAST), (WINTER, NORTH))
    )
    assert 2.9 < summer_d < 7.1  # the spread that docs/water.md tells
    assert summer_d < winter_d < 10

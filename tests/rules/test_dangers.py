"""Wind, showers, hot pots and ice: each rule speaks, and keeps silent."""

from pathlib import Path

import pytest

from arbuscula.kinds.round import SunView, WindView
from arbuscula.kinds.values import Spread
from arbuscula.rules.roots import hot_roots, ice_in_sun
from arbuscula.rules.storm import may_hail
from arbuscula.rules.wind import against_wind
from arbuscula.start import desk_at

LIBRARY = desk_at(Path("not-needed")).library()
MOVING, LINES = LIBRARY.moving, LIBRARY.benches.roots


@pytest.mark.parametrize(
    ("here", "on_ground", "message"),
    [
        (0.05, 0.0, None),
        (0.4, 0.02, "wind.ground"),
        (0.9, 0.4, "wind.tie"),
    ],
)
def test_a_pot_is_set_down_where_that_is_enough_and_tied_where_not(
    here, on_ground, message
):
    view = WindView(
        key="fig",
        tips_m_s=15.0,
        gust_m_s=Spread(p10=10.0, p50=14.0, p90=20.0),
        tips_frac=here,
        tips_on_ground_frac=on_ground,
    )
    said = against_wind(view, MOVING.wind)
    assert (said and said.message_id) == message


def sun(hot=0.0, burns=0.0, ice=0.0):
    return SunView(
        key="fig", high_c=36.0, hot_frac=hot, burns_frac=burns, frozen_sun_frac=ice
    )


@pytest.mark.parametrize(
    ("hot", "burns", "message"),
    [(0.4, 0.0, None), (0.6, 0.0, "heat.hot"), (0.6, 0.2, "heat.burns")],
)
def test_pots_are_shaded_before_roots_burn(hot, burns, message):
    said = hot_roots(sun(hot, burns), MOVING.roots, LINES)
    assert (said and said.message_id) == message


def test_sun_on_ice_is_told_at_one_in_ten():
    assert ice_in_sun(sun(ice=0.1), MOVING.roots).message_id == "frost.sun_on_ice"
    assert ice_in_sun(sun(ice=0.05), MOVING.roots) is None


def test_a_likely_downpour_may_bring_hail_and_an_unlikely_one_is_not_told():
    assert may_hail(0.2, MOVING.storm).message_id == "hail.downpour"
    assert may_hail(0.05, MOVING.storm) is None

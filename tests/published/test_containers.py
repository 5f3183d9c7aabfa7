"""Root balls in containers: what was measured in nurseries.

Abstracts give no weather, so that only the order and the rough size can be asked.
"""

from dataclasses import replace

import pytest

from arbuscula.kinds.place import Exposure
from arbuscula.kinds.pot import Pot
from arbuscula.microclimate.root_ball import Balls, root_ball
from tests.microclimate.benches import LIBRARY, STAIR, bench, last_day, weather

pytestmark = pytest.mark.published

GALLON = Pot(shape="round", diameter_mm=165, depth_mm=165, taper_frac=0.8)
TRAY = Pot(shape="round", diameter_mm=60, depth_mm=80, taper_frac=0.7)
HOT = weather("2026-07-10", mean_c=30.0, swing_k=7.0, clear=0.7, days_n=4)
SNOWLESS = weather("2026-01-15", mean_c=-9.0, swing_k=5.0, clear=0.5, days_n=5)


def balls_c(told, pot, floor, **said):
    one = bench(Exposure.OPEN, floor=floor)
    told = root_ball(told, STAIR, one, LIBRARY, Balls(pots=(pot,), **said))
    return last_day(told.temperature_c[0, 0])


def test_black_containers_stay_hot_longer_than_white_ones():
    """witcher2020: over 38 degC for 15 % longer than white. Hours of one day."""
    black, white = (
        (balls_c(HOT, GALLON, "ground", absorbed_frac=a) > 38).sum()
        for a in (0.95, 0.35)
    )
    assert black >= 1.15 * max(white, 1)


def test_white_walls_take_some_kelvin_off_the_hottest_hour():
    """witcher2020b: in 11.3 L, white lowered the highest warmth by up to 7 K.

    That was the hottest day at a wall; a ball's mean differs by less: from 1 K.
    """
    tub = Pot(shape="round", diameter_mm=265, depth_mm=240, taper_frac=0.9)
    black, white = (
        balls_c(HOT, replace(tub, colour=c), "ground").max() for c in ("dark", "light")
    )
    assert 1 < black - white <= 7


def test_on_pallets_containers_are_colder_and_swing_more_than_on_the_ground():
    """pallets1986: down to -15 degC on pallets without snow."""
    pallet, ground = (balls_c(SNOWLESS, TRAY, f) for f in ("battens", "ground"))
    assert pallet.min() < ground.min()
    assert pallet.max() - pallet.min() > ground.max() - ground.min()
    assert pallet.min() == pytest.approx(-15, abs=2)  # the air's low is -14

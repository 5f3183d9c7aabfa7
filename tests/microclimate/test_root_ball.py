"""Root balls on a bench: behind the air, in sun and frost."""

from dataclasses import replace

import numpy as np
import pytest

from arbuscula.kinds.place import Exposure
from arbuscula.kinds.pot import Pot
from arbuscula.microclimate.root_ball import Balls, root_ball
from tests.microclimate.benches import LIBRARY, STAIR, bench, last_day, rows_on, weather

CUP = Pot(shape="round", diameter_mm=80, depth_mm=45)
OVAL = Pot(shape="oval", length_mm=200, width_mm=150, depth_mm=45)
TUB = Pot(shape="round", diameter_mm=220, depth_mm=200)
POTS = (CUP, OVAL, TUB)
OPEN = bench(Exposure.OPEN)
JULY = weather("2026-07-10", mean_c=25.0, clear=0.7, days_n=4)
FROST = weather("2026-01-15", mean_c=-3.0, swing_k=2.0, clear=0.3, days_n=4)
DRY, WET = 0.15, 0.45


def balls(told, one=OPEN, pots=POTS, **said):
    return root_ball(told, STAIR, one, LIBRARY, Balls(pots=pots, **said))


def high_c(told, **how):
    return last_day(balls(told, **how).temperature_c).max(axis=-1)[0]


def low_c(told, **how):
    return last_day(balls(told, **how).temperature_c).min(axis=-1)[0]


def test_one_row_for_each_member_and_each_pot():
    many = replace(
        JULY, air_temperature_c=JULY.air_temperature_c + np.array([[0.0], [5.0]])
    )
    told = balls(many).temperature_c
    assert told.shape == (2, 3, 96)
    assert np.all(told[1] > told[0])
    assert told[0] == pytest.approx(balls(JULY).temperature_c[0])


def test_a_ball_is_warmest_after_the_air_and_the_bigger_the_later():
    shaded = replace(JULY, shortwave_w_m2=0 * JULY.shortwave_w_m2)
    warmest = last_day(balls(shaded).temperature_c[0]).argmax(axis=-1)
    air = last_day(JULY.air_temperature_c).argmax()
    assert air <= warmest[0] < warmest[2]


def test_dark_pots_in_sun_are_hotter_than_white_ones():
    dark, white = (high_c(JULY, absorbed_frac=a) for a in (0.95, 0.3))
    assert np.all(dark > white + 1)
    assert np.all(white > last_day(JULY.air_temperature_c).max())


def test_a_pot_of_unknown_colour_lies_between_dark_and_light():
    """It is taken as rather dark, so that the heat lines are cautious."""
    coloured = [replace(OVAL, colour=c) for c in ("dark", None, "medium", "light")]
    high = [high_c(JULY, pots=(pot,))[0] for pot in coloured]
    assert high == sorted(high, reverse=True)
    assert high[0] > high[-1] + 1


def test_each_pot_may_have_its_own_colour_and_water():
    own = {"absorbed_frac": np.array([0.95, 0.3]), "water_frac": np.array([DRY, WET])}
    told = balls(JULY, pots=(OVAL, OVAL), **own).temperature_c[0]
    first = balls(JULY, pots=(OVAL,), absorbed_frac=0.95, water_frac=DRY)
    assert told[0] == pytest.approx(first.temperature_c[0, 0])
    assert told[0].max() > told[1].max()


def test_small_pots_freeze_sooner_and_sooner_still_when_dry():
    """A day at 2 degrees, then dark frost."""
    air_c = np.where(np.arange(FROST.from_s.size) < 24, 2.0, -4.0)
    dark = 0 * FROST.shortwave_w_m2
    steady = replace(FROST, air_temperature_c=air_c, shortwave_w_m2=dark)

    def through_h(water_frac):
        frozen = balls(steady, water_frac=water_frac).frozen_frac[0]
        return (frozen >= 1).argmax(axis=-1)

    wet, dry = through_h(WET), through_h(DRY)
    assert wet[0] < wet[1] < wet[2]
    assert np.all(dry < wet)


def test_on_the_ground_it_is_warmer_by_night_than_on_battens():
    ground, battens = (
        low_c(FROST, one=replace(OPEN, floor=floor)) for floor in ("ground", "battens")
    )
    assert np.all(ground > battens)


def test_concrete_in_the_sun_heats_and_under_a_clear_sky_chills():
    slab, battens = replace(OPEN, floor="concrete"), replace(OPEN, floor="battens")
    assert np.all(high_c(JULY, one=slab) > high_c(JULY, one=battens))
    clear = weather("2026-01-15", mean_c=-3.0, swing_k=2.0, clear=0.7, days_n=4)
    dark = replace(clear, air_temperature_c=0 * clear.air_temperature_c - 3.0)
    on_slab, on_battens = (low_c(dark, one=one)[1] for one in (slab, battens))
    assert on_slab < on_battens


def test_nothing_said_is_battens():
    assert low_c(FROST) == pytest.approx(
        low_c(FROST, one=replace(OPEN, floor="battens"))
    )


def test_in_a_room_balls_are_as_warm_as_the_room():
    told = balls(FROST, one=bench(Exposure.ROOM, winter_c=18.0))
    assert last_day(told.temperature_c) == pytest.approx(18, abs=0.5)
    assert np.all(told.frozen_frac == 0)


def test_in_a_heated_house_no_ball_freezes():
    house = bench(Exposure.GLASSHOUSE, heat_to_c=5.0)
    assert np.all(balls(FROST, one=house).frozen_frac == 0)
    assert (
        low_c(FROST, one=house).min()
        >= rows_on(FROST, house).air_temperature_c.min() - 0.1
    )

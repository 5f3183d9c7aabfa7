"""The air of a room: warm as said, with the vapour from outside."""

import numpy as np
import pytest

from arbuscula.kinds.place import Exposure
from arbuscula.science.air import saturation_vapour_pressure_kpa
from tests.microclimate.benches import (
    LIBRARY,
    bench,
    last_day,
    rows_on,
    vapour_of,
    weather,
)

FROST = weather("2026-01-15", mean_c=-4.0)
HEAT = weather("2026-07-15", mean_c=27.0)


def room(told, **said):
    return rows_on(told, bench(Exposure.ROOM, **said))


def test_a_room_is_as_warm_as_was_said_in_winter_and_in_summer():
    said = {"winter_c": 17.0, "summer_c": 29.0}
    assert last_day(room(FROST, **said).air_temperature_c) == pytest.approx(17.0)
    assert last_day(room(HEAT, **said).air_temperature_c) == pytest.approx(29.0)


def test_a_warmer_room_has_no_more_vapour_and_is_drier():
    cool, warm = (room(FROST, winter_c=t) for t in (12.0, 24.0))
    assert vapour_of(warm) == pytest.approx(vapour_of(cool))
    assert np.all(warm.relative_humidity_frac < cool.relative_humidity_frac)


def test_people_add_vapour_in_winter_and_none_once_windows_stand_open():
    own = LIBRARY.benches.room.own_vapour_kpa.value
    winter = last_day(vapour_of(room(FROST)) - vapour_of(FROST))
    summer = last_day(vapour_of(room(HEAT)) - vapour_of(HEAT))
    assert winter == pytest.approx(own, rel=0.25)  # at -4 outside, of nought at 20
    assert summer == pytest.approx(0 * summer, abs=1e-9)


def test_a_heated_room_in_frost_is_dry():
    """A quarter to a half, as rooms are heated (practice, no source)."""
    humidity = last_day(room(FROST).relative_humidity_frac)
    assert humidity.min() > 0.2
    assert humidity.max() < 0.5


def test_a_humidity_that_was_said_holds():
    told = room(FROST, humidity_frac=0.6)
    assert told.relative_humidity_frac == pytest.approx(0.6)


def test_air_is_never_more_than_full():
    damp = weather("2026-07-15", mean_c=27.0, swing_k=1.0)
    told = room(damp, summer_c=20.0)
    full = saturation_vapour_pressure_kpa(told.air_temperature_c)
    assert np.all(vapour_of(told) <= full * (1 + 1e-12))


def test_no_rain_falls_in_a_room():
    assert np.all(room(HEAT).rain_mm == 0)

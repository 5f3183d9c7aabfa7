"""The balance of heat and vapour under a cover."""

from dataclasses import replace

import numpy as np
import pytest

from arbuscula.science import glasshouse
from arbuscula.science.air import saturation_vapour_pressure_kpa

CLOSED = glasshouse.House(
    loss_w_m2_k=10.8,
    leak_w_m2_k=0.8,
    vent_most_w_m2_k=0.8,
    store_w_m2_k=5.0,
    vent_at_c=24.0,
    heat_to_c=-np.inf,
)
VENTED = replace(CLOSED, vent_most_w_m2_k=25.0)
HEATED = replace(CLOSED, heat_to_c=12.0)


def air_in(house, outside_c, gain_w_m2, store_c=None, sees_c=None):
    return glasshouse.house_air(
        house,
        outside_c=outside_c,
        cover_sees_c=outside_c if sees_c is None else sees_c,
        gain_w_m2=gain_w_m2,
        store_c=outside_c if store_c is None else store_c,
    )


def left_over_w_m2(house, air, outside_c, gain_w_m2, sees_c=None):
    """Return what comes in less what goes out: nil where nothing is made."""
    sees_c = outside_c if sees_c is None else sees_c
    out = house.loss_w_m2_k * (air.air_temperature_c - sees_c)
    out = out + air.exchange_w_m2_k * (air.air_temperature_c - outside_c)
    return gain_w_m2 + air.heating_w_m2 - out - air.stored_w_m2


@pytest.mark.parametrize("house", [CLOSED, VENTED, HEATED])
def test_all_heat_is_accounted_for(house):
    outside_c = np.array([-8.0, 2.0, 15.0, 24.0, 33.0])[:, None]
    gain = np.array([0.0, 40.0, 200.0, 500.0])
    air = air_in(house, outside_c, gain, store_c=16.0, sees_c=outside_c - 2)
    left = left_over_w_m2(house, air, outside_c, gain, outside_c - 2)
    assert left == pytest.approx(0 * left, abs=1e-9)


def test_a_dark_closed_house_is_as_warm_as_outside():
    assert air_in(CLOSED, 7.0, 0.0).air_temperature_c == pytest.approx(7)


def test_what_the_sun_brings_a_closed_house_leaves_by_cover_and_cracks():
    air = air_in(replace(CLOSED, store_w_m2_k=0.0), 10.0, 232.0)
    assert air.air_temperature_c == pytest.approx(10 + 232 / 11.6)


def test_over_equal_days_a_closed_house_gives_back_what_it_took():
    """The store is as warm as the day's mean air without it."""
    hours = np.arange(24)
    outside_c = 10 + 6 * np.sin(2 * np.pi * (hours - 9) / 24)
    gain = np.maximum(400 * np.sin(np.pi * (hours - 6) / 12), 0)
    bare = air_in(replace(CLOSED, store_w_m2_k=0.0), outside_c, gain)
    store_c = bare.air_temperature_c.mean()
    air = air_in(CLOSED, outside_c, gain, store_c=store_c)
    assert air.stored_w_m2.sum() == pytest.approx(0, abs=1e-9)
    lost = CLOSED.loss_w_m2_k + CLOSED.leak_w_m2_k
    lost = lost * (air.air_temperature_c - outside_c)
    assert lost.sum() == pytest.approx(gain.sum())


def test_vents_hold_their_set_point_until_they_stand_wide_open():
    mild, hot = air_in(VENTED, 15.0, 200.0), air_in(VENTED, 22.0, 500.0)
    assert mild.air_temperature_c == pytest.approx(24)
    assert VENTED.leak_w_m2_k < mild.exchange_w_m2_k < VENTED.vent_most_w_m2_k
    assert hot.exchange_w_m2_k == VENTED.vent_most_w_m2_k
    assert hot.air_temperature_c > 24


def test_vents_stay_shut_while_the_house_is_cool():
    assert air_in(VENTED, 5.0, 50.0).exchange_w_m2_k == VENTED.leak_w_m2_k


def test_with_warm_air_outside_vents_stand_open_and_cool_no_lower_than_that():
    air = air_in(VENTED, 30.0, 300.0)
    assert air.exchange_w_m2_k == VENTED.vent_most_w_m2_k
    assert air.air_temperature_c > 30


def test_a_heater_holds_its_set_point_and_pays_for_it():
    air = air_in(HEATED, -5.0, 0.0, store_c=12.0)
    assert air.air_temperature_c == pytest.approx(12)
    assert air.heating_w_m2 == pytest.approx(17 * 11.6)
    assert air_in(HEATED, 15.0, 100.0).heating_w_m2 == 0


def test_a_clear_sky_may_cool_a_house_below_the_air():
    assert air_in(CLOSED, 5.0, 0.0, sees_c=3.0).air_temperature_c < 5


def vapour(**changed):
    said = {
        "outside_kpa": 1.0,
        "outside_c": 12.0,
        "air_temperature_c": 25.0,
        "cover_c": 18.0,
        "evaporated_w_m2": 0.0,
        "exchange_w_m2_k": 10.0,
        "air_pressure_kpa": 101.3,
    }
    return glasshouse.house_vapour_kpa(**(said | changed))


def test_warming_alone_adds_no_vapour_and_the_air_grows_drier():
    assert vapour() == pytest.approx(1.0)
    full = saturation_vapour_pressure_kpa
    assert vapour() / full(25.0) < 1.0 / full(12.0)


def test_plants_add_vapour_the_more_the_less_air_is_changed():
    some, less_air = (
        vapour(evaporated_w_m2=50.0),
        vapour(evaporated_w_m2=50.0, exchange_w_m2_k=5.0),
    )
    assert 1 < some < less_air
    assert some == pytest.approx(1 + 0.665e-3 * 101.3 * 50 / 10)


def test_too_much_vapour_settles_on_the_cover():
    told = vapour(evaporated_w_m2=500.0, exchange_w_m2_k=0.8)
    assert told == pytest.approx(saturation_vapour_pressure_kpa(18.0))


def test_air_changes_carry_heat_by_their_volume():
    """Three metres, once an hour: 3 m3/h of air at 1200 J/m3 K."""
    told = glasshouse.air_exchange_w_m2_k(changes_per_h=1.0, height_m=3.0)
    assert told == pytest.approx(1.0)

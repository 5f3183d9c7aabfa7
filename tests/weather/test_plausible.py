import numpy as np
import pytest

from arbuscula.kinds.said import ArbusculaError
from arbuscula.weather.packed import members_n
from arbuscula.weather.plausible import plausible
from tests.services import SPOT
from tests.weathers import forecast, hours, observed

DAY = {"shortwave_w_m2": np.where(np.arange(24) % 24 // 4 % 5 > 0, 300.0, 0.0)}


def checked(batch):
    batch, notes = plausible(batch, SPOT)
    return batch.rows, [note.message_id for note in notes]


def faults_of(batch):
    with pytest.raises(ArbusculaError) as refused:
        plausible(batch, SPOT)
    return [fault.message_id for fault in refused.value.faults]


def day(**told):
    return hours(0, 24, **(DAY | told))


def test_an_ordinary_day_passes_as_it_is():
    rows, notes = checked(observed(day()))
    assert notes == []
    assert (rows.air_temperature_c == 20).all()


def test_a_cold_sensor_below_nil_is_dark():
    rows, notes = checked(observed(day(shortwave_w_m2=DAY["shortwave_w_m2"] - 3)))
    assert notes == []
    assert rows.shortwave_w_m2.min() == 0


def test_one_odd_reading_in_a_day_is_left_out_two_are_refused():
    for odd_n, ids in ((1, ["weather.left_out"]), (2, None)):
        air_c = np.where(np.arange(24) < odd_n, 99.0, 20.0)
        if ids is None:
            assert faults_of(observed(day(air_c=air_c))) == ["weather.outside"]
            continue
        rows, notes = checked(observed(day(air_c=air_c)))
        assert notes == ids
        assert np.isnan(rows.air_temperature_c).sum() == 1


def test_of_a_few_readings_none_may_be_odd():
    rows = hours(9, 3, air_c=[20.0, 99.0, 20.0])
    assert faults_of(observed(rows)) == ["weather.outside"]


def test_infinity_is_odd():
    damp = np.where(np.arange(24) == 5, np.inf, 0.6)
    rows, notes = checked(observed(day(relative_humidity_frac=damp)))
    assert (notes, np.isnan(rows.relative_humidity_frac).sum()) == (
        ["weather.left_out"],
        1,
    )


def test_percent_taken_twice_is_too_dry():
    assert faults_of(observed(day(relative_humidity_frac=0.0062))) == [
        "weather.too_dry"
    ]


def test_a_gap_is_not_odd():
    rows, notes = checked(observed(day(air_c=np.full(24, np.nan))))
    assert notes == []
    assert np.isnan(rows.air_temperature_c).all()


def test_one_odd_member_leaves_the_others():
    air_c = np.full((31, 24), 20.0)
    air_c[7] = 150.0
    rows, notes = checked(forecast(day(air_c=air_c)))
    assert notes == ["weather.left_out"]
    assert members_n(rows) == 31
    assert np.isnan(rows.air_temperature_c).sum() == 24


def test_polar_day_has_no_night_to_judge_by():
    north = SPOT.__class__(latitude_deg=78, longitude_deg=15, elevation_m=10)
    batch, notes = plausible(observed(day(shortwave_w_m2=200.0)), north)
    assert (notes, batch.rows.shortwave_w_m2.min()) == ((), 200)

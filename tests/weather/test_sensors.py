from dataclasses import replace

import numpy as np
import pytest

from arbuscula.kinds.events import Reading
from arbuscula.kinds.forecast import Posted
from arbuscula.kinds.said import ArbusculaError
from arbuscula.weather.archive import archive_at, batches, rows_of
from arbuscula.weather.compose import yard_weather
from arbuscula.weather.listen import listen
from arbuscula.weather.sensors import Sensors, Thermometer
from tests.services import ASK, MIDNIGHT_S, NOW_S
from tests.weathers import AT_S, HOUR_S, YARD, always, hours

USUAL_C = 15 + 5 * np.sin((np.arange(72) - 8) * np.pi / 12)


@pytest.fixture
def archive(tmp_path):
    return archive_at(tmp_path / "weather.db")


def posted(hour, value, quantity="air_temperature_c"):
    return Posted(
        at_s=MIDNIGHT_S + hour * HOUR_S,
        reading=Reading(quantity=quantity, value=value),
    )


def usual():
    return hours(-48, 72, air_c=USUAL_C)


def told_c(archive):
    (kept,) = batches(archive, YARD)
    rows = rows_of(archive, kept.position_n)
    return rows.from_s, rows.air_temperature_c


def test_readings_become_rows_that_hold_an_hour_at_most(archive):
    source = Sensors(
        readings=(
            posted(1, 14.0),
            posted(1.25, 15.0),
            posted(1.25, 0.7, "relative_humidity_frac"),
            posted(5, 16.0),
            posted(5, 12.0, "soil_c"),  # no weather
            posted(11, 16.0),  # not yet
        )
    )
    listen(archive, source, ASK)
    (kept,) = batches(archive, YARD)
    rows = rows_of(archive, kept.position_n)
    lasts_h = (rows.until_s - rows.from_s) / HOUR_S
    assert lasts_h.tolist() == [0.25, 1, 1]
    assert rows.air_temperature_c.tolist() == [14, 15, 16]
    assert np.isnan(rows.relative_humidity_frac).tolist() == [True, False, True]
    assert kept.source == "sensors"


def test_no_reading_is_no_news(archive):
    assert listen(archive, Sensors(readings=()), ASK).batches == ()
    empty = Thermometer(readings=(), usual=usual())
    assert listen(archive, empty, ASK, at_once=True).batches == ()


@pytest.mark.parametrize("low_c", [8.5, 0.0, -3.0])
def test_a_low_moves_the_night_to_meet_it(archive, low_c):
    source = Thermometer(readings=(posted(7, low_c, "night_min_c"),), usual=usual())
    listen(archive, source, ASK)
    from_s, air_c = told_c(archive)
    assert from_s[0] == MIDNIGHT_S - 17 * HOUR_S
    assert from_s.size == 24
    assert air_c.min() == pytest.approx(low_c, abs=1e-5)  # a 32-bit float
    assert np.ptp(air_c) == pytest.approx(np.ptp(USUAL_C[31:55]), abs=1e-4)


def test_a_low_and_a_high_draw_the_day_between_them(archive):
    readings = (posted(7, 4.0, "night_min_c"), posted(7, 24.0, "day_max_c"))
    listen(archive, Thermometer(readings=readings, usual=usual()), ASK)
    _, air_c = told_c(archive)
    assert (air_c.min(), air_c.max()) == pytest.approx((4, 24), abs=1e-5)


def test_each_reading_is_of_the_time_since_the_one_before(archive):
    readings = (posted(-5, 9.0, "night_min_c"), posted(7, 6.0, "night_min_c"))
    listen(archive, Thermometer(readings=readings, usual=usual()), ASK)
    from_s, air_c = told_c(archive)
    night = from_s >= MIDNIGHT_S - 5 * HOUR_S
    assert air_c[night].min() == pytest.approx(6)
    assert air_c[~night].min() == pytest.approx(9)


def test_a_low_above_the_high_is_a_slip(archive):
    readings = (posted(7, 14.0, "night_min_c"), posted(7, 4.0, "day_max_c"))
    with pytest.raises(ArbusculaError) as refused:
        listen(archive, Thermometer(readings=readings, usual=usual()), ASK)
    assert refused.value.faults[0].message_id == "weather.low_above_high"
    assert batches(archive, YARD) == ()


def test_a_typed_low_outranks_what_a_service_told(archive):
    source = Thermometer(readings=(posted(7, 2.0, "night_min_c"),), usual=usual())
    listen(archive, source, replace(ASK, yard=YARD))
    found = yard_weather(
        archive,
        YARD,
        AT_S,
        AT_S + 7 * HOUR_S,
        as_of_s=NOW_S,
        fill=always(),
        members_n=3,
    )
    assert found.rows.air_temperature_c.min() == pytest.approx(2.0)
    thermometer, others = found.stretches
    assert thermometer.quantities == ("air_temperature_c",)
    assert others.source == "normals"

"""What an open bench feels of the weather."""

from dataclasses import replace
from datetime import UTC, datetime

import numpy as np
import pytest

from arbuscula.kinds.weather import Spot, WeatherRows
from arbuscula.microclimate.open_air import air_at_crown, lawn_mm_h
from arbuscula.science.sun import extraterrestrial_w_m2, sun_position
from arbuscula.science.water.crown import global_w_m2
from tests.state.made import LIBRARY

BALL = LIBRARY.demand.ball
STAIR = Spot(latitude_deg=45.7, longitude_deg=13.8, elevation_m=210.0)


def rows(day="2026-06-21", days_n=2, clear=0.7, spot=STAIR):
    from_s = datetime.fromisoformat(day).replace(tzinfo=UTC).timestamp()
    from_s = from_s + 3600.0 * np.arange(24 * days_n)
    up = sun_position(
        unix_s=from_s + 1800,
        latitude_deg=spot.latitude_deg,
        longitude_deg=spot.longitude_deg,
    )
    above = extraterrestrial_w_m2(unix_s=from_s + 1800, elevation_deg=up.elevation_deg)
    flat = np.ones_like(from_s)
    return WeatherRows(
        from_s=from_s,
        until_s=from_s + 3600,
        air_temperature_c=20 * flat,
        relative_humidity_frac=0.6 * flat,
        wind_speed_2m_m_s=2 * flat,
        rain_mm=0 * flat,
        shortwave_w_m2=clear * above,
    )


def test_beam_and_sky_give_the_light_back():
    told = rows()
    air = air_at_crown(told, STAIR, BALL)
    high = air.sun_elevation_rad > np.radians(3)
    assert global_w_m2(air)[high] == pytest.approx(told.shortwave_w_m2[high])


def test_a_low_sun_has_no_beam():
    air = air_at_crown(rows(), STAIR, BALL)
    low = air.sun_elevation_rad < np.radians(3)
    assert np.all(air.beam_w_m2[low] == 0)


def test_a_clear_sky_is_colder_than_a_closed_one_and_nights_remember_it():
    clear = air_at_crown(rows(clear=0.75), STAIR, BALL).longwave_w_m2
    dull = air_at_crown(rows(clear=0.15), STAIR, BALL).longwave_w_m2
    assert np.all(clear < dull)
    assert np.ptp(clear) < 0.2 * -clear.mean()


def test_no_light_at_night_and_a_lamp_next_door_is_no_sun():
    told = rows()
    night = air_at_crown(told, STAIR, BALL).sun_elevation_rad < 0
    assert np.all(told.shortwave_w_m2[night] == 0)
    assert 12 < night.sum() < 20  # two nights in June at 45.7 N, of 8.3 h each
    glow = replace(told, shortwave_w_m2=np.maximum(told.shortwave_w_m2, 5.0))
    air = air_at_crown(glow, STAIR, BALL)
    assert np.all(air.beam_w_m2[night] == 0)
    assert np.all(air.sky_w_m2[night] == 5)


def test_a_night_keeps_the_cloud_of_its_evening_and_the_first_that_of_its_morning():
    told = rows(clear=0.75)
    second = told.from_s >= told.from_s[0] + 86400
    light = np.where(second, 0.2, 1.0) * told.shortwave_w_m2
    air = air_at_crown(replace(told, shortwave_w_m2=light), STAIR, BALL)
    night = air.sun_elevation_rad < 0
    clear, dull = (
        air_at_crown(rows(clear=c), STAIR, BALL).longwave_w_m2 for c in (0.75, 0.15)
    )
    until_dawn = told.from_s < told.from_s[0] + 86400 + 4 * 3600
    assert air.longwave_w_m2[night & until_dawn] == pytest.approx(
        clear[night & until_dawn]
    )
    last = told.from_s > told.from_s[0] + 86400 + 20 * 3600
    assert air.longwave_w_m2[night & last] == pytest.approx(dull[night & last])


@pytest.mark.parametrize(
    ("spot", "noon_utc_h"),
    [
        (Spot(latitude_deg=-33.9, longitude_deg=18.4, elevation_m=20), 10.9),
        (Spot(latitude_deg=60.4, longitude_deg=5.3, elevation_m=20), 11.8),
        (Spot(latitude_deg=3.1, longitude_deg=101.7, elevation_m=60), 5.3),
        (Spot(latitude_deg=-36.8, longitude_deg=174.8, elevation_m=10), 0.4),
    ],
    ids=["Cape Town", "Bergen", "Kuala Lumpur", "Auckland"],
)
def test_the_sun_is_highest_at_the_noon_of_the_place(spot, noon_utc_h):
    """Noon is 12 h less longitude / 15, give or take 0.3 h of equation of time."""
    told = rows(days_n=1, spot=spot)
    highest = int(np.argmax(air_at_crown(told, spot, BALL).sun_elevation_rad))
    off_h = (highest + 0.5 - noon_utc_h + 12) % 24 - 12
    assert abs(off_h) <= 0.5 + 0.3  # half a row, and the equation of time


def test_without_a_place_all_light_is_diffuse_and_the_sky_as_warm_as_the_air():
    told = rows()
    air = air_at_crown(told, None, BALL)
    assert np.all(air.beam_w_m2 == 0)
    assert np.all(air.sky_w_m2 == told.shortwave_w_m2)
    assert np.all(air.longwave_w_m2 == 0)


def test_wind_at_the_crown_is_two_fifths_of_that_at_two_metres():
    assert air_at_crown(rows(), STAIR, BALL).wind_speed_m_s == pytest.approx(0.8)


def test_north_and_south_have_their_noon_alike():
    south = replace(STAIR, latitude_deg=-45.7)
    june, december = rows(), rows(day="2026-12-21", spot=south)
    north = air_at_crown(june, STAIR, BALL).sun_elevation_rad.max()
    assert air_at_crown(december, south, BALL).sun_elevation_rad.max() == (
        pytest.approx(north, abs=0.02)
    )


@pytest.mark.parametrize("latitude", [-89.0, 70.0, 89.0])
def test_polar_day_and_polar_night_are_no_trouble(latitude):
    spot = replace(STAIR, latitude_deg=latitude)
    for day in ("2026-06-21", "2026-12-21"):
        air = air_at_crown(rows(day=day, spot=spot), spot, BALL)
        for part in (air.beam_w_m2, air.sky_w_m2, air.longwave_w_m2):
            assert np.isfinite(part).all()


def test_a_lawn_uses_some_millimetres_on_a_bright_june_day():
    """FAO-56 puts warm days of temperate places at 4 to 7 mm (table 2, recalled)."""
    told = rows(days_n=1)
    day_mm = float(np.sum(lawn_mm_h(told, STAIR)))
    assert 4 < day_mm < 8
    assert np.all(np.asarray(lawn_mm_h(told, STAIR)) >= 0)

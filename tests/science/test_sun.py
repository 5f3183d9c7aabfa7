"""Sun: laws that hold whatever the numbers."""

from datetime import UTC, datetime

import numpy as np
import pytest

from arbuscula.science import sun

STONE_STAIR = {"latitude_deg": 45.7, "longitude_deg": 13.8}


def moment_s(*when):
    return datetime(*when, tzinfo=UTC).timestamp()


def minutes_of_day_s(*date):
    return moment_s(*date) + 60 * np.arange(1440.0)


def test_the_sun_is_highest_in_the_south():
    at = sun.sun_position(unix_s=minutes_of_day_s(2026, 6, 21), **STONE_STAIR)
    noon = np.argmax(at.elevation_deg)
    # At the solstice it stands 23.44 degrees above the equator.
    assert at.elevation_deg[noon] == pytest.approx(90 - 45.7 + 23.44, abs=0.02)
    assert at.azimuth_deg[noon] == pytest.approx(180, abs=1)  # a minute's turn


def test_at_the_cape_it_is_highest_in_the_north():
    minutes_s = minutes_of_day_s(2026, 6, 21)
    at = sun.sun_position(unix_s=minutes_s, latitude_deg=-33.9, longitude_deg=18.4)
    to_north_deg = (at.azimuth_deg[np.argmax(at.elevation_deg)] + 180) % 360 - 180
    assert to_north_deg == pytest.approx(0, abs=1)  # a minute's turn


def test_it_rises_in_the_east_and_sets_in_the_west():
    at = sun.sun_position(unix_s=minutes_of_day_s(2026, 3, 20), **STONE_STAIR)
    up = np.flatnonzero(at.elevation_deg > 0)
    ends_deg = at.azimuth_deg[up[[0, -1]]]
    assert ends_deg == pytest.approx([90, 270], abs=1)  # the equinox, to a minute


def test_in_june_it_does_not_set_beyond_the_polar_circle():
    minutes_s = minutes_of_day_s(2026, 6, 21)
    at = sun.sun_position(unix_s=minutes_s, latitude_deg=70.0, longitude_deg=20.0)
    assert at.elevation_deg.min() > 0


def test_it_is_strongest_in_the_first_days_of_january():
    days_s = moment_s(2026, 1, 1) + 86400 * np.arange(365.0)
    shine_w_m2 = sun.extraterrestrial_normal_w_m2(days_s)
    assert np.argmax(shine_w_m2) < 6
    # The orbit's stretch of 1.67 %, squared, from nearest to farthest.
    assert shine_w_m2.max() / shine_w_m2.min() == pytest.approx(1.069, abs=0.001)


def test_moment_by_moment_it_adds_up_to_the_books_day():
    minutes_s = minutes_of_day_s(2026, 7, 9)
    at = sun.sun_position(unix_s=minutes_s, **STONE_STAIR)
    shine_w_m2 = sun.extraterrestrial_w_m2(
        unix_s=minutes_s, elevation_deg=at.elevation_deg
    )
    day_mj_m2 = sun.extraterrestrial_mj_m2_d(latitude_deg=45.7, day_of_year_n=190)
    # The book's sun is 0.4 % stronger, its declination in July 0.1 degrees off.
    assert shine_w_m2.sum() * 60 / 1e6 == pytest.approx(day_mj_m2, rel=0.01)


def test_below_the_horizon_there_is_no_sun():
    assert sun.extraterrestrial_w_m2(unix_s=0.0, elevation_deg=-3.0) == 0


@pytest.mark.parametrize("latitude_deg", [-90.0, -66.0, -33.9, 0.0, 45.7, 66.5, 80.0])
@pytest.mark.parametrize("date", [(2025, 6, 21), (2025, 3, 1), (2024, 12, 31)])
def test_the_hours_add_up_to_the_day(latitude_deg, date):
    """At Greenwich the day of UTC is the day of the sun."""
    hours_s = moment_s(*date) + 3600 * np.arange(24.0)
    hours_mj_m2 = sun.extraterrestrial_mj_m2_h(
        unix_s=hours_s, latitude_deg=latitude_deg, longitude_deg=0.0
    )
    day_mj_m2 = sun.extraterrestrial_mj_m2_d(
        latitude_deg=latitude_deg,
        day_of_year_n=datetime(*date, tzinfo=UTC).timetuple().tm_yday,
    )
    assert hours_mj_m2.min() >= 0
    assert hours_mj_m2.sum() == pytest.approx(day_mj_m2, abs=1e-9)  # float width


def test_an_hour_in_the_east_comes_earlier():
    """Fifteen degrees of longitude are an hour, but for one day's season."""
    first = sun.extraterrestrial_mj_m2_h(
        unix_s=moment_s(2026, 5, 1, 9), latitude_deg=45.7, longitude_deg=15.0
    )
    second = sun.extraterrestrial_mj_m2_h(
        unix_s=moment_s(2026, 5, 1, 10), latitude_deg=45.7, longitude_deg=0.0
    )
    assert first == pytest.approx(second, rel=1e-12)  # the same local day


@pytest.mark.parametrize(
    ("declination_deg", "daylight_h"), [(23.4, 24), (-23.4, 0), (0.0, 12)]
)
def test_the_far_north_has_days_without_end_and_without_beginning(
    declination_deg, daylight_h
):
    sunset_rad = sun.sunset_angle_rad(
        latitude_deg=75.0, declination_rad=np.radians(declination_deg)
    )
    assert sun.daylight_h(sunset_rad) == pytest.approx(daylight_h, abs=1e-9)


def test_the_almanacs_horizon_lengthens_every_day():
    place = {"latitude_deg": 45.7, "declination_rad": np.radians([-23.4, 0, 23.4])}
    plain = sun.sunset_angle_rad(**place)
    almanac = sun.sunset_angle_rad(**place, horizon_deg=sun.SUNRISE_HORIZON_DEG)
    assert (almanac > plain).all()


def test_higher_ground_has_a_clearer_sky():
    shore, hill = sun.clear_sky_transmission_frac(np.array([0.0, 1000.0]))
    assert (shore, hill) == pytest.approx((0.75, 0.77))


def test_full_sunshine_is_three_quarters_of_the_sun():
    shine_mj_m2_d = sun.shortwave_from_sunshine_mj_m2_d(
        sunshine_h=12.0, daylight_h=12.0, extraterrestrial_mj_m2_d=40.0
    )
    assert shine_mj_m2_d == 30.0


def test_the_same_warming_means_more_sun_by_the_sea():
    inland, coast = sun.shortwave_from_range_mj_m2_d(
        day_high_c=24.0,
        night_low_c=15.0,
        extraterrestrial_mj_m2_d=40.0,
        coastal=np.array([False, True]),
    )
    assert inland < coast


@pytest.mark.parametrize("seam_frac", [0.22, 0.80])
def test_the_diffuse_curve_has_no_step(seam_frac):
    below, above = sun.diffuse_frac(np.array([seam_frac - 1e-9, seam_frac + 1e-9]))
    assert below == pytest.approx(above, abs=0.002)  # the paper's own rounding


def test_beam_and_sky_are_the_light_that_came_in():
    parted = sun.beam_and_sky(
        shortwave_w_m2=600.0, extraterrestrial_normal_w_m2=1320.0, elevation_deg=40.0
    )
    flat_beam = parted.beam_normal_w_m2 * np.sin(np.radians(40))
    assert flat_beam + parted.diffuse_w_m2 == pytest.approx(600, rel=1e-12)


@pytest.mark.parametrize("elevation_deg", [-10.0, 0.0, 2.0])
def test_a_low_sun_lends_all_its_light_to_the_sky(elevation_deg):
    parted = sun.beam_and_sky(
        shortwave_w_m2=20.0,
        extraterrestrial_normal_w_m2=1361.0,
        elevation_deg=elevation_deg,
    )
    assert (parted.beam_normal_w_m2, parted.diffuse_w_m2) == (0, 20)


@pytest.mark.parametrize("cloud_frac", [0.0, 0.3, 0.8, 1.0])
def test_the_light_tells_the_cloud(cloud_frac):
    through_frac = sun.cloud_transmission_frac(cloud_frac)
    assert sun.cloud_frac(through_frac) == pytest.approx(cloud_frac, abs=1e-9)


@pytest.mark.parametrize(("share_frac", "cloud_frac"), [(1.1, 0), (0.25, 1), (0.1, 1)])
def test_more_than_clear_is_clear_and_less_than_closed_is_closed(
    share_frac, cloud_frac
):
    assert sun.cloud_frac(share_frac) == cloud_frac

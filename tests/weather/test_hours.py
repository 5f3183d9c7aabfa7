from datetime import date

import numpy as np
import pytest

from arbuscula.kinds.world import LastDay, LastHour
from arbuscula.weather.generator import daily_weather
from arbuscula.weather.hours import hourly_weather
from arbuscula.weather.normals import by_day, normals_at
from tests.world import FIGURES, WORLD, arrays_of, normals_of, place


def hours_of(town, first=date(2026, 6, 15), days_n=10, **joined):
    daily = daily_weather(
        by_day(normals_of(town)),
        FIGURES,
        rng=np.random.default_rng(1),
        members_n=20,
        first=first,
        days_n=days_n,
        after=joined.get("after"),
    )
    return daily, hourly_weather(
        daily,
        FIGURES,
        latitude_deg=place(town).latitude_deg,
        rng=np.random.default_rng(2),
        **joined,
    )


def by_hour(part):
    return part.reshape(*part.shape[:-1], -1, 24)


@pytest.mark.parametrize("town", ["Trieste", "Cape Town", "Singapore", "Longyearbyen"])
@pytest.mark.parametrize("month", [1, 3, 6, 9, 12])
def test_hours_add_up_to_their_days(town, month):
    daily, hours = hours_of(town, first=date(2026, month, 15))
    assert by_hour(hours.rain_mm).sum(axis=-1) == pytest.approx(daily.rain_mm)
    light_mj = by_hour(hours.shortwave_w_m2).sum(axis=-1) * 0.0036
    assert light_mj == pytest.approx(daily.shortwave_mj_m2_d, abs=1e-9)
    for part in arrays_of(hours).values():
        assert part.shape == (20, 240)
        assert np.isfinite(part).all()


def test_the_coldest_hour_is_near_dawn_and_the_warmest_after_noon():
    _, hours = hours_of("Trieste")
    usual_day = by_hour(hours.air_temperature_c).mean(axis=(0, 1))
    assert usual_day.argmin() in (3, 4, 5)
    assert usual_day.argmax() in (13, 14)


def test_hours_keep_within_the_days_low_and_high():
    """The middle of an hour may miss an extreme by a few tenths of the range."""
    daily, hours = hours_of("Trieste", days_n=60)
    warmth = by_hour(hours.air_temperature_c)[:, 1:-1]
    low, high = daily.night_min_c[:, 1:-1], daily.day_max_c[:, 1:-1]
    daytime = warmth[..., 6:19]
    assert (daytime <= high[..., None] + 1e-9).all()
    assert (daytime >= low[..., None] - 1e-9).all()
    assert (high - daytime.max(axis=-1)).mean() < 0.1


def test_nights_are_dark_and_the_sun_is_highest_at_its_noon():
    _, hours = hours_of("Trieste")
    light = by_hour(hours.shortwave_w_m2).mean(axis=(0, 1))
    assert light[[0, 1, 2, 3, 21, 22, 23]].max() == 0
    assert light.argmax() in (11, 12)
    daily, _ = hours_of("Trieste")
    late = hourly_weather(
        daily,
        FIGURES,
        latitude_deg=45.7,
        rng=np.random.default_rng(2),
        solar_noon_h=13.1,
    )
    assert by_hour(late.shortwave_w_m2).mean(axis=(0, 1)).argmax() in (12, 13)


def test_the_polar_day_has_light_at_midnight_and_the_polar_night_none():
    _, summer = hours_of("Longyearbyen", first=date(2026, 6, 15))
    _, winter = hours_of("Longyearbyen", first=date(2026, 12, 15))
    assert by_hour(summer.shortwave_w_m2)[..., 0].min() > 0
    assert winter.shortwave_w_m2.max() == 0


def test_air_is_never_wetter_than_full():
    _, hours = hours_of("Bergen", days_n=60)
    assert hours.relative_humidity_frac.max() <= 1
    assert hours.relative_humidity_frac.min() > 0
    damp = by_hour(hours.relative_humidity_frac).mean(axis=(0, 1))
    assert damp[4] > damp[14] + 0.1


def test_rain_falls_in_one_spell_and_at_any_hour():
    _, hours = hours_of("Bergen", days_n=60)
    wet = by_hour(hours.rain_mm) > 0
    wet_hours_n = wet.sum(axis=-1)[wet.any(axis=-1)]
    assert 3 < wet_hours_n.mean() < 7
    share = by_hour(hours.rain_mm).sum(axis=(0, 1))
    assert share.min() > 0.5 * share.mean()


def known_evening(off_k):
    usual = by_day(normals_of("Trieste"))
    return LastDay(
        night_min_c=usual.night_min_c[164] + off_k,
        day_max_c=usual.day_max_c[164] + off_k,
        rain_mm=0.0,
    )


@pytest.mark.parametrize("off_k", [-7.0, 0.0, 6.0])
def test_temperature_joins_the_last_known_hour_without_a_step(off_k):
    """An hour fades a sixth of what was off, and a night cools by half a kelvin.

    Members are up to 8 K off the known hour.
    """
    last_c = 17.0 + off_k
    _, hours = hours_of(
        "Trieste",
        after=known_evening(off_k),
        last_hour=LastHour(hour_n=-1, air_temperature_c=last_c),
    )
    steps = np.abs(hours.air_temperature_c[:, 0] - last_c)
    assert steps.max() < 2
    assert steps.mean() < 1
    _, plain = hours_of("Trieste", after=known_evening(off_k))
    late = np.abs(hours.air_temperature_c - plain.air_temperature_c)[:, 48:]
    assert late.max() < 0.01  # two days later the joint is forgotten


def test_a_joint_in_the_middle_of_a_day_leaves_the_hours_before_alone():
    _, plain = hours_of("Trieste", after=known_evening(0.0))
    _, joined = hours_of(
        "Trieste",
        after=known_evening(0.0),
        last_hour=LastHour(hour_n=9, air_temperature_c=30.0),
    )
    off = joined.air_temperature_c - plain.air_temperature_c
    assert np.abs(off[:, :9]).max() == 0
    assert joined.air_temperature_c[:, 9] == pytest.approx(np.full(20, 30.0))
    assert np.abs(off[:, 10]).max() < np.abs(off[:, 9]).max()


def test_many_places_have_hours_too():
    where = np.array([45.7, -33.9]), np.array([13.8, 18.4])
    two = normals_at(WORLD, latitude_deg=where[0], longitude_deg=where[1])
    daily = daily_weather(
        by_day(two),
        FIGURES,
        rng=np.random.default_rng(1),
        members_n=3,
        first=date(2026, 1, 1),
        days_n=4,
    )
    hours = hourly_weather(
        daily, FIGURES, latitude_deg=where[0], rng=np.random.default_rng(2)
    )
    assert hours.air_temperature_c.shape == (3, 2, 96)
    light_mj = by_hour(hours.shortwave_w_m2).sum(axis=-1) * 0.0036
    assert light_mj == pytest.approx(daily.shortwave_mj_m2_d)

from dataclasses import replace
from datetime import date

import numpy as np
import pytest

from arbuscula.kinds.world import LastDay
from arbuscula.weather.generator import daily_weather, nights_and_days
from arbuscula.weather.normals import by_day, normals_at
from arbuscula.weather.year import month_means
from tests.world import FIGURES, NEAR_52_N, WORLD, arrays_of, normals_of

NEW_YEAR = date(2026, 1, 1)
TOWNS = ["Trieste", "Kuala Lumpur", "Cape Town", "Yakutsk", "Cairo"]


def weather_of(normals, members_n=50, first=NEW_YEAR, days_n=365, after=None, seed=1):
    return daily_weather(
        by_day(normals),
        FIGURES,
        rng=np.random.default_rng(seed),
        members_n=members_n,
        first=first,
        days_n=days_n,
        after=after,
    )


def test_members_come_first_and_days_last():
    weather = weather_of(normals_of("Trieste"), members_n=7, days_n=20)
    assert {part.shape for part in arrays_of(weather).values()} == {(7, 20)}


def test_places_stand_between():
    two = normals_at(
        WORLD,
        latitude_deg=np.array([45.7, -33.9]),
        longitude_deg=np.array([13.8, 18.4]),
    )
    weather = weather_of(two, members_n=7, days_n=20)
    assert {part.shape for part in arrays_of(weather).values()} == {(7, 2, 20)}
    north, south = weather.day_max_c.mean(axis=(0, 2))
    assert south > north + 10  # in January


@pytest.mark.parametrize("town", TOWNS)
def test_means_of_the_normals_are_kept(town):
    """400 years: temperatures to 0.4 K, vapour to 5 %, light to 3 %, wind to 2 %.

    Noise of a monthly mean is a fifth of a kelvin in the coldest climate; the
    least daily range lifts warm and wet days by a tenth more.
    """
    usual = normals_of(town)
    weather = weather_of(usual, members_n=400)

    def means(part):
        return month_means(part.mean(axis=0))

    assert means(weather.night_min_c) == pytest.approx(usual.night_min_c, abs=0.4)
    assert means(weather.day_max_c) == pytest.approx(usual.day_max_c, abs=0.4)
    vapour, light = means(weather.vapour_pressure_kpa), means(weather.shortwave_mj_m2_d)
    assert vapour == pytest.approx(usual.vapour_pressure_kpa, rel=0.05)
    assert light == pytest.approx(usual.shortwave_mj_m2_d, rel=0.03, abs=0.1)
    wind = weather.wind_speed_2m_m_s.mean()
    assert wind == pytest.approx(usual.wind_speed_2m_m_s.mean(), rel=0.02)


@pytest.mark.parametrize("town", TOWNS)
def test_rain_of_the_year_and_its_wet_days_are_kept(town):
    """400 years: the sum to four of its standard errors, wet days to 0.01."""
    usual = normals_of(town)
    weather = weather_of(usual, members_n=400)
    years_mm = weather.rain_mm.sum(axis=1)
    error_mm = years_mm.std() / 20
    assert years_mm.mean() == pytest.approx(
        by_day(usual).rain_mm_d.sum(), abs=4 * error_mm
    )
    wet = month_means((weather.rain_mm >= 1).mean(axis=0))
    assert wet.mean() == pytest.approx(usual.wet_frac.mean(), abs=0.01)


def test_the_spread_from_day_to_day_is_that_of_the_normals():
    usual = by_day(normals_of("Trieste"))
    weather = weather_of(normals_of("Trieste"), members_n=400)
    seen = weather.night_min_c.std(axis=0)
    assert seen == pytest.approx(usual.night_min_sd_k, rel=0.15)  # 400 draws: 4 %
    assert seen.mean() == pytest.approx(usual.night_min_sd_k.mean(), rel=0.02)


def test_warmth_lasts_and_rain_follows_rain():
    weather = weather_of(normals_of("Trieste"), members_n=400)
    off = weather.night_min_c - weather.night_min_c.mean(axis=0)
    lag = (off[:, 1:] * off[:, :-1]).mean() / (off**2).mean()
    assert lag == pytest.approx(FIGURES.lag_frac.value, abs=0.03)
    wet = weather.rain_mm >= 1
    after_wet = wet[:, 1:][wet[:, :-1]].mean()
    after_dry = wet[:, 1:][~wet[:, :-1]].mean()
    memory = FIGURES.wet_persistence_frac.value
    assert after_wet - after_dry == pytest.approx(memory, abs=0.05)


def test_wet_days_are_dull_and_cool():
    weather = weather_of(normals_of("Trieste"), members_n=200, first=date(2026, 6, 1))
    wet = weather.rain_mm >= 1
    assert (
        weather.shortwave_mj_m2_d[wet].mean() < weather.shortwave_mj_m2_d[~wet].mean()
    )
    summer = np.s_[:, :90]
    warm = weather.day_max_c[summer]
    assert warm[wet[summer]].mean() < warm[~wet[summer]].mean() - 1


def test_no_day_is_colder_than_its_night():
    weather = weather_of(normals_of("Bergen"), members_n=200)
    assert (weather.day_max_c - weather.night_min_c).min() > 0.499  # 0.5, floats
    assert (weather.shortwave_mj_m2_d >= 0).all()
    assert (weather.rain_mm >= 0).all()


def test_the_same_seed_gives_the_same_weather():
    usual = normals_of("Trieste")
    one, same, other = (weather_of(usual, seed=seed) for seed in (1, 1, 2))
    assert (one.rain_mm == same.rain_mm).all()
    assert (one.rain_mm != other.rain_mm).any()


def test_temperatures_alone_are_those_of_the_whole():
    night_min_c, day_max_c = nights_and_days(
        by_day(normals_of("Trieste")),
        FIGURES,
        rng=np.random.default_rng(1),
        members_n=50,
        first=NEW_YEAR,
        days_n=365,
    )
    whole = weather_of(normals_of("Trieste"))
    assert (night_min_c == whole.night_min_c).all()
    assert (day_max_c == whole.day_max_c).all()


def test_weather_goes_on_from_the_last_known_day():
    """A night 8 K under the normal: the next keeps about two thirds of it."""
    usual = by_day(normals_of("Trieste"))
    first = date(2026, 5, 2)
    low, high = usual.night_min_c[120], usual.day_max_c[120]
    cold = LastDay(night_min_c=low - 8, day_max_c=high - 8, rain_mm=0.0)
    weather = weather_of(
        normals_of("Trieste"), members_n=2000, first=first, days_n=30, after=cold
    )
    off = weather.night_min_c.mean(axis=0) - usual.night_min_c[121:151]
    assert off[0] == pytest.approx(-8 * FIGURES.lag_frac.value, abs=0.8)
    assert off[1] == pytest.approx(off[0] * FIGURES.lag_frac.value, abs=0.6)
    assert off[20:].mean() == pytest.approx(0, abs=0.3)
    spread = weather.night_min_c.std(axis=0)
    assert spread[0] < 0.8 * spread[20]


def test_each_member_goes_on_from_its_own_last_day():
    usual = by_day(normals_of("Trieste"))
    off_k = np.array([-6.0, 0.0, 6.0])
    ends = LastDay(
        night_min_c=usual.night_min_c[120] + np.repeat(off_k, 300),
        day_max_c=usual.day_max_c[120] + np.repeat(off_k, 300),
        rain_mm=np.zeros(900),
    )
    weather = weather_of(
        normals_of("Trieste"),
        members_n=900,
        first=date(2026, 5, 2),
        days_n=3,
        after=ends,
    )
    cold, even, warm = weather.night_min_c[:, 0].reshape(3, 300).mean(axis=1)
    assert cold < even - 3
    assert warm > even + 3


def test_rain_yesterday_makes_rain_likelier_today():
    usual = by_day(normals_of("Trieste"))
    chances = [
        (
            weather_of(
                normals_of("Trieste"),
                members_n=2000,
                days_n=1,
                after=LastDay(
                    night_min_c=usual.night_min_c[-1],
                    day_max_c=usual.day_max_c[-1],
                    rain_mm=rain_mm,
                ),
            ).rain_mm
            >= 1
        ).mean()
        for rain_mm in (0.0, 8.0)
    ]
    memory = FIGURES.wet_persistence_frac.value
    assert chances[1] - chances[0] == pytest.approx(memory, abs=0.05)


def test_a_mirrored_climate_gives_mirrored_cold_nights():
    """Months are half a year away; they differ by a day, and 400 years by noise."""
    north = normals_of("Trieste")
    half_a_year = {n: np.roll(part, 6) for n, part in arrays_of(north).items()}
    south = replace(north, latitude_deg=-north.latitude_deg, **half_a_year)
    cold = [
        month_means((weather_of(n, members_n=400).night_min_c < 10).mean(axis=0))
        for n in (north, south)
    ]
    assert np.roll(cold[1], 6) == pytest.approx(cold[0], abs=0.04)


def test_near_52_n_no_week_is_without_risk():
    """Computed once before: the lowest chance of a night under 10 degC is 0.16 a week.

    Mid May 0.95, mid September 0.7. A chance of 0.16 of 2000 has an error of 0.008.
    """
    weather = weather_of(normals_at(WORLD, **NEAR_52_N), members_n=2000)
    cold = (weather.night_min_c[:, :364] < 10).reshape(2000, 52, 7).any(axis=2)
    by_week = cold.mean(axis=0)
    assert by_week.min() == pytest.approx(0.16, abs=0.03)
    assert by_week[19] > 0.85  # mid May
    assert 0.5 < by_week[36] < 0.9  # mid September


def test_every_year_has_polar_nights_and_days_without_a_gap():
    weather = weather_of(normals_of("Longyearbyen"))
    for part in arrays_of(weather).values():
        assert np.isfinite(part).all()
    assert weather.shortwave_mj_m2_d[:, :30].max() == 0

"""Laws of the normals and of generated weather, for any place and any start."""

from dataclasses import fields
from datetime import date

import numpy as np
import pytest
from hypothesis import assume, given, settings
from hypothesis import strategies as st

from arbuscula.kinds.said import ArbusculaError
from arbuscula.kinds.world import LastDay
from arbuscula.weather.gazetteer import find_place
from arbuscula.weather.generator import daily_weather
from arbuscula.weather.hours import hourly_weather
from arbuscula.weather.normals import by_day, normals_at
from tests.world import FIGURES, WORLD, arrays_of

latitudes = st.floats(-60, 83)
longitudes = st.floats(-180, 180)


def land(latitude_deg, longitude_deg):
    try:
        return normals_at(WORLD, latitude_deg=latitude_deg, longitude_deg=longitude_deg)
    except ArbusculaError:
        return assume(condition=False)


@settings(deadline=None)
@given(latitudes, longitudes)
def test_normals_are_whole_and_possible(latitude_deg, longitude_deg):
    for year in (
        usual := land(latitude_deg, longitude_deg),
        by_day(usual),
    ):
        assert all(np.isfinite(part).all() for part in arrays_of(year).values())
        assert (year.night_min_c < year.day_max_c).all()
        assert (year.relative_humidity_frac <= 1).all()
        assert (year.rain_mm_d >= 0).all()
        assert (year.shortwave_mj_m2_d >= 0).all()


@settings(deadline=None, max_examples=40)
@given(
    latitudes,
    longitudes,
    st.dates(date(1950, 1, 1), date(2100, 1, 1)),
    st.integers(1, 40),
    st.floats(-15, 15),
    st.integers(0, 2**32),
)
def test_generated_weather_is_whole_and_possible(
    latitude_deg, longitude_deg, first, days_n, off_k, seed
):
    usual = by_day(land(latitude_deg, longitude_deg))
    ends = LastDay(
        night_min_c=usual.night_min_c[0] + off_k,
        day_max_c=usual.day_max_c[0] + off_k,
        rain_mm=0.0,
    )
    rng = np.random.default_rng(seed)
    daily = daily_weather(
        usual,
        FIGURES,
        rng=rng,
        members_n=5,
        first=first,
        days_n=days_n,
        after=ends,
    )
    hours = hourly_weather(
        daily, FIGURES, latitude_deg=latitude_deg, rng=rng, after=ends
    )
    for kind, n in ((daily, days_n), (hours, 24 * days_n)):
        for part in arrays_of(kind).values():
            assert part.shape == (5, n)
            assert np.isfinite(part).all()
    assert (daily.day_max_c > daily.night_min_c).all()
    assert (daily.rain_mm >= 0).all()
    assert hours.rain_mm.sum() == pytest.approx(daily.rain_mm.sum())
    assert (
        (hours.relative_humidity_frac > 0) & (hours.relative_humidity_frac <= 1)
    ).all()


@settings(deadline=None)
@given(st.text(max_size=30))
def test_any_text_is_a_place_or_a_told_fault(text):
    try:
        found = find_place(WORLD, text)
    except ArbusculaError as error:
        (fault,) = error.faults
        assert fault.message_id.startswith("place.")
    else:
        assert len(fields(found.place)) == 6
        assert found.place.timezone

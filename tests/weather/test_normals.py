from dataclasses import replace

import numpy as np
import pytest

from arbuscula.kinds.said import ArbusculaError
from arbuscula.weather.normals import by_day, corrected, normals_at
from arbuscula.weather.year import MONTH_OF_DAY, days_of_year, month_means
from tests.world import NEAR_52_N, WORLD, arrays_of, normals_of

JULY, JANUARY = 6, 0
DAYS = np.arange("2025-01-01", "2026-01-01", dtype="datetime64[D]")


def crossings(usual, floor_c):
    """Return when nights first reach a floor, and when they are below it again."""
    warm = np.flatnonzero(by_day(usual).night_min_c >= floor_c)
    return str(DAYS[warm[0]]), str(DAYS[warm[-1] + 1])


@pytest.mark.parametrize("town", ["Singapore", "Quito", "Kuala Lumpur", "Pontianak"])
def test_the_equator_has_no_season(town):
    """Practice, no source: the months of the equator are within two or three kelvin."""
    warmth_c = normals_of(town).air_temperature_c
    assert np.ptp(warmth_c) < 2.5


def test_the_south_is_warm_when_the_north_is_cold():
    assert normals_of("Trieste").air_temperature_c.argmax() in (6, 7)
    assert normals_of("Cape Town").air_temperature_c.argmax() in (0, 1)
    bergen = normals_of("Bergen").air_temperature_c
    cape = normals_of("Cape Town").air_temperature_c
    assert np.corrcoef(bergen, cape)[0, 1] < -0.9
    assert np.corrcoef(bergen, np.roll(cape, 6))[0, 1] > 0.9


def test_daylight_mirrors_between_the_hemispheres():
    """By half a year; the Earth is 7 % nearer to the sun in the southern summer."""
    north, south = (
        by_day(replace(normals_of("Trieste"), latitude_deg=latitude))
        for latitude in (45.0, -45.0)
    )
    light = north.shortwave_mj_m2_d / north.clearness_frac
    turned = np.roll(south.shortwave_mj_m2_d / south.clearness_frac, 183)
    assert light == pytest.approx(turned, rel=0.08)


@pytest.mark.parametrize("town", ["Longyearbyen", "Tromsø", "Ushuaia", "Murmansk"])
def test_places_near_the_poles_have_whole_years(town):
    for months in (normals_of(town), by_day(normals_of(town))):
        for year in arrays_of(months).values():
            assert np.isfinite(year).all()


def test_the_polar_night_is_dark():
    year = by_day(normals_of("Longyearbyen"))
    assert year.shortwave_mj_m2_d[:30].max() == 0
    assert year.shortwave_mj_m2_d[170] > 10


def test_figs_stand_out_near_52_n_from_may_to_september():
    """Practice, no source, says May or June to the end of September.

    The dates are computed once before, from the same sources; a day is what a
    tenth of a kelvin in the packed table may move them.
    """
    usual = normals_at(WORLD, **NEAR_52_N)
    out, back = crossings(usual, 10)
    assert out in ("2025-05-21", "2025-05-22", "2025-05-23")
    assert back in ("2025-09-27", "2025-09-28", "2025-09-29")
    assert crossings(usual, 12)[0][:7] == "2025-06"


def test_a_thousand_metres_are_five_kelvin_and_a_half():
    here = {"latitude_deg": 46.5, "longitude_deg": 11.3}
    low = normals_at(WORLD, **here, elevation_m=300)
    high = normals_at(WORLD, **here, elevation_m=1300)
    assert low.night_min_c - high.night_min_c == pytest.approx(np.full(12, 5.5))
    assert low.rain_mm_d == pytest.approx(high.rain_mm_d)


def test_days_keep_the_means_of_their_months():
    """Smooth curves keep them exactly; bounded ones to a few parts in a thousand."""
    for town in ("Trieste", "Cairo", "Mumbai", "Yakutsk"):
        months = normals_of(town)
        days = by_day(months)
        for name in ("night_min_c", "day_max_c", "air_temperature_c"):
            assert month_means(getattr(days, name)) == pytest.approx(
                getattr(months, name), abs=1e-6
            )
        assert month_means(days.rain_mm_d) == pytest.approx(
            months.rain_mm_d, rel=0.02, abs=0.01
        )
        assert month_means(days.clearness_frac) == pytest.approx(
            months.clearness_frac, rel=0.01
        )


def test_the_year_is_round_and_smooth():
    nights = by_day(normals_of("Trieste")).night_min_c
    steps = np.diff(np.append(nights, nights[0]))
    assert np.abs(steps).max() < 0.25  # K from one day to the next
    assert np.abs(np.diff(np.append(steps, steps[0]))).max() < 0.02


def test_many_places_at_once_are_each_as_alone():
    towns = WORLD.gazetteer
    chosen = np.arange(0, 60_000, 997)
    where = {
        "latitude_deg": towns.latitude_deg[chosen],
        "longitude_deg": towns.longitude_deg[chosen],
        "elevation_m": towns.elevation_m[chosen],
    }
    together = normals_at(WORLD, **where)
    together_by_day = by_day(together)
    assert together.night_min_c.shape == (chosen.size, 12)
    for place in range(0, chosen.size, 7):
        alone = normals_at(WORLD, **{key: v[place] for key, v in where.items()})
        for many, one in ((together, alone), (together_by_day, by_day(alone))):
            for name, year in arrays_of(one).items():
                assert getattr(many, name)[place] == pytest.approx(year, abs=1e-9)


def test_every_place_of_the_gazetteer_has_normals():
    towns = WORLD.gazetteer
    usual = normals_at(
        WORLD,
        latitude_deg=towns.latitude_deg,
        longitude_deg=towns.longitude_deg,
        elevation_m=towns.elevation_m,
    )
    assert (usual.night_min_c < usual.day_max_c).all()
    assert ((usual.air_temperature_c > -60) & (usual.air_temperature_c < 45)).all()
    assert ((usual.wet_frac >= 0) & (usual.wet_frac <= 0.9)).all()
    assert ((usual.clearness_frac > 0.05) & (usual.clearness_frac < 0.8)).all()
    assert (usual.vapour_pressure_kpa > 0).all()


def test_open_sea_and_the_ice_of_the_pole_are_refused_one_by_one():
    with pytest.raises(ArbusculaError) as refused:
        normals_at(
            WORLD,
            latitude_deg=np.array([0.0, 45.7, -85.0]),
            longitude_deg=np.array([-30.0, 13.8, 0.0]),
        )
    assert [fault.message_id for fault in refused.value.faults] == ["place.at_sea"] * 2
    assert refused.value.faults[0].figures["longitude_deg"] == -30


def test_the_date_line_is_no_edge():
    west = normals_at(WORLD, latitude_deg=-16.8, longitude_deg=179.99)
    east = normals_at(WORLD, latitude_deg=-16.8, longitude_deg=-179.99)
    assert west.night_min_c == pytest.approx(east.night_min_c, abs=0.2)


def corrected_by(night_min_c=None, day_max_c=None):
    usual = normals_of("Trieste")
    return usual, corrected(
        usual, WORLD, night_min_c=night_min_c or {}, day_max_c=day_max_c or {}
    )


def test_one_local_figure_moves_all_nights_and_no_day():
    usual, here = corrected_by({5: 10.0})
    moved = here.night_min_c - usual.night_min_c
    assert here.night_min_c[4] == pytest.approx(10.0)
    assert moved == pytest.approx(np.full(12, moved[0]))
    assert here.day_max_c == pytest.approx(usual.day_max_c)
    assert here.dew_point_c - usual.dew_point_c == pytest.approx(moved)
    assert here.error.night_min_k < usual.error.night_min_k


def test_figures_of_two_months_are_met_and_joined_around_the_year():
    usual, here = corrected_by({1: 3.0, 7: 17.0})
    moved = here.night_min_c - usual.night_min_c
    assert here.night_min_c[[0, 6]] == pytest.approx([3.0, 17.0])
    assert moved[3] == pytest.approx((moved[0] + moved[6]) / 2)
    assert moved[9] == pytest.approx(moved[3])  # as far into the winter as into spring


def test_a_figure_of_the_day_moves_days_only():
    usual, here = corrected_by(day_max_c={7: 33.0})
    assert here.night_min_c == pytest.approx(usual.night_min_c)
    assert here.day_max_c[6] == pytest.approx(33.0)
    assert here.air_temperature_c[6] > usual.air_temperature_c[6]
    assert here.error == usual.error


def test_degrees_fahrenheit_are_refused_as_far_off():
    with pytest.raises(ArbusculaError) as refused:
        corrected_by({5: 52.0})
    (fault,) = refused.value.faults
    assert fault.message_id == "normals.far"
    assert fault.figures["month"] == "5"


def test_a_leap_day_takes_the_place_of_the_day_before():
    days = days_of_year(np.datetime64("2028-02-27").item(), 4)
    assert days.tolist() == [57, 58, 58, 59]
    assert days_of_year(np.datetime64("2028-12-31").item(), 2).tolist() == [364, 0]
    assert MONTH_OF_DAY[days_of_year(np.datetime64("2027-03-01").item(), 1)] == 2

"""Benches in the open, under nets and roofs: shares, rims and walls."""

import numpy as np
import pytest

from arbuscula.kinds.place import Exposure
from arbuscula.microclimate.open_air import air_at_crown
from tests.microclimate.benches import (
    BALL,
    LIBRARY,
    STAIR,
    air_on,
    bench,
    last_day,
    light_mol_m2_d,
    rows_on,
    vapour_of,
    weather,
)

JUNE = weather()
OPEN = bench(Exposure.OPEN)


DECEMBER = weather("2026-12-21", mean_c=4.0)


def light(told=JUNE, **said):
    return light_mol_m2_d(rows_on(told, bench(Exposure.OPEN, **said)))


def test_an_open_bench_has_the_weather_as_it_is():
    told = rows_on(JUNE, OPEN)
    for name in JUNE.__dataclass_fields__:
        assert getattr(told, name) == pytest.approx(getattr(JUNE, name)), name


def test_crowns_on_an_open_bench_feel_the_open_air():
    one, other = air_on(JUNE, OPEN), air_at_crown(JUNE, STAIR, BALL)
    for name in one.__dataclass_fields__:
        assert getattr(one, name) == pytest.approx(getattr(other, name)), name


def test_netting_takes_the_share_that_was_said_of_beam_and_sky():
    netted = bench(Exposure.SHADE_NETTING, shade_frac=0.6)
    one, other = air_on(JUNE, netted), air_on(JUNE, OPEN)
    assert one.beam_w_m2 == pytest.approx(0.4 * other.beam_w_m2)
    assert one.sky_w_m2 == pytest.approx(0.4 * other.sky_w_m2)


def test_netting_nobody_described_has_its_usual_share():
    share = LIBRARY.shelters[Exposure.SHADE_NETTING].light_frac.value
    told = rows_on(JUNE, bench(Exposure.SHADE_NETTING))
    assert light_mol_m2_d(told) == pytest.approx(share * light())


def test_half_the_sky_in_sight_hides_a_low_sun_and_half_the_cold_sky():
    one, other = air_on(JUNE, bench(Exposure.OPEN, sky_frac=0.5)), air_on(JUNE, OPEN)
    up = np.degrees(other.sun_elevation_rad)
    assert np.all(one.beam_w_m2[up < 45] == 0)
    assert one.beam_w_m2[up > 46] == pytest.approx(other.beam_w_m2[up > 46])
    assert one.sky_w_m2 == pytest.approx(other.sky_w_m2 / 2)
    assert one.longwave_w_m2 == pytest.approx(other.longwave_w_m2 / 2)


def test_a_wall_to_the_south_takes_more_than_one_to_the_north():
    """In December the sun stays south; the north wall takes sky alone."""
    south, north = (
        light(DECEMBER, facing_deg=s, obstruction_deg=50.0) for s in (180.0, 0.0)
    )
    assert south < north < light(DECEMBER)


def test_a_roof_over_a_south_wall_shades_in_june_more_than_in_december():
    eaves = bench(Exposure.OPEN, facing_deg=180.0, overhang_deg=60.0)

    def kept(told):
        return light_mol_m2_d(rows_on(told, eaves)) / light_mol_m2_d(told)

    assert kept(JUNE) < 0.4 < kept(DECEMBER)


def test_under_a_roof_little_rain_falls():
    told = rows_on(JUNE, bench(Exposure.OPEN, facing_deg=180.0, overhang_deg=60.0))
    assert told.rain_mm == pytest.approx(0.1 * JUNE.rain_mm)


def test_a_rain_cover_of_known_sheet_passes_what_the_sheet_does():
    film, twin = (
        light_mol_m2_d(rows_on(JUNE, bench(Exposure.RAIN_COVER, cover=c)))
        for c in ("film", "polycarbonate")
    )
    assert twin < film < light()


def test_the_floor_of_a_shelter_may_be_heated():
    frost = weather("2026-01-15", mean_c=-8.0)
    there = bench(Exposure.SHELTER_FLOOR, heat_to_c=5.0)
    assert rows_on(frost, there).air_temperature_c.min() >= 5


@pytest.mark.parametrize(
    "exposure", [Exposure.GLASSHOUSE, Exposure.COLD_FRAME, Exposure.SHELTER_FLOOR]
)
def test_shares_that_only_warm_the_air_leave_it_drier(exposure):
    frost = weather("2026-01-15", mean_c=-3.0)
    told, own = rows_on(frost, bench(exposure)), LIBRARY.shelters[exposure]
    more = last_day(vapour_of(told) - vapour_of(frost))
    assert np.all(more <= own.own_vapour_kpa.value + 1e-9)
    assert np.all(more >= 0)


def test_members_come_first_and_each_is_answered_alone():
    from dataclasses import replace

    many = replace(JUNE, shortwave_w_m2=JUNE.shortwave_w_m2 * np.array([[1.0], [0.4]]))
    for one in (OPEN, bench(facing_deg=90.0), bench(Exposure.GLASSHOUSE, heat_to_c=9)):
        told = rows_on(many, one)
        assert told.shortwave_w_m2.shape == (2, JUNE.from_s.size)
        alone = rows_on(JUNE, one).shortwave_w_m2
        assert told.shortwave_w_m2[0] == pytest.approx(alone)

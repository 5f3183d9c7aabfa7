"""Glasshouse and cold frame: light, air and vapour under a cover."""

from dataclasses import replace

import numpy as np
import pytest

from arbuscula.kinds.place import Exposure
from arbuscula.microclimate.felt import mean_of_last, outside_of
from arbuscula.microclimate.glasshouse import air_in_house
from tests.microclimate.benches import (
    LIBRARY,
    STAIR,
    bench,
    last_day,
    light_mol_m2_d,
    rows_on,
    vapour_of,
    weather,
)

JUNE = weather(days_n=4)
FROST = weather("2026-01-15", mean_c=-3.0, days_n=4)
BUILT = LIBRARY.shelters[Exposure.GLASSHOUSE].built
FIGURES = BUILT.figures.glasshouse


def house(**said):
    return bench(Exposure.GLASSHOUSE, **{"ventilation": "closed", **said})


def air_c(told, one):
    return last_day(rows_on(told, one).air_temperature_c)


def test_a_house_nobody_described_has_the_usual_shares():
    plain = bench(Exposure.GLASSHOUSE)
    share = LIBRARY.shelters[Exposure.GLASSHOUSE].light_frac.value
    told = rows_on(JUNE, plain)
    assert light_mol_m2_d(told) == pytest.approx(share * light_mol_m2_d(JUNE))


def test_a_closed_house_makes_no_energy():
    """Equal days, no clear sky to lose to: all the sun brought goes out again."""
    outside = replace(outside_of(JUNE, STAIR), vapour_pressure_kpa=1.0)
    light = replace(outside.light, longwave_w_m2=0 * JUNE.shortwave_w_m2)
    air = air_in_house(replace(outside, light=light), house(), FIGURES, BUILT)
    over_k = last_day(air.air_temperature_c - JUNE.air_temperature_c)
    cover = LIBRARY.glazings["horticultural"]
    lost = cover.loss_w_m2_k.value * FIGURES.cover_ratio.value + 1.0 * 2.5 / 3
    came_in = 0.83 * FIGURES.light_frac.value * last_day(JUNE.shortwave_w_m2)
    assert lost * over_k.sum() < came_in.sum()
    through = lost * over_k.sum() / (1 - FIGURES.latent_frac.value) / came_in.sum()
    assert through == pytest.approx(0.9, abs=0.05)  # of straight light, all around


def test_without_sun_a_closed_house_never_passes_the_last_days_air():
    dark = replace(FROST, shortwave_w_m2=0 * FROST.shortwave_w_m2)
    inside = air_c(dark, house())
    mean_c = mean_of_last(dark, dark.air_temperature_c, 24.0)
    assert np.all(inside <= last_day(np.maximum(dark.air_temperature_c, mean_c)))


def test_shut_houses_grow_hot_vents_help_and_fans_help_more():
    shut, vents, fan = (
        air_c(JUNE, house(ventilation=way)).max() for way in ("closed", "vents", "fan")
    )
    outside = last_day(JUNE.air_temperature_c).max()
    assert outside < fan < vents < shut
    assert shut > outside + 10


def test_an_unheated_house_is_a_little_warmer_than_a_frosty_night():
    """1 to 6 K (practice, no source: a cold house saves a mild frost, no more)."""
    over = air_c(FROST, house()).min() - last_day(FROST.air_temperature_c).min()
    assert 1 < over < 6


def test_a_heater_holds_what_was_said():
    inside = air_c(FROST, house(heat_to_c=8.0))
    assert inside.min() == pytest.approx(8.0)


def test_a_screen_keeps_a_house_warmer_by_night():
    plain, screened = house(), house(has_screen=True)
    assert air_c(FROST, screened).min() > air_c(FROST, plain).min()


def test_twin_walls_keep_more_warmth_than_glass_and_pass_less_light():
    glass, twin = house(cover="horticultural"), house(cover="polycarbonate")
    assert air_c(FROST, twin).min() > air_c(FROST, glass).min()
    assert light_mol_m2_d(rows_on(JUNE, twin)) < light_mol_m2_d(rows_on(JUNE, glass))


def test_shading_takes_light_and_heat():
    plain, painted = (
        house(ventilation="vents"),
        house(ventilation="vents", shade_frac=0.5),
    )
    assert light_mol_m2_d(rows_on(JUNE, painted)) == pytest.approx(
        light_mol_m2_d(rows_on(JUNE, plain)) / 2
    )
    assert air_c(JUNE, painted).max() < air_c(JUNE, plain).max()


def test_plants_make_a_house_damp_by_day_and_warming_adds_nothing_by_night():
    told = rows_on(JUNE, house(ventilation="vents"))
    more = last_day(vapour_of(told) - vapour_of(JUNE))
    day = last_day(JUNE.shortwave_w_m2) > 50
    night = last_day(JUNE.shortwave_w_m2) == 0
    assert np.all(more[day] > 0)
    assert more[night] == pytest.approx(0 * more[night], abs=1e-9)


def test_nothing_is_wetter_than_full():
    told = rows_on(FROST, house())
    assert np.all(told.relative_humidity_frac <= 1)


def test_a_cold_frame_is_a_small_house():
    frame = bench(Exposure.COLD_FRAME, ventilation="vents")
    shut = bench(Exposure.COLD_FRAME, ventilation="closed")
    assert air_c(JUNE, frame).max() < air_c(JUNE, shut).max()
    assert air_c(FROST, shut).min() > last_day(FROST.air_temperature_c).min() + 1


def test_rows_told_in_two_parts_say_the_same():
    """A day before is all that a house remembers."""
    whole = rows_on(JUNE, house()).air_temperature_c
    later = replace(
        JUNE, **{n: getattr(JUNE, n)[24:] for n in JUNE.__dataclass_fields__}
    )
    again = rows_on(later, house()).air_temperature_c
    assert np.all(again[24:] == whole[48:])

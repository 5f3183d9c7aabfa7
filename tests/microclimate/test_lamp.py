"""Lamps: as bright and as long as was said."""

from datetime import time

import numpy as np
import pytest

from arbuscula.kinds.place import Exposure
from arbuscula.science.light import lamp_light_mol_m2_d
from tests.microclimate.benches import (
    air_on,
    bench,
    last_day,
    light_mol_m2_d,
    rows_on,
    weather,
)

DECEMBER = weather("2026-12-21", mean_c=4.0)


def shelf(**said):
    return bench(Exposure.LAMP, **{"ppfd_umol_m2_s": 120.0, "lit_h": 14.0, **said})


@pytest.mark.parametrize("lit_h", [0.5, 8.0, 13.25, 24.0])
@pytest.mark.parametrize("lit_from", [None, time(5, 30), time(20)])
def test_a_day_under_a_lamp_is_its_photons_times_its_hours(lit_h, lit_from):
    here = shelf(lit_h=lit_h, lit_from=lit_from)
    day = lamp_light_mol_m2_d(ppfd_umol_m2_s=120.0, lit_h=lit_h)
    assert light_mol_m2_d(rows_on(DECEMBER, here)) == pytest.approx(day)


def test_a_lamp_burns_in_the_hours_that_were_said():
    told = rows_on(DECEMBER, shelf(lit_h=6.0, lit_from=time(22)))
    solar_h = (told.from_s / 3600 + 13.8 / 15) % 24
    dark = (solar_h > 5) & (solar_h < 21)
    assert np.all(told.shortwave_w_m2[dark] == 0)
    assert told.shortwave_w_m2[~dark].max() > 0


def test_the_light_comes_from_above():
    air = air_on(DECEMBER, shelf())
    assert np.all(air.beam_w_m2 == 0)
    assert np.all(air.window_w_m2 == 0)
    assert last_day(air.sky_w_m2).max() == pytest.approx(120 / 2.018)


def test_a_lamp_at_a_window_adds_to_the_day():
    plain = bench(facing_deg=180.0)
    lit = bench(facing_deg=180.0, ppfd_umol_m2_s=100.0, lit_h=10.0)
    more = light_mol_m2_d(rows_on(DECEMBER, lit)) - light_mol_m2_d(
        rows_on(DECEMBER, plain)
    )
    assert more == pytest.approx(lamp_light_mol_m2_d(ppfd_umol_m2_s=100.0, lit_h=10.0))


def test_a_reading_of_daylight_does_not_scale_the_lamp():
    here = shelf(light_ratio=0.3)
    assert light_mol_m2_d(rows_on(DECEMBER, here)) == pytest.approx(
        light_mol_m2_d(rows_on(DECEMBER, shelf()))
    )

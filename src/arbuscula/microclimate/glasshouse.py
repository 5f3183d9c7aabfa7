"""Glasshouse: air and light under a cover, from sun, losses, vents and a heater."""

from typing import Final

import numpy as np

from arbuscula.kinds.exposure import Built, Glazing, HouseFigures, VentFigures
from arbuscula.kinds.place import Bench
from arbuscula.kinds.values import Num
from arbuscula.microclimate.felt import Air, Light, Outside, mean_of_last, pressure_kpa
from arbuscula.microclimate.room import (
    with_vapour,
)
from arbuscula.microclimate.sight import sky_in_sight_frac, sun_in_sight
from arbuscula.microclimate.window import glazing_of
from arbuscula.science.glasshouse import (
    House,
    air_exchange_w_m2_k,
    house_air,
    house_vapour_kpa,
)
from arbuscula.science.glazing import diffuse_transmitted_frac
from arbuscula.units import DAY_H

NIGHT_W_M2: Final = 5.0  # a screen is drawn under it
UNHEATED_C: Final = -np.inf


def house_light(
    outside: Outside, bench: Bench, figures: HouseFigures, built: Built
) -> Light:
    """Return the light under a cover, and no cold sky.

    Beam and sky are dimmed alike, as by an evenly bright sky: a roof's planes and
    bars look everywhere.
    """
    share = cover_frac(bench, figures, built)
    return Light(
        beam_w_m2=share * outside.light.beam_w_m2 * sun_in_sight(outside, bench),
        sky_w_m2=share * outside.light.sky_w_m2 * sky_in_sight_frac(bench),
        window_w_m2=np.zeros_like(outside.light.sky_w_m2),
        longwave_w_m2=np.zeros_like(outside.light.longwave_w_m2),
    )


def cover_frac(bench: Bench, figures: HouseFigures, built: Built) -> float:
    """Return how much of the light for leaves comes through cover, frame and shade."""
    cover = glazing_of(bench.cover, figures.cover, built)
    return _open_frac(bench, figures) * _through(cover, cover.visible_frac.value)


def _open_frac(bench: Bench, figures: HouseFigures) -> float:
    return figures.light_frac.value * (1 - (bench.shade_frac or 0.0))


def _through(cover: Glazing, normal_frac: float) -> float:
    return diffuse_transmitted_frac(normal_frac=normal_frac, panes_n=cover.panes_n)


def air_in_house(
    outside: Outside, bench: Bench, figures: HouseFigures, built: Built
) -> Air:
    """Return the air under a cover where gains and losses are even, hour by hour.

    Floor and pots keep the warmth of the last day: they are as warm as its mean
    air would have been without them, so that what they give by night is what they
    took by day.
    """
    rows, cover = outside.rows, glazing_of(bench.cover, figures.cover, built)
    through = _open_frac(bench, figures) * _through(cover, cover.solar_frac.value)
    inside_w_m2 = through * _level_w_m2(outside, bench)
    warming_w_m2 = (1 - figures.latent_frac.value) * inside_w_m2
    house = _house(outside, bench, figures, cover, store_w_m2_k=0.0)
    at_once = house_air(
        house,
        outside_c=rows.air_temperature_c,
        cover_sees_c=rows.air_temperature_c,
        gain_w_m2=warming_w_m2,
        store_c=rows.air_temperature_c,
    )
    store_c = mean_of_last(rows, at_once.air_temperature_c, DAY_H)
    stored = figures.store_w_m2_k.value
    house = _house(outside, bench, figures, cover, store_w_m2_k=stored)
    air = house_air(
        house,
        outside_c=rows.air_temperature_c,
        cover_sees_c=_cover_sees_c(outside, figures),
        gain_w_m2=warming_w_m2,
        store_c=store_c,
    )
    cooled = min(
        cover.loss_w_m2_k.value / built.figures.window.inside_w_m2_k.value, 1.0
    )
    air_c, outside_c = air.air_temperature_c, rows.air_temperature_c
    vapour = house_vapour_kpa(
        outside_kpa=outside.vapour_pressure_kpa,
        outside_c=outside_c,
        air_temperature_c=air_c,
        cover_c=air_c - cooled * (air_c - outside_c),
        evaporated_w_m2=inside_w_m2 - warming_w_m2,
        exchange_w_m2_k=air.exchange_w_m2_k,
        air_pressure_kpa=pressure_kpa(outside.spot),
    )
    vents = _vents(bench, figures)
    return with_vapour(
        Air(
            air_temperature_c=air.air_temperature_c,
            vapour_pressure_kpa=vapour,
            wind_speed_m_s=np.full_like(
                np.asarray(air.air_temperature_c), vents.crown_wind_m_s.value
            ),
            turbulence_ratio=vents.turbulence_ratio.value,
            in_the_open=False,
        ),
        bench,
    )


def _level_w_m2(outside: Outside, bench: Bench) -> Num:
    """Return the sun's energy on the level, as far as it is in sight."""
    light = outside.light
    up = np.sin(np.radians(np.maximum(light.sun_elevation_deg, 0.0)))
    beam_w_m2 = light.beam_w_m2 * up * sun_in_sight(outside, bench)
    return beam_w_m2 + light.sky_w_m2 * sky_in_sight_frac(bench)


def _house(
    outside: Outside,
    bench: Bench,
    figures: HouseFigures,
    cover: Glazing,
    *,
    store_w_m2_k: float,
) -> House:
    height_m, heat_to_c = figures.height_m.value, bench.heat_to_c
    usual_c = figures.vent_at_c.value
    vent_at_c = usual_c if bench.vent_at_c is None else bench.vent_at_c

    def exchange(vents: VentFigures) -> float:
        changes_per_h = vents.changes_per_h.value
        return air_exchange_w_m2_k(changes_per_h=changes_per_h, height_m=height_m)

    return House(
        loss_w_m2_k=_loss_w_m2_k(outside, bench, figures, cover),
        leak_w_m2_k=exchange(figures.closed),
        vent_most_w_m2_k=exchange(_vents(bench, figures)),
        store_w_m2_k=store_w_m2_k,
        vent_at_c=max(vent_at_c, -np.inf if heat_to_c is None else heat_to_c),
        heat_to_c=UNHEATED_C if heat_to_c is None else heat_to_c,
    )


def _vents(bench: Bench, figures: HouseFigures) -> VentFigures:
    ways = {"closed": figures.closed, "vents": figures.vents, "fan": figures.fan}
    return ways[bench.ventilation or "vents"]


def _loss_w_m2_k(
    outside: Outside, bench: Bench, figures: HouseFigures, cover: Glazing
) -> Num:
    loss = cover.loss_w_m2_k.value * figures.cover_ratio.value
    if not bench.has_screen:
        return loss
    drawn = outside.rows.shortwave_w_m2 < NIGHT_W_M2
    return np.where(drawn, figures.screen_ratio.value * loss, loss)


def _cover_sees_c(outside: Outside, figures: HouseFigures) -> Num:
    """Return how cold the cover's outside feels under a clear sky."""
    colder_k = outside.light.longwave_w_m2 / figures.outside_w_m2_k.value
    return outside.rows.air_temperature_c + figures.roof_frac.value * colder_k

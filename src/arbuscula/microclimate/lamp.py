"""Lamp: light that somebody switches on, added to what the day gives."""

from dataclasses import replace

import numpy as np

from arbuscula.kinds.exposure import LampFigures
from arbuscula.kinds.place import Bench
from arbuscula.kinds.values import Num
from arbuscula.microclimate.felt import (
    Light,
    Outside,
    solar_hour_h,
)
from arbuscula.science.light import SUN_UMOL_J
from arbuscula.units import DAY_H, HOUR_S


def with_lamp(
    light: Light, outside: Outside, bench: Bench, figures: LampFigures
) -> Light:
    """Return the light at a bench with its lamp, as sunlight of as many photons.

    A lamp gives less warmth for its photons than the sun; leaves take most of
    either, so that the heat on a leaf comes out a fifth too high.
    """
    if not bench.ppfd_umol_m2_s:
        return light
    lit = bench.ppfd_umol_m2_s * _lit_frac(outside, bench, figures)
    return replace(light, sky_w_m2=light.sky_w_m2 + lit / SUN_UMOL_J)


def _lit_frac(outside: Outside, bench: Bench, figures: LampFigures) -> Num:
    """Return how much of each row the lamp is on; the clock is the sun's."""
    lit_h = figures.lit_h.value if bench.lit_h is None else bench.lit_h
    since = bench.lit_from
    on_h = since.hour + since.minute / 60 if since else figures.lit_from_h.value
    rows = outside.rows
    lasts_h = (rows.until_s - rows.from_s) / HOUR_S
    begins_h = (solar_hour_h(rows, outside.spot) - on_h) % DAY_H
    lit = np.zeros_like(begins_h)
    for begun_h in (0.0, DAY_H):  # what passes midnight burns in the morning
        ends_h = np.minimum(begins_h + lasts_h, begun_h + lit_h)
        lit = lit + np.maximum(ends_h - np.maximum(begins_h, begun_h), 0.0)
    return lit / lasts_h

"""Toppling: the gust that tips a pot over its edge."""

from typing import Final

import numpy as np

from arbuscula.kinds.values import Num

GRAVITY_M_S2: Final = 9.80665  # standard, by definition
AIR_KG_M3: Final = 1.2  # at 20 degrees and 1013 hPa


def toppling_wind_m_s(
    *,
    mass_kg: Num,
    half_foot_m: Num,
    crown_m2: Num,
    crown_height_m: Num,
    drag_ratio: Num,
) -> Num:
    """Return the wind in which a standing pot just tips over its edge.

    The moment of the wind on the crown about the pot's edge is that of its weight:
    1/2 rho C A v2 h = m g b.

    Shape: arguments broadcast together.
    Errors: none raised; no crown gives infinity.
    Holds for: a pot that stands level, free and untied, a rigid tree, a gust that
      lasts until it lies. Crowns that bend out of the wind bear more.
    Source: geometry, balance of moments; harper2010 for what a gust is.
    """
    weight_nm = mass_kg * GRAVITY_M_S2 * half_foot_m
    per_square = 0.5 * AIR_KG_M3 * drag_ratio * crown_m2 * crown_height_m
    with np.errstate(divide="ignore"):
        return np.sqrt(np.divide(weight_nm, per_square))

"""Toppling: how hard it must blow to tip a pot over its foot."""

from typing import Final

import numpy as np

from arbuscula.kinds.values import Num

AIR_KG_M3: Final = 1.25  # as the codes of wind take it
GRAVITY_M_S2: Final = 9.80665


def wind_pressure_kpa(wind_speed_m_s: Num) -> Num:
    """Return the pressure of wind that is stopped.

    Shape: any; the answer has the shape of the argument.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: air of 1.25 kg/m3, as near 10 degC by the sea.
    Source: en1991, eq. 4.10.
    """
    return AIR_KG_M3 * np.square(wind_speed_m_s) / 2 / 1000


def tipping_wind_m_s(
    *,
    mass_kg: Num,
    half_foot_m: Num,
    crown_m2: Num,
    crown_height_m: Num,
    drag_ratio: Num,
) -> Num:
    """Return the wind at the crown that tips a pot over the edge of its foot.

    The wind's moment about that edge is the force on the crown times its height,
    the weight's is that times half the foot. A pot that slides, or soil that lets
    the tree go, comes before or after and is left out.

    Shape: arguments broadcast together.
    Errors: none raised; no crown gives infinity.
    Holds for: a pot that stands free and level; the crown's area as seen from the
      side where the pot is narrowest; a wind that lasts as long as a pot takes to
      tip, which is a gust of some seconds.
    Source: en1991, eq. 5.3, and statics.
    """
    holds = GRAVITY_M_S2 * mass_kg * half_foot_m
    pushes = AIR_KG_M3 / 2 * drag_ratio * crown_m2 * crown_height_m
    with np.errstate(divide="ignore"):
        return np.sqrt(np.divide(holds, pushes))

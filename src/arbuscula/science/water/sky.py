"""Sky: the longwave that air and cloud send down, less that of a black body."""

import numpy as np

from arbuscula.kinds.values import Num
from arbuscula.units import STEFAN_BOLTZMANN_W_M2_K4, ZERO_C_IN_KELVIN


def sky_longwave_w_m2(
    *, air_temperature_c: Num, vapour_pressure_kpa: Num, cloud_frac: Num
) -> Num:
    """Return what the sky sends, less what a body at air temperature would.

    Shape: arguments broadcast together.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: the open sky; nil under glass and in a room.
    Source: brutsaert1975, with the cloud factor of unsworth1975 (from memory).
    """
    kelvin = air_temperature_c + ZERO_C_IN_KELVIN
    clear = 1.24 * (10 * vapour_pressure_kpa / kelvin) ** (1 / 7)
    emissivity = np.minimum(1.0, clear * (1 + 0.22 * cloud_frac**2))
    return (emissivity - 1) * STEFAN_BOLTZMANN_W_M2_K4 * kelvin**4

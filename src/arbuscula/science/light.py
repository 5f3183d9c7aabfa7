"""Light: what a leaf can use of it, from watts, lux and foot-candles."""

from collections.abc import Mapping
from types import MappingProxyType
from typing import Final

from arbuscula.kinds.values import Num
from arbuscula.units import HOUR_S

# Photons for leaves in a joule of sun and sky: 45 % of it, 4.48 umol each.
# Other authors come to 1.96, 2.04 and 2.06: hold every light sum to 3 %.
SUN_UMOL_J: Final = 2.018

# A white diode lamp is missing on purpose: its factor stands on its own sheet.
LAMPS_UMOL_LUX_S_M2: Final[Mapping[str, float]] = MappingProxyType(
    {
        "sun": 1 / 54,
        "cool white tube": 1 / 74,
        "high-pressure sodium": 1 / 82,
        "double-ended sodium": 1 / 77,
        "metal halide": 1 / 71,
        "ceramic metal halide 942": 1 / 65,
        "ceramic metal halide 930": 1 / 59,
    }
)


def sun_ppfd_umol_m2_s(shortwave_w_m2: Num) -> Num:
    """Return the photons for leaves in this much sun and sky.

    Shape: any; the answer has the shape of the argument.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: daylight, whole spectrum, 300 to 3000 nm; never for a lamp.
    Source: faust2018.
    """
    return SUN_UMOL_J * shortwave_w_m2


def sun_light_mol_m2_d(shortwave_mj_m2_d: Num) -> Num:
    """Return the day's light sum in this much sun and sky.

    Shape: any; the answer has the shape of the argument.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: daylight, whole spectrum, 300 to 3000 nm; never for a lamp.
    Source: faust2018.
    """
    return SUN_UMOL_J * shortwave_mj_m2_d


def lamp_light_mol_m2_d(*, ppfd_umol_m2_s: Num, lit_h: Num) -> Num:
    """Return the day's light sum under a lamp that burns these hours.

    Shape: arguments broadcast together.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: light that stays the same while it is on.
    Source: arbuscula, 3600 seconds to the hour.
    """
    return ppfd_umol_m2_s * lit_h * HOUR_S / 1e6


def ppfd_umol_m2_s(*, light_lux: Num, lamp_umol_lux_s_m2: float) -> Num:
    """Return the photons for leaves where a meter for eyes shows these lux.

    Shape: any; the answer has the shape of the reading.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: one kind of lamp; its factor from the table or its own sheet.
    Source: apogee.
    """
    return light_lux * lamp_umol_lux_s_m2


def light_lux(*, ppfd_umol_m2_s: Num, lamp_umol_lux_s_m2: float) -> Num:
    """Return what a meter for eyes shows at these photons for leaves.

    Shape: any; the answer has the shape of the photons.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: one kind of lamp; its factor from the table or its own sheet.
    Source: apogee.
    """
    return ppfd_umol_m2_s / lamp_umol_lux_s_m2

"""Light read: what a light meter told, in photons for leaves."""

import re
from typing import Final

from arbuscula.kinds.events import Reading
from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.science.light import LAMPS_UMOL_LUX_S_M2, ppfd_umol_m2_s

PPFD: Final = "ppfd_umol_m2_s"
LUX: Final = "light_lux"
OWN_FACTOR: Final = re.compile(r"0?\.0[0-9]+")
SUN: Final = "sun"


def refuse_unread_light(reading: Reading) -> None:
    """Refuse lux of an unknown lamp: they tell nothing of the light for leaves."""
    if reading.quantity == LUX:
        read_umol_m2_s(reading)


def read_umol_m2_s(reading: Reading) -> float:
    """Return the photons for leaves that a light meter told."""
    if reading.quantity == PPFD:
        return reading.value
    factor = _umol_lux_s_m2(reading.how)
    told = ppfd_umol_m2_s(light_lux=reading.value, lamp_umol_lux_s_m2=factor)
    return float(told)


def _umol_lux_s_m2(how: str) -> float:
    """Return what a lux is worth under the light that was named, or its own factor."""
    spoken = " ".join(how.casefold().replace("-", " ").split()) or SUN
    if own := OWN_FACTOR.search(spoken):
        return float(own[0])
    for lamp, factor in LAMPS_UMOL_LUX_S_M2.items():
        if lamp.replace("-", " ") in spoken:
            return factor
    figures = {"found": how, "near": ", ".join(LAMPS_UMOL_LUX_S_M2)}
    raise ArbusculaError(Said("light.unknown_lamp", figures))

"""Light read: what a light meter told, in photons for leaves."""

import re
from dataclasses import dataclass
from typing import Final

from arbuscula.kinds.events import Reading
from arbuscula.kinds.exposure import LightFigures
from arbuscula.kinds.said import Figure, Said
from arbuscula.science.light import LAMPS_UMOL_LUX_S_M2, ppfd_umol_m2_s
from arbuscula.state.learning.light import sd_ln

PPFD: Final = "ppfd_umol_m2_s"
LUX: Final = "light_lux"
OWN_FACTOR: Final = re.compile(r"0?\.0[0-9]+")
SUN: Final = "sun"


@dataclass(frozen=True, slots=True, kw_only=True)
class LightRead:
    """Photons for leaves that a light meter told."""

    umol_m2_s: float
    factor_ln: float  # how unsure the lux are in photons; nil where a lamp was named


def light_read(reading: Reading, figures: LightFigures, *, has_lamp: bool) -> LightRead:
    """Return the photons that a meter told.

    Lux without a name are daylight's, or any lamp's where one hangs, in wide doubt.
    """
    if reading.quantity == PPFD:
        return LightRead(umol_m2_s=reading.value, factor_ln=0.0)
    factor, factor_ln = _named_umol_lux_s_m2(reading.how), 0.0
    if factor is None:
        unnamed, is_named = figures.unnamed_umol_lux_s_m2, bool(reading.how.strip())
        is_daylight = not (has_lamp or is_named)
        factor = LAMPS_UMOL_LUX_S_M2[SUN] if is_daylight else unnamed.value
        factor_ln = sd_ln(unnamed)
    told = ppfd_umol_m2_s(light_lux=reading.value, lamp_umol_lux_s_m2=factor)
    return LightRead(umol_m2_s=float(told), factor_ln=factor_ln)


def unnamed_light(reading: Reading, figures: LightFigures) -> Said | None:
    """Return that lux bear no name by which they are worth something certain."""
    if reading.quantity != LUX or _named_umol_lux_s_m2(reading.how) is not None:
        return None
    unnamed = figures.unnamed_umol_lux_s_m2
    told: dict[str, Figure] = {
        "least_lux": 1 / unnamed.high,  # for a micromole
        "most_lux": 1 / unnamed.low,
        "near": ", ".join(LAMPS_UMOL_LUX_S_M2),
    }
    return Said("light.unnamed", told)


def _named_umol_lux_s_m2(how: str) -> float | None:
    """Return what a lux is worth under the light that was named, or its own factor."""
    spoken = " ".join(how.casefold().replace("-", " ").split())
    if own := OWN_FACTOR.search(spoken):
        return float(own[0])
    for lamp, factor in LAMPS_UMOL_LUX_S_M2.items():
        if lamp.replace("-", " ") in spoken:
            return factor
    return None

"""Foreign: other people's units become ours."""

from typing import Final

from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.kinds.values import Num
from arbuscula.units import ZERO_C_IN_KELVIN, unit_of

WIND_HEIGHT_M: Final = 10.0  # where weather services tell the wind

# By our suffix, then by theirs: what to add first, and what to multiply with.
UNITS: Final[dict[str, dict[str, tuple[float, float]]]] = {
    "c": {
        "c": (0.0, 1.0),
        "degc": (0.0, 1.0),
        "°c": (0.0, 1.0),
        "celsius": (0.0, 1.0),
        "f": (-32.0, 5 / 9),
        "degf": (-32.0, 5 / 9),
        "°f": (-32.0, 5 / 9),
        "k": (-ZERO_C_IN_KELVIN, 1.0),
    },
    "frac": {"frac": (0.0, 1.0), "%": (0.0, 0.01)},
    "m_s": {
        "m_s": (0.0, 1.0),
        "m/s": (0.0, 1.0),
        "km/h": (0.0, 1 / 3.6),
        "kmh": (0.0, 1 / 3.6),
        "kn": (0.0, 1852 / 3600),
        "kt": (0.0, 1852 / 3600),
        "mph": (0.0, 0.44704),
        "mp/h": (0.0, 0.44704),
    },
    "mm": {
        "mm": (0.0, 1.0),
        "mm/hour": (0.0, 1.0),  # told by the hour
        "in": (0.0, 25.4),
        "inch": (0.0, 25.4),
    },
    "w_m2": {
        "w_m2": (0.0, 1.0),
        "w/m2": (0.0, 1.0),
        "w/m^2": (0.0, 1.0),
        "w/m²": (0.0, 1.0),
        "wh/m^2": (0.0, 1.0),  # told by the hour
        "mj/m^2": (0.0, 1 / 0.0036),
        "mj/hr": (0.0, 1 / 0.0036),
    },
    "umol_m2_s": {"umol_m2_s": (0.0, 1.0), "umol/m2/s": (0.0, 1.0)},
}


def in_our_unit(theirs: Num, *, name: str, unit: str, where: str) -> Num:
    """Return numbers in the unit that our name bears; refuse a unit we do not know."""
    plus, times = factors(name=name, unit=unit, where=where)
    return (theirs + plus) * times


def factors(*, name: str, unit: str, where: str) -> tuple[float, float]:
    """Return what to add to a number of this unit, and then to multiply with."""
    known = UNITS[unit_of(name) or ""]
    found = known.get(unit.strip().lower())
    if found is None:
        figures: dict[str, Figure] = {
            "where": where,
            "quantity": name,
            "found": unit or "none",
            "allowed": ", ".join(known),
        }
        raise ArbusculaError(Said("weather.unit_unknown", figures))
    return found

"""Spoken: mixes, pots, species and bearings in a grower's few words."""

import math
import re
from collections.abc import Iterator
from typing import Final

from arbuscula.catalog.fit import (
    glazing_faults,
    mix_faults,
    names_of,
    pot_faults,
    species_faults,
)
from arbuscula.kinds.library import Library
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.kinds.substrate import Mix, MixPart
from arbuscula.strict.kinds import kind_from_table
from arbuscula.strict.quote import plain

NUMBER: Final = r"[0-9]+(?:\.[0-9]+)?"
PART: Final = re.compile(
    rf"(?P<share>{NUMBER}) (?P<name>[^\W\d].*?)(?: (?P<grain>{NUMBER}) ?mm)?"
)
SIZE: Final = re.compile(rf"({NUMBER})\s*(mm|cm|in)?")
POT: Final = re.compile(
    r"(?:(?P<colour>dark|medium|light)\s+)?(?P<shape>box|oval|round)\s+(?P<sizes>.+?)"
    r"(?:(?:\s*,\s*|\s+)(?P<coloured>dark|medium|light))?"
)
MM: Final = {"mm": 1.0, "cm": 10.0, "in": 25.4}
SIDES: Final = {
    "round": ("diameter_mm", "depth_mm"),
    "box": ("length_mm", "width_mm", "depth_mm"),
    "oval": ("length_mm", "width_mm", "depth_mm"),
}
WINDS: Final = ("N", "NNE", "NE", "ENE", "E", "ESE", "SE", "SSE",
                "S", "SSW", "SW", "WSW", "W", "WNW", "NW", "NNW")  # fmt: skip
ROUND_DEG: Final = 360
OPPOSITE: Final = re.compile(
    rf"(?P<high>{NUMBER}) ?m(?: high)?,? (?:at )?(?P<off>{NUMBER}) ?m(?: off| away)?"
)
LETTERS: Final = {"north": "N", "east": "E", "south": "S", "west": "W"}


def mix_from_words(words: str, library: Library) -> Mix:
    """Read `3 pumice 4 mm, 4 akadama, 1 pine-bark`: shares by volume."""
    spoken = [" ".join(part.lower().split()) for part in words.split(",")]
    found = [PART.fullmatch(part) for part in spoken]
    parts = [(p["name"].replace(" ", "-"), _part(p, words)) for p in found if p]
    mix: Mix = dict(parts)
    if len(parts) < len(found) or len(mix) < len(parts):
        raise ArbusculaError(Said("mix.not_read", {"found": plain(words)}))
    faults = [*mix_faults(mix, library, plain(words))]
    if faults:
        raise ArbusculaError(*faults)
    return mix


def _part(found: re.Match[str], words: str) -> MixPart:
    grain = {"grain_mm": float(found["grain"])} if found["grain"] else {}
    table = {"share": float(found["share"]), **grain}
    return kind_from_table(table, MixPart, name=plain(words))


def pot_from_words(words: str, library: Library, *, taper_frac: float = 1.0) -> Pot:
    """Read `oval 235 x 180 x 70`, or `dark oval 18 cm`: the rest is as is usual."""
    found = POT.fullmatch(words.strip().lower())
    sizes_mm = _sizes_mm(found["sizes"]) if found else []
    if not found or not 0 < len(sizes_mm) <= len(SIDES[found["shape"]]):
        raise ArbusculaError(Said("pot.not_read", {"found": plain(words)}))
    table: dict[str, Figure] = {"shape": found["shape"], "taper_frac": taper_frac}
    table |= dict(_named(found["shape"], sizes_mm, library))
    if colour := found["colour"] or found["coloured"]:
        table["colour"] = colour
    pot = kind_from_table(table, Pot, name=plain(words))
    faults = [*pot_faults(pot, plain(words))]
    if faults:
        raise ArbusculaError(*faults)
    return pot


def _sizes_mm(words: str) -> list[float]:
    """Return the sizes; one without a unit has the last one's, or is in mm."""
    found = [SIZE.fullmatch(size.strip()) for size in re.split("[x\u00d7]", words)]
    sizes = [(float(size[1]), size[2]) for size in found if size]
    if len(sizes) < len(found):
        return []
    last = sizes[-1][1] or "mm"
    return [number * MM[unit or last] for number, unit in sizes]


def _named(
    shape: str, sizes_mm: list[float], library: Library
) -> Iterator[tuple[str, float]]:
    """Yield each side with its size; what was not said is in the usual proportion."""
    sides = SIDES[shape]
    usual = min(
        (pot for pot in library.pots if pot.shape == shape),
        key=lambda pot: abs(_side_mm(pot, sides[0]) - sizes_mm[0]),
    )
    grown = sizes_mm[0] / _side_mm(usual, sides[0])
    for n, side in enumerate(sides):
        size_mm = sizes_mm[n] if n < len(sizes_mm) else grown * _side_mm(usual, side)
        yield side, size_mm


def _side_mm(pot: Pot, side: str) -> float:
    return float(getattr(pot, side))


def species_from_words(words: str, library: Library) -> str:
    """Return the key of a species: by that key, its Latin or a name of the trade."""
    called = {
        name.casefold(): key
        for key, species in library.species.items()
        for name in reversed(names_of(key, species))
    }
    key = called.get(words.strip().casefold(), words)
    if faults := [*species_faults(key, library, plain(words))]:
        raise ArbusculaError(*faults)
    return key


def glazing_from_words(words: str, library: Library) -> str:
    """Return the key of a glazing: by that key, or as people call it."""
    spoken = " ".join(words.casefold().split())
    called = {
        name: key for key, panes in library.glazings.items() for name in panes.names
    }
    key = called.get(spoken, spoken.replace(" ", "-"))
    if faults := [*glazing_faults(key, library, plain(words))]:
        raise ArbusculaError(*faults)
    return key


def facing_deg_from_words(words: str) -> float:
    """Read `south`, `SE`, `north-west` or degrees: 0 is north, 90 east."""
    spoken = words.strip().lower()
    wind = re.sub("|".join(LETTERS), lambda side: LETTERS[side[0]], spoken)
    wind = re.sub("[^a-zA-Z]", "", wind).upper()
    if wind in WINDS:
        return WINDS.index(wind) * ROUND_DEG / len(WINDS)
    if re.fullmatch(NUMBER, spoken) and float(spoken) <= ROUND_DEG:
        return float(spoken)
    raise ArbusculaError(Said("facing.not_read", {"found": plain(words)}))


def obstruction_deg_from_words(words: str) -> float:
    """Read `8 m high, 20 m off`, counted from the pots, or degrees."""
    spoken = words.strip().lower()
    if re.fullmatch(NUMBER, spoken):
        return float(spoken)
    if found := OPPOSITE.fullmatch(spoken):
        high_m, off_m = (float(found[side]) for side in ("high", "off"))
        return math.degrees(math.atan2(high_m, off_m))
    raise ArbusculaError(Said("opposite.not_read", {"found": plain(words)}))

"""Names: the places of the world, and how they may be spelled."""

import unicodedata
import zlib
from bisect import bisect_left
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.world import Curve, Place
from arbuscula.weather.grid import Whole

EARTH_KM: Final = 6371.0
PAGE_N: Final = 512  # lines packed together
STEPS_PER_DEG: Final = 100  # of the places' coordinates

# Letters that are no accented form of another one, and marks that part no word.
_LETTERS: Final = str.maketrans(
    {
        "ø": "o",
        "ł": "l",
        "đ": "d",
        "æ": "ae",
        "œ": "oe",
        "ð": "d",
        "þ": "th",
        "ħ": "h",
        "ə": "a",
        "\N{LATIN SMALL LETTER DOTLESS I}": "i",
        "\N{MODIFIER LETTER APOSTROPHE}": "",
        "\N{LEFT SINGLE QUOTATION MARK}": "",
        "\N{RIGHT SINGLE QUOTATION MARK}": "",
        "'": "",
        "`": "",
    }
)
_SAINTS: Final = ("saint", "sankt", "sint")
_DIGRAPHS: Final = (("ae", "a"), ("oe", "o"), ("ue", "u"), ("aa", "a"))


@dataclass(frozen=True, slots=True)
class Pages:
    """Lines of text, packed page by page."""

    packed: bytes
    start: Whole  # the first byte of each page, and one past the last


@dataclass(frozen=True, slots=True)
class Gazetteer:
    """Places, the most populous first; a row is a place's number."""

    latitude_deg: Curve
    longitude_deg: Curve
    elevation_m: Curve
    country: NDArray[np.uint8]  # a line of `countries`
    region: NDArray[np.uint8]  # a line of `regions`; the first is none
    zone: NDArray[np.uint16]  # a line of `zones`
    names: Pages
    keys: Pages  # spellings in order, each with a row; the likeliest first
    first_keys: tuple[str, ...]  # of each page
    countries: tuple[tuple[str, ...], ...]  # a code, then spellings
    regions: tuple[tuple[str, ...], ...]
    zones: tuple[str, ...]


def read_gazetteer(path: Path) -> Gazetteer:
    """Read the places; names are unpacked when they are asked for."""
    with np.load(path) as table:
        latitude_deg, longitude_deg = table["point"] / STEPS_PER_DEG
        return Gazetteer(
            latitude_deg=latitude_deg,
            longitude_deg=longitude_deg,
            elevation_m=table["elevation_m"].astype(np.float64),
            country=table["country"],
            region=table["region"],
            zone=table["zone"],
            names=Pages(table["names"].tobytes(), table["names_start"]),
            keys=Pages(table["keys"].tobytes(), table["keys_start"]),
            first_keys=_lines(table["first_keys"].tobytes()),
            countries=_spelled(table["countries"].tobytes()),
            regions=_spelled(table["regions"].tobytes()),
            zones=_lines(table["zones"].tobytes()),
        )


def _lines(packed: bytes) -> tuple[str, ...]:
    return tuple(zlib.decompress(packed).decode().split("\n"))


def _spelled(packed: bytes) -> tuple[tuple[str, ...], ...]:
    return tuple(tuple(line.split("\t")) for line in _lines(packed))


def _page(pages: Pages, n: int) -> tuple[str, ...]:
    return _lines(pages.packed[pages.start[n] : pages.start[n + 1]])


def folded(text: str) -> str:
    """Return a spelling without accents, case and punctuation."""
    plain = unicodedata.normalize("NFKD", text.casefold().translate(_LETTERS))
    bare = "".join(c for c in plain if not unicodedata.combining(c))
    return " ".join("".join(c if c.isalnum() else " " for c in bare).split())


def spellings(text: str) -> Iterator[str]:
    """Yield the ways in which a name may stand among the keys."""
    key = folded(text)
    yield key
    if key.startswith("st "):
        yield from (saint + key[2:] for saint in _SAINTS)
    for two, one in _DIGRAPHS:
        if two in key:
            yield key.replace(two, one)


def rows_named(places: Gazetteer, key: str) -> list[int]:
    """Return the places of this spelling, the most populous first."""
    return [row for other, row in _keys_from(places, key) if other == key]


def _keys_from(places: Gazetteer, key: str) -> Iterator[tuple[str, int]]:
    """Yield keys and rows of the pages that can hold a key."""
    page = max(bisect_left(places.first_keys, key) - 1, 0)
    while page < len(places.first_keys) and places.first_keys[page] <= key:
        for line in _page(places.keys, page):
            other, _, row = line.partition("\t")
            yield other, int(row)
        page += 1


def keys_near(places: Gazetteer, key: str) -> dict[str, int]:
    """Return spellings that begin alike, each with its first place."""
    start = key[:2]
    page = max(bisect_left(places.first_keys, start) - 1, 0)
    near: dict[str, int] = {}
    while page < len(places.first_keys) and places.first_keys[page][:2] <= start:
        for line in _page(places.keys, page):
            other, _, row = line.partition("\t")
            if other.startswith(start):
                near.setdefault(other, int(row))
        page += 1
    return near


def place_of(places: Gazetteer, row: int) -> Place:
    """Return the place of a row."""
    return Place(
        name=_page(places.names, row // PAGE_N)[row % PAGE_N],
        country=country_of(places, row),
        latitude_deg=float(places.latitude_deg[row]),
        longitude_deg=float(places.longitude_deg[row]),
        elevation_m=float(places.elevation_m[row]),
        timezone=places.zones[places.zone[row]],
    )


def country_of(places: Gazetteer, row: int) -> str:
    """Return the two letters of a row's country."""
    return places.countries[places.country[row]][0]


def rows_within(places: Gazetteer, rows: list[int], where: str) -> list[int]:
    """Return those rows that lie in a country or a region of this spelling."""
    countries, regions = (
        [n for n, names in enumerate(known) if _is_named(names, where)]
        for known in (places.countries, places.regions)
    )
    inside = np.isin(places.country[rows], countries)
    inside |= np.isin(places.region[rows], regions)
    return [row for row, is_inside in zip(rows, inside, strict=True) if is_inside]


def _is_named(names: tuple[str, ...], where: str) -> bool:
    key = folded(where)
    return key in names[1:] or key == names[0].casefold()


def nearest_row(
    places: Gazetteer, *, latitude_deg: float, longitude_deg: float
) -> tuple[int, float]:
    """Return the place nearest to a point, and how many kilometres off it is."""
    here, there = np.radians(latitude_deg), np.radians(places.latitude_deg)
    turn = np.radians(places.longitude_deg - longitude_deg)
    chord = np.sin((there - here) / 2) ** 2
    chord += np.cos(here) * np.cos(there) * np.sin(turn / 2) ** 2
    row = int(chord.argmin())
    return row, float(2 * EARTH_KM * np.arcsin(np.sqrt(chord[row])))

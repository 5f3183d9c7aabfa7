"""Gazetteer: what a grower writes becomes a place on Earth."""

import re
from typing import Final

from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.kinds.world import Found, Place
from arbuscula.strict.near import near_names
from arbuscula.weather.names import (
    Gazetteer,
    country_of,
    keys_near,
    nearest_row,
    place_of,
    rows_named,
    rows_within,
    spellings,
)
from arbuscula.weather.normals import normals_at
from arbuscula.weather.world import World

OTHERS_N: Final = 9
NEAR_N: Final = 5
SLIPS_N: Final = 2  # letters too many or too few
TOWN_KM: Final = 10.0  # within it a point lies as high as its town
FAR_KM: Final = 500.0  # beyond it a country says nothing of a point
DIGITS_N: Final = 5  # a metre
ALLOWED: Final = {
    "latitude": (-90.0, 90.0),
    "longitude": (-180.0, 180.0),
    "elevation": (-450.0, 6000.0),
}

_NUMBERS: Final = re.compile(r"[\s\d.,+-]+")


def find_place(world: World, text: str) -> Found:
    """Return the place that is meant, and others of the same name.

    Taken are `name`, `name, country`, `latitude,longitude` and
    `latitude,longitude,elevation`, in degrees and metres. States of the United
    States pass as countries.

    Errors: an unknown name, with near ones; a name that is not in that
      country, with where it is; numbers off the Earth; open sea.
    """
    if _NUMBERS.fullmatch(text):
        return Found(place=_place_at(world, text), others=())
    name, *within = (part.strip() for part in text.split(","))
    rows = _rows_named(world.gazetteer, name)
    inside = rows
    for where in filter(None, within):
        inside = rows_within(world.gazetteer, inside, where)
    if not inside:
        raise _not_there(world.gazetteer, rows, name, ", ".join(within))
    first, *others = inside[: OTHERS_N + 1]
    return Found(
        place=place_of(world.gazetteer, first),
        others=tuple(place_of(world.gazetteer, row) for row in others),
    )


def _rows_named(places: Gazetteer, name: str) -> list[int]:
    for key in spellings(name):
        if key and (rows := rows_named(places, key)):
            return rows
    raise _unknown(places, name)


def _unknown(places: Gazetteer, name: str) -> ArbusculaError:
    keys = {
        key: row
        for spelled in spellings(name)
        for key, row in keys_near(places, spelled).items()
    }
    key = next(spellings(name))
    likely = [k for k in keys if abs(len(k) - len(key)) <= SLIPS_N or k.startswith(key)]
    rows = [keys[near] for near in near_names(key, likely, most_n=NEAR_N)]
    if not rows:
        return ArbusculaError(Said("place.nothing_like", {"found": name}))
    figures: dict[str, Figure] = {"found": name, "near": _told(places, rows)}
    return ArbusculaError(Said("place.unknown", figures))


def _not_there(
    places: Gazetteer, rows: list[int], name: str, where: str
) -> ArbusculaError:
    figures: dict[str, Figure] = {
        "found": name,
        "where": where,
        "near": _told(places, rows[:OTHERS_N]),
    }
    return ArbusculaError(Said("place.not_there", figures))


def _told(places: Gazetteer, rows: list[int]) -> str:
    told = (f"{place_of(places, row).name}, {country_of(places, row)}" for row in rows)
    return "; ".join(dict.fromkeys(told))


def _place_at(world: World, text: str) -> Place:
    """Return the place of two or three numbers."""
    latitude_deg, longitude_deg, *elevation_m = _numbers_of(text)
    row, away_km = nearest_row(
        world.gazetteer, latitude_deg=latitude_deg, longitude_deg=longitude_deg
    )
    town = place_of(world.gazetteer, row)
    ground = normals_at(world, latitude_deg=latitude_deg, longitude_deg=longitude_deg)
    usual_m = town.elevation_m if away_km < TOWN_KM else float(ground.elevation_m)
    return Place(
        name=f"{latitude_deg:.{DIGITS_N}g}, {longitude_deg:.{DIGITS_N}g}",
        country=town.country if away_km < FAR_KM else "",
        latitude_deg=latitude_deg,
        longitude_deg=longitude_deg,
        elevation_m=elevation_m[0] if elevation_m else round(usual_m),
        timezone=town.timezone,
    )


def _numbers_of(text: str) -> list[float]:
    """Return latitude, longitude and perhaps an elevation, or refuse them."""
    parts = [part.strip() for part in text.split(",")]
    try:
        numbers = [float(part) for part in parts]
    except ValueError:
        numbers = []
    ranges = list(ALLOWED.values())
    if len(numbers) in (2, 3) and all(
        low <= number <= high
        for number, (low, high) in zip(numbers, ranges, strict=False)
    ):
        return numbers
    raise ArbusculaError(Said("place.not_on_earth", {"found": text.strip()}))

"""Weather: take in what a station wrote down, and say what the archive holds."""

from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Literal

from arbuscula.desk import Desk
from arbuscula.desk.names import Known, known_from, yard_meant
from arbuscula.kinds.forecast import Asked, Batch, Kept
from arbuscula.kinds.said import Said
from arbuscula.kinds.weather import Spot
from arbuscula.ledger.book import all_events
from arbuscula.weather.archive import add_batch, askings, batches
from arbuscula.weather.epw import epw_batch
from arbuscula.weather.station import station_batch, station_map


@dataclass(frozen=True, slots=True, kw_only=True)
class WeatherAdded:
    """The answer: what came in (nothing, if all was known), and what is missing."""

    schema: Literal["arbuscula.weather_add/1"] = "arbuscula.weather_add/1"
    yard: str
    file: str
    kept: Kept | None
    notes: tuple[Said, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WeatherHeld:
    """The answer: every batch of a yard, and how each source was last asked."""

    schema: Literal["arbuscula.weather_list/1"] = "arbuscula.weather_list/1"
    yard: str
    batches: tuple[Kept, ...]
    asked: tuple[Asked, ...]


def add_weather(
    desk: Desk,
    path: Path,
    *,
    yard: str | None = None,
    columns: Sequence[str] = (),
    year: int | None = None,
    **how: str | bool | float,
) -> WeatherAdded:
    """Take in the file of a station, or a year of weather in EPW.

    `columns` and `how` are those of `station_map`; `year` is for EPW. A reading
    that is held already comes in no second time.
    """
    known = known_from(all_events(desk.ledger()))
    key = yard_meant(known, yard)
    spot, now_s = _spot(known, key), desk.clock().timestamp()
    batch: Batch
    if path.suffix.lower() == ".epw":
        batch, notes = epw_batch(path, yard=key, spot=spot, now_s=now_s, year=year)
    else:
        by = station_map(columns, **how)
        batch, notes = station_batch(path, by, yard=key, spot=spot, now_s=now_s)
    kept = add_batch(desk.archive(), batch)
    return WeatherAdded(yard=key, file=str(path), kept=kept, notes=notes)


def list_weather(desk: Desk, *, yard: str | None = None) -> WeatherHeld:
    """Say what the archive holds for a yard."""
    key = yard_meant(known_from(all_events(desk.ledger())), yard)
    archive = desk.archive()
    held = tuple(batches(archive, key))
    return WeatherHeld(yard=key, batches=held, asked=askings(archive, key))


def _spot(known: Known, key: str) -> Spot:
    yard = known.yards[key]
    return Spot(
        latitude_deg=yard.latitude_deg,
        longitude_deg=yard.longitude_deg,
        elevation_m=yard.elevation_m or 0.0,
    )

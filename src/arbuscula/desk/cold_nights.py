"""Cold nights: those that trees felt lately, wherever they stood, by what was told."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cache
from typing import Final, TypeAlias
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from arbuscula.desk import Desk
from arbuscula.desk.followed import Yarded, yarded_at
from arbuscula.desk.nights import LEAD_H, hours_between
from arbuscula.desk.sheltering import stands_of
from arbuscula.desk.views import rows_on_benches
from arbuscula.kinds.events import SetDown
from arbuscula.kinds.forecast import WeatherSort, YardWeather
from arbuscula.kinds.said import Figure, Said
from arbuscula.kinds.weather import Row, WeatherRows
from arbuscula.units import DAY_S, HOUR_S
from arbuscula.weather.compose import OWN, yard_weather
from arbuscula.weather.usual import usual_weather

FEW_N: Final = 4  # members: what was observed is the same in all
Stay: TypeAlias = tuple[float, float, str]  # from one second to another, on a bench


@dataclass(frozen=True, slots=True, kw_only=True)
class ColdNight:
    """A night that a tree felt, under one of its own lines."""

    on: date
    low_c: float
    line_c: float
    is_harmful: bool  # under the line at which leaves are damaged


def look_again(desk: Desk, name: str, *, yard: str, at: datetime) -> Said | None:
    """Say that a tree felt a cold night so lately that its harm may not show yet."""
    look_d, yarded = desk.library().care.second_look_d, yarded_at(desk, yard, at)
    at = at.astimezone(ZoneInfo(yarded.yard.timezone))
    weather = _lately(desk, yarded, at, look_d.high)
    felt = dict(cold_nights(desk, yarded, weather, at, most_d=look_d.high, least_d=0.0))
    night = felt.get(name)
    if night is None:
        return None
    figures: dict[str, Figure] = {
        "since": f"{night.on}",
        "low_c": night.low_c,
        "line_c": night.line_c,
        "first": f"{night.on + timedelta(days=look_d.low)}",
    }
    return Said("may.look_again", figures)


def _lately(desk: Desk, yarded: Yarded, at: datetime, days: float) -> YardWeather:
    """Return the weather of the last days up to now, hour by hour."""
    until_s = at.timestamp() // HOUR_S * HOUR_S
    return yard_weather(
        desk.archive(),
        yarded.key,
        until_s - (days + 1) * DAY_S,
        until_s,
        as_of_s=at.timestamp(),
        fill=usual_weather(desk.world(), yarded.spot),
        members_n=FEW_N,
        preferred=(*OWN, *(yarded.yard.weather or ())),
    )


def cold_nights(
    desk: Desk,
    yarded: Yarded,
    weather: YardWeather,
    at: datetime,
    *,
    most_d: float,
    least_d: float,
) -> Iterator[tuple[str, ColdNight]]:
    """Yield each tree that felt a night under its floor, where it stood by then.

    Nights nobody told of are no nights that were.
    """
    since_s, until_s = at.timestamp() - most_d * DAY_S, at.timestamp() - least_d * DAY_S
    rows = hours_between(weather.rows, since_s - LEAD_H * HOUR_S, until_s + HOUR_S)
    from_s = rows.from_s
    told = _told_hours(weather, from_s) & (from_s >= since_s) & (from_s <= until_s)
    if not told.any():
        return
    stays = _stays(yarded, since_s)
    stood = {bench for some in stays.values() for _, _, bench in some}
    there = rows_on_benches(desk, yarded, stood, rows)
    air_c = {bench: _middle_c(here) for bench, here in there.items()}

    @cache
    def felt(species: str, stays: tuple[Stay, ...]) -> ColdNight | None:
        felt_c = np.full(from_s.size, np.inf)
        for begins_s, ends_s, bench in stays:
            here = told & (from_s >= begins_s) & (from_s < ends_s)
            felt_c = np.where(here, air_c[bench], felt_c)
        return _worst_night(desk, species, from_s, felt_c, at)

    for key, own in stays.items():
        night = felt(yarded.nouns[key].species, own)
        if night is not None:
            yield key, night


def _told_hours(weather: YardWeather, from_s: Row) -> NDArray[np.bool_]:
    """Return which hours are such that somebody told their warmth."""
    told = np.zeros(from_s.size, dtype=bool)
    for s in weather.stretches:
        if s.sort is not WeatherSort.NORMALS and "air_temperature_c" in s.quantities:
            told |= (from_s >= s.from_s) & (from_s < s.until_s)
    return told


def _middle_c(here: WeatherRows) -> Row:
    return np.asarray(np.median(np.atleast_2d(here.air_temperature_c), axis=0))


def _worst_night(
    desk: Desk, species: str, from_s: Row, felt_c: Row, at: datetime
) -> ColdNight | None:
    """Return the last night under the line of harm; else under the floor, if any."""
    warmth = desk.library().species[species].warmth
    for line in (warmth.damage_below_c, warmth.warn_below_c):
        if (cold := felt_c < line.value).any():
            last_s = float(from_s[cold][-1])
            near = np.abs(from_s - last_s) < DAY_S / 2
            return ColdNight(
                on=datetime.fromtimestamp(last_s, UTC).astimezone(at.tzinfo).date(),
                low_c=float(felt_c[near].min()),
                line_c=line.value,
                is_harmful=line is warmth.damage_below_c,
            )
    return None


def _stays(yarded: Yarded, since_s: float) -> Mapping[str, tuple[Stay, ...]]:
    """Return on which benches of the yard each tree stood of late, and when."""
    nouns, lives = yarded.nouns, yarded.book.lives
    moved = [
        key
        for key in nouns
        if any(
            isinstance(e.facts, SetDown) and e.happened.timestamp() >= since_s
            for e in lives.get(key, ())
        )
    ]
    stays: dict[str, tuple[Stay, ...]] = {
        key: ((-np.inf, np.inf, noun.bench or ""),) for key, noun in nouns.items()
    }
    for key, stood in stands_of(yarded.events, moved).items():
        begins = [since.timestamp() for since, _ in stood]
        ends = [*begins[1:], np.inf]
        stays[key] = tuple(
            (begins_s, ends_s, bench)
            for begins_s, ends_s, (_, bench) in zip(begins, ends, stood, strict=True)
            if ends_s > since_s and bench in yarded.benches
        )
    return stays

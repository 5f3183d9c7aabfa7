"""Local: what a yard's own thermometers teach of its nights, and by how much.

A low read in the morning is set beside what had been told for that night the
evening before. What was told then is kept beside the snapshots: it never changes.
"""

import json
from collections.abc import Iterator, Mapping, Sequence
from contextlib import suppress
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from hashlib import sha256
from pathlib import Path
from typing import Final, Literal
from zoneinfo import ZoneInfo

import numpy as np

from arbuscula.desk import Desk
from arbuscula.desk.fresh import fresh
from arbuscula.kinds.events import Event, Measured, Sort
from arbuscula.kinds.forecast import ForecastFigures, NightOff, WeatherSort, YardWeather
from arbuscula.kinds.place import Bench, Yard
from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.kinds.weather import Spot, WeatherRows
from arbuscula.ledger.book import all_events
from arbuscula.microclimate.shelter import rows_on_bench
from arbuscula.state.book import standing
from arbuscula.state.ensemble import normals
from arbuscula.state.learning.nights import night_off, nothing_learned
from arbuscula.weather.compose import OWN, forecast_figures, yard_weather
from arbuscula.weather.local import LocalShift, shifted
from arbuscula.weather.minmax import NIGHT, known_from_days
from arbuscula.weather.normals import normals_at
from arbuscula.weather.sensors import LOW
from arbuscula.weather.usual import usual_weather

REMEMBERED: Final = timedelta(days=60)  # of nights beside forecasts
YEARS: Final = timedelta(days=3 * 365)  # of nights beside the usual ones
EVENING: Final = timedelta(hours=6)  # before midnight
MORNING: Final = timedelta(hours=12)
FEW_N: Final = 16  # members that tell what was told
LEAST_K: Final = 0.5  # no forecast is surer at a yard
TOLD_FROM_N: Final = 3  # nights, before an offset is told
FILE: Final = "nights.json"


@dataclass(frozen=True, slots=True, kw_only=True)
class LocalNights:
    """What is learned of a yard's nights and those of its benches."""

    yard: NightOff
    benches: Mapping[str, NightOff]
    usual_night_k: tuple[float, ...]  # the usual nights, moved, by month
    usual_nights_n: int
    error_ratio: float  # of a forecast's error here, over the assumed one


@dataclass(frozen=True, slots=True, kw_only=True)
class NightsOf:
    """The nights of one place beside those that were told for it."""

    place: str
    sort: Literal["yard", "bench"]
    nights: NightOff


@dataclass(frozen=True, slots=True, kw_only=True)
class WeatherLocal:
    """The answer: by how much forecasts and usual nights are moved, and where."""

    schema: Literal["arbuscula.weather_local/1"] = "arbuscula.weather_local/1"
    yard: str
    places: tuple[NightsOf, ...]
    usual_night_k: tuple[float, ...]
    usual_nights_n: int


@dataclass(frozen=True, slots=True, kw_only=True)
class _Place:
    """The yard whose nights are looked at, and when."""

    key: str
    yard: Yard
    spot: Spot
    benches: Mapping[str, Bench]
    at: datetime


def weather_local(desk: Desk, *, yard: str | None = None) -> WeatherLocal:
    """Say by how much a yard's own readings move what others tell."""
    from arbuscula.desk.names import known_from, yard_meant

    known = known_from(all_events(desk.ledger()))
    key = yard_meant(known, yard)
    noun = known.yards[key]
    benches = {k: bench for k, bench in known.benches.items() if bench.yard == key}
    local = local_nights(desk, key, noun, benches, known.events, desk.clock())
    own = NightsOf(place=noun.name, sort="yard", nights=local.yard)
    others = [
        NightsOf(place=benches[name].name, sort="bench", nights=nights)
        for name, nights in local.benches.items()
    ]
    return WeatherLocal(
        yard=key,
        places=(own, *others),
        usual_night_k=local.usual_night_k,
        usual_nights_n=local.usual_nights_n,
    )


def local_nights(
    desk: Desk,
    key: str,
    yard: Yard,
    benches: Mapping[str, Bench],
    events: Sequence[Event],
    at: datetime,
) -> LocalNights:
    """Return what lows that were read by a time teach of the nights to come."""
    spot = Spot(
        latitude_deg=yard.latitude_deg,
        longitude_deg=yard.longitude_deg,
        elevation_m=yard.elevation_m or 0.0,
    )
    zoned = at.astimezone(ZoneInfo(yard.timezone))
    place = _Place(key=key, yard=yard, spot=spot, benches=benches, at=zoned)
    figures = forecast_figures()
    lows = _lows(events, {key, *benches}, at)
    told = _told(desk, place, lows)
    own = night_off(_off_k(lows, told, key, at), figures)
    on_benches = {
        name: night_off(_off_k(lows, told, name, at), figures, before=_after(own))
        for name in benches
        if any(event.subject == name and event.id in told for event in lows)
    }
    usual_k, usual_n = _usual_k(desk, place, [e for e in lows if e.subject == key])
    return LocalNights(
        yard=own,
        benches=on_benches,
        usual_night_k=usual_k,
        usual_nights_n=usual_n,
        error_ratio=_error_ratio(figures, own),
    )


def shift_of(local: LocalNights, yard: Yard, at: datetime) -> LocalShift | None:
    """Return how a yard's weather is moved; nothing where nothing was learned."""
    if not local.yard.nights_n and not local.usual_nights_n:
        return None
    return LocalShift(
        night_k=local.yard.shift_k if local.yard.nights_n else 0.0,
        usual_night_k=local.usual_night_k,
        error_ratio=local.error_ratio,
        longitude_deg=yard.longitude_deg,
        since_s=at.timestamp(),
    )


def local_said(local: LocalNights) -> Iterator[Said]:
    """Yield by how much a yard's coming nights were moved, once some have told."""
    own = local.yard
    if own.nights_n >= TOLD_FROM_N:
        figures: dict[str, Figure] = {
            "shift_k": abs(own.shift_k),
            "unsure_k": own.shift_sd_k,
            "nights": f"{own.nights_n}",
        }
        colder = own.shift_k < 0
        yield Said("weather.colder_here" if colder else "weather.warmer_here", figures)


def on_bench(
    rows: WeatherRows, local: LocalNights, bench: str, yard: Yard
) -> WeatherRows:
    """Return a bench's weather, as far off its yard's as its thermometer showed."""
    own = local.benches.get(bench)
    if own is None:
        return rows
    members_n = np.atleast_2d(rows.air_temperature_c).shape[0]
    unsure_k = own.shift_sd_k * normals("bench nights", bench, members_n=members_n)
    off_k = own.shift_k - local.yard.shift_k + unsure_k
    return shifted(rows, off_k[:, np.newaxis], yard.longitude_deg)


def _after(own: NightOff) -> NightOff:
    """Return what a bench is taken for, before it was measured: as its yard."""
    return own if own.nights_n else nothing_learned(forecast_figures())


def _error_ratio(figures: ForecastFigures, own: NightOff) -> float:
    """Return how far forecasts are off here, over what is assumed of them."""
    if not own.nights_n:
        return 1.0
    off_k = max(float(np.hypot(own.shift_sd_k, own.scatter_k)), LEAST_K)
    return off_k / figures.air_temperature_k.value


def _lows(events: Sequence[Event], places: set[str], at: datetime) -> list[Event]:
    """Return the lows that were read in a yard and on its benches, oldest first."""
    return sorted(
        (
            event
            for event in standing(events)
            if event.sort in (Sort.YARD, Sort.BENCH) and event.subject in places
            if isinstance(event.facts, Measured)
            if event.facts.reading.quantity == LOW
            if at - YEARS <= event.happened <= at
        ),
        key=lambda event: event.happened,
    )


def _value_c(event: Event) -> float:
    if isinstance(event.facts, Measured):
        return event.facts.reading.value
    return np.nan


def _off_k(
    lows: Sequence[Event], told: Mapping[str, float], place: str, at: datetime
) -> "np.ndarray[tuple[int], np.dtype[np.float64]]":
    """Return readings less what had been told, of one place and the last weeks."""
    return np.array(
        [
            _value_c(event) - told[event.id]
            for event in lows
            if event.subject == place and event.id in told
            if event.happened >= at - REMEMBERED
        ]
    )


# What had been told


def _told(desk: Desk, place: _Place, lows: Sequence[Event]) -> dict[str, float]:
    """Return the low that had been forecast for each reading, as far as any was."""
    wanted = [e for e in lows if e.happened >= place.at - REMEMBERED]
    if not wanted:
        return {}
    path = desk.home / "snapshots" / place.key / FILE
    kept = _kept(path)
    names = {event.id: _name(place, event) for event in wanted}
    missing = [event for event in wanted if names[event.id] not in kept]
    for event in missing:
        kept[names[event.id]] = _told_c(desk, place, event)
    if missing:
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        with fresh(path) as new:
            new.write_text(json.dumps(kept), encoding="ascii")
    found = {event.id: kept[names[event.id]] for event in wanted}
    return {own_id: low_c for own_id, low_c in found.items() if low_c is not None}


def _kept(path: Path) -> dict[str, float | None]:
    with suppress(OSError, ValueError):
        kept = json.loads(path.read_text(encoding="ascii"))
        if isinstance(kept, dict):
            return kept
    return {}


def _name(place: _Place, event: Event) -> str:
    """Return a name for all that the told low of a reading hangs on."""
    parts = (event.id, event.subject, event.happened.isoformat())
    nouns = (place.spot, place.yard.weather, place.benches.get(event.subject))
    return sha256(repr((parts, nouns)).encode()).hexdigest()


def _told_c(desk: Desk, place: _Place, event: Event) -> float | None:
    """Return the low that was forecast on the evening before; none: nobody did."""
    happened = event.happened.astimezone(place.at.tzinfo)
    midnight = datetime.combine(happened.date(), time(0), tzinfo=place.at.tzinfo)
    evening, until = midnight - EVENING, min(happened, midnight + MORNING)
    weather = yard_weather(
        desk.archive(),
        place.key,
        evening.timestamp(),
        until.timestamp(),
        as_of_s=evening.timestamp(),
        fill=usual_weather(desk.world(), place.spot),
        members_n=FEW_N,
        preferred=(*OWN, *(place.yard.weather or ())),
    )
    if not _is_forecast(weather, until):
        return None
    rows = weather.rows
    bench = place.benches.get(event.subject)
    if bench is not None:
        shelter = desk.library().shelters[bench.exposure]
        with suppress(ArbusculaError):
            rows = rows_on_bench(rows, bench, shelter, place.spot)
    return float(np.median(np.atleast_2d(rows.air_temperature_c).min(axis=1)))


def _is_forecast(weather: YardWeather, until: datetime) -> bool:
    usual_s = sum(
        min(stretch.until_s, until.timestamp()) - stretch.from_s
        for stretch in weather.stretches
        if stretch.sort is WeatherSort.NORMALS
        if "air_temperature_c" in stretch.quantities
    )
    return usual_s <= 0


# The usual nights


def _usual_k(
    desk: Desk, place: _Place, lows: Sequence[Event]
) -> tuple[tuple[float, ...], int]:
    """Return by how much each month's usual night is moved, out of how many."""
    if not lows:
        return (0.0,) * 12, 0
    usual = normals_at(
        desk.world(),
        latitude_deg=place.spot.latitude_deg,
        longitude_deg=place.spot.longitude_deg,
        elevation_m=place.spot.elevation_m,
    )
    month_n = np.array(
        [e.happened.astimezone(place.at.tzinfo).month - 1 for e in lows], dtype=np.int64
    )
    nights = {NIGHT.name: np.array([_value_c(event) for event in lows])}
    known = known_from_days(month_n, nights, usual, desk.world())
    moved = [known.night_min_c[m + 1] - usual.night_min_c[m] for m in range(12)]
    return tuple(float(k) for k in moved), len(lows)

"""Listening: ask the sources that a yard has chosen, and take in its own readings.

Whatever keeps a source, the answer does not wait for it longer than it was told.
"""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from functools import partial
from time import monotonic
from typing import Final, Literal
from zoneinfo import ZoneInfo

import numpy as np

from arbuscula.desk import Desk
from arbuscula.desk.names import known_from, yard_meant
from arbuscula.desk.patience import in_time
from arbuscula.kinds.events import Event, Measured, Sort
from arbuscula.kinds.forecast import Ask, Batch, Heard, Posted, Reach, Source
from arbuscula.kinds.place import Yard
from arbuscula.kinds.said import ArbusculaError, NotDoneError, Said
from arbuscula.kinds.weather import Spot, WeatherRows
from arbuscula.ledger.book import all_events
from arbuscula.state.book import standing
from arbuscula.strict.faults import gathered
from arbuscula.units import DAY_S, HOUR_S
from arbuscula.weather.archive import batches, last_asked
from arbuscula.weather.compose import forecast_figures, yard_weather
from arbuscula.weather.listen import listen
from arbuscula.weather.packed import QUANTITIES, members_n
from arbuscula.weather.plausible import plausible
from arbuscula.weather.sensors import HIGH, LOW, Sensors, Thermometer
from arbuscula.weather.usual import usual_weather

BACK_S: Final = 65 * DAY_S  # of the past that is wanted at first
LATE_S: Final = 7 * DAY_S  # how late a service may still tell or correct it
PAST_AFTER_H: Final = 24.0  # the past is asked for again
PATIENCE_S: Final = 8.0  # of a verb that answers in any case, all sources together
LEAST_S: Final = 1.0
FEW_N: Final = 8  # courses of which the mean is a usual night

Outcome = Literal["told", "unchanged", "holds", "failed"]


@dataclass(frozen=True, slots=True, kw_only=True)
class WouldStore:
    """What a source told, put as the archive would hold it."""

    sort: str
    issued: datetime
    from_: datetime
    to: datetime
    rows_n: int
    members_n: int
    low_c: float  # of all that was told
    high_c: float


@dataclass(frozen=True, slots=True, kw_only=True)
class WeatherTried:
    """The answer: what would be stored. Nothing was."""

    schema: Literal["arbuscula.weather_try/1"] = "arbuscula.weather_try/1"
    yard: str
    source: str
    terms: Said
    attribution: str
    batches: tuple[WouldStore, ...]
    notes: tuple[Said, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceAsked:
    """How one asking went."""

    source: str
    outcome: Outcome
    rows_n: int  # that are new
    attribution: str
    notes: tuple[Said, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WeatherAsked:
    """The answer: how every asking went; what was new is stored."""

    schema: Literal["arbuscula.weather_ask/1"] = "arbuscula.weather_ask/1"
    yard: str
    sources: tuple[SourceAsked, ...]


@dataclass(frozen=True, slots=True)
class _Patient:
    """A source that is given up in time, even while a name is looked up."""

    source: Source
    longest_s: float

    @property
    def key(self) -> str:
        return self.source.key

    @property
    def attribution(self) -> str:
        return self.source.attribution

    @property
    def terms(self) -> Said:
        return self.source.terms

    def hear(self, ask: Ask) -> Heard:
        asked = replace(
            ask,
            silent_s=min(ask.silent_s, self.longest_s),
            longest_s=min(ask.longest_s, self.longest_s),
        )
        late = Said("weather.no_answer", {"source": self.key})
        return in_time(lambda: self.source.hear(asked), self.longest_s, late=late)


# What the grower asks


def try_weather(
    desk: Desk, name: str, *, yard: str | None = None, reach: Reach | None = None
) -> WeatherTried:
    """Ask a source once and say what would be stored. Nothing is, not the asking."""
    key, noun = _yard(desk, yard)
    source = _source(desk, key, name, reach)
    ask = _ask(desk, key, noun, source)
    try:
        heard = source.hear(ask)
        looked_at = [plausible(batch, ask.spot) for batch in heard.batches]
    except ArbusculaError as error:
        raise NotDoneError(*error.faults) from None
    return WeatherTried(
        yard=key,
        source=source.key,
        terms=source.terms,
        attribution=source.attribution,
        batches=tuple(_would_store(batch, noun) for batch, _ in looked_at),
        notes=(*heard.notes, *(note for _, notes in looked_at for note in notes)),
    )


def _would_store(batch: Batch, noun: Yard) -> WouldStore:
    at = partial(datetime.fromtimestamp, tz=ZoneInfo(noun.timezone))
    rows = batch.rows
    return WouldStore(
        sort=batch.sort.value,
        issued=at(float(batch.issued_s)),
        from_=at(float(rows.from_s[0])),
        to=at(float(rows.until_s[-1])),
        rows_n=rows.from_s.size,
        members_n=members_n(rows),
        low_c=float(np.nanmin(rows.air_temperature_c)),
        high_c=float(np.nanmax(rows.air_temperature_c)),
    )


def ask_weather(
    desk: Desk,
    names: Sequence[str] = (),
    *,
    yard: str | None = None,
    at_once: bool = False,
) -> WeatherAsked:
    """Ask a yard's chosen sources, or some of them, and store what is new."""
    key, noun = _yard(desk, yard)
    chosen = noun.weather or ()
    if not chosen:
        raise NotDoneError(Said("weather.none_chosen", {"yard": key}))
    told = _own_readings(desk, key, noun)
    wanted = [name for name in chosen if name in names or not names]
    asked = [_asked(desk, key, noun, name, at_once=at_once) for name in wanted]
    return WeatherAsked(yard=key, sources=(*told, *asked))


def _asked(
    desk: Desk, key: str, noun: Yard, name: str, *, at_once: bool
) -> SourceAsked:
    """Ask one source; a failure is an answer as well."""
    try:
        source = _source(desk, key, name)
        ask = _ask(desk, key, noun, source)
        heard = listen(desk.archive(), source, ask, at_once=at_once)
    except ArbusculaError as error:
        return SourceAsked(
            source=name, outcome="failed", rows_n=0, attribution="", notes=error.faults
        )
    return _told(source, heard)


def _told(source: Source, heard: Heard) -> SourceAsked:
    return SourceAsked(
        source=source.key,
        outcome=_outcome(heard),
        rows_n=sum(batch.rows.from_s.size for batch in heard.batches),
        attribution=source.attribution,
        notes=heard.notes,
    )


def _outcome(heard: Heard) -> Outcome:
    if heard.batches:
        return "told"
    held = any(note.message_id == "weather.still_holds" for note in heard.notes)
    return "holds" if held else "unchanged"


def _yard(desk: Desk, words: str | None) -> tuple[str, Yard]:
    known = known_from(all_events(desk.ledger()))
    key = yard_meant(known, words)
    return key, known.yards[key]


def _source(desk: Desk, key: str, name: str, reach: Reach | None = None) -> Source:
    from arbuscula.desk.weather_choice import reaches
    from arbuscula.weather.sources import source_of  # and with it the network

    return source_of(name, reach or reaches(desk).get(key, {}).get(name, Reach()))


def _ask(desk: Desk, key: str, noun: Yard, source: Source) -> Ask:
    now_s = desk.clock().timestamp()
    told = [k.until_s for k in batches(desk.archive(), key) if k.source == source.key]
    since_s = max([now_s - BACK_S, *(until_s - LATE_S for until_s in told)])
    return Ask(
        yard=key,
        spot=_spot(noun),
        now_s=now_s,
        from_s=min(since_s, now_s - LATE_S),
        until_s=now_s,
    )


def _spot(noun: Yard) -> Spot:
    return Spot(
        latitude_deg=noun.latitude_deg,
        longitude_deg=noun.longitude_deg,
        elevation_m=noun.elevation_m or 0.0,
    )


# Before a verb answers


def kept_fresh(
    desk: Desk, key: str, noun: Yard, *, patience_s: float = PATIENCE_S
) -> tuple[Said, ...]:
    """Ask those chosen sources whose word has grown old; return why some failed.

    Nothing is raised: who asks for the round gets the round.
    """
    notes: list[Said] = []
    gathered(lambda: _own_readings(desk, key, noun), notes)
    limit_s = monotonic() + patience_s
    for name in noun.weather or ():
        left_s = limit_s - monotonic()
        source = gathered(partial(_source, desk, key, name), notes)
        if source and _is_due(desk, key, name, source) and left_s >= LEAST_S:
            patient = _Patient(source, left_s)
            ask = _ask(desk, key, noun, source)
            gathered(partial(listen, desk.archive(), patient, ask), notes)
    return tuple(notes)


def _is_due(desk: Desk, key: str, name: str, source: Source) -> bool:
    from arbuscula.weather.sources import FORECASTS, PASTS

    last = last_asked(desk.archive(), key, source.key)
    if last is None or last.outcome == "failed":
        return True  # a host that failed just now is left alone by listening
    after_h = forecast_figures().asked_after_h.value if name in FORECASTS else 0.0
    after_h = PAST_AFTER_H if name in PASTS else after_h
    return desk.clock().timestamp() - last.at_s >= after_h * HOUR_S


# One's own readings


def _own_readings(desk: Desk, key: str, noun: Yard) -> list[SourceAsked]:
    """Take in what was posted or typed of a yard's weather since the last time."""
    told: list[SourceAsked] = []
    if posted := _posted(desk, key, Sensors.key, QUANTITIES):
        told.append(_taken_in(desk, key, noun, Sensors(readings=posted)))
    if posted := _posted(desk, key, Thermometer.key, (LOW, HIGH)):
        usual = _known_rows(desk, key, noun, since_s=posted[0].at_s - DAY_S)
        own = Thermometer(readings=posted, usual=usual)
        told.append(_taken_in(desk, key, noun, own))
    return told


def _posted(
    desk: Desk, key: str, source: str, quantities: Sequence[str]
) -> tuple[Posted, ...]:
    """Return the readings of a yard that were written since this was last asked."""
    last = last_asked(desk.archive(), key, source)
    since_s = last.at_s if last else -np.inf
    now = desk.clock()
    return tuple(
        Posted(at_s=event.happened.timestamp(), reading=event.facts.reading)
        for event in sorted(standing(all_events(desk.ledger())), key=_when)
        if event.sort is Sort.YARD and event.subject == key
        if isinstance(event.facts, Measured) and event.happened <= now
        if event.facts.reading.quantity in quantities
        if event.written.timestamp() > since_s
    )


def _when(event: Event) -> datetime:
    return event.happened


def _known_rows(desk: Desk, key: str, noun: Yard, *, since_s: float) -> WeatherRows:
    """Return the weather of a yard as it is known without its thermometer."""
    now_s = desk.clock().timestamp()
    return yard_weather(
        desk.archive(),
        key,
        since_s // HOUR_S * HOUR_S,
        now_s,
        as_of_s=now_s,
        fill=usual_weather(desk.world(), _spot(noun)),
        members_n=FEW_N,
    ).rows


def _taken_in(
    desk: Desk, key: str, noun: Yard, source: Sensors | Thermometer
) -> SourceAsked:
    now_s = desk.clock().timestamp()
    first_s = min(posted.at_s for posted in source.readings)
    ask = Ask(
        yard=key, spot=_spot(noun), now_s=now_s, from_s=first_s, until_s=now_s + 1
    )
    return _told(source, listen(desk.archive(), source, ask, at_once=True))

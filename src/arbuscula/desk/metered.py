"""Metered: benches whose light somebody read at a leaf, set right by it."""

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final

import numpy as np

from arbuscula.desk import Desk
from arbuscula.desk.bench_climate import light_doubt, spot_of
from arbuscula.desk.light_read import LUX, PPFD, light_read
from arbuscula.kinds.events import Event, Measured, Reading, Sort
from arbuscula.kinds.place import Bench, Exposure, Yard
from arbuscula.kinds.values import Spread
from arbuscula.kinds.weather import Row, Spot, WeatherRows
from arbuscula.microclimate.shelter import IN_ROOMS, rows_on_bench
from arbuscula.science.light import sun_ppfd_umol_m2_s
from arbuscula.state.book import PLANTS, book_at, last_words, standing
from arbuscula.state.learning.light import LightSeen, light_ratio
from arbuscula.state.trees import MEMBERS_N
from arbuscula.units import HOUR_S
from arbuscula.weather.compose import yard_weather
from arbuscula.weather.usual import usual_weather

SEASONAL: Final = (  # what comes and goes with the year; all else is as known now
    "shade_frac",
    "curtain_frac",
    "ventilation",
    "heat_to_c",
    "has_screen",
    "ppfd_umol_m2_s",
    "lit_h",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Metered:
    """A bench whose light was read, and how far it is known."""

    bench: Bench  # as it was read
    ratio: Spread
    unnamed_n: int  # readings in lux that named no light
    readings_n: int


def metered(
    desk: Desk,
    yard_key: str,
    yard: Yard,
    benches: Mapping[str, Bench],
    events: Sequence[Event],
    at: datetime,
) -> Mapping[str, Metered]:
    """Return those benches of a yard on which light was read up to a time."""
    found: dict[str, list[tuple[Event, Reading]]] = {}
    for event, reading in _light_read(events, at):
        key = _bench_of(event, events)
        if key in benches:
            found.setdefault(key, []).append((event, reading))
    told = {
        key: _metered(desk, yard_key, yard, benches[key], pairs, events, at)
        for key, pairs in found.items()
    }
    return {key: one for key, one in told.items() if one is not None}


def _light_read(
    events: Sequence[Event], at: datetime
) -> Iterable[tuple[Event, Reading]]:
    read = [e for e in events if isinstance(e.facts, Measured) and e.happened <= at]
    if not any(_is_light(event) for event in read):
        return []
    holds = {event.id for event in standing(events)}
    return [
        (event, event.facts.reading)
        for event in read
        if isinstance(event.facts, Measured) and _is_light(event) and event.id in holds
    ]


def _is_light(event: Event) -> bool:
    facts = event.facts
    return isinstance(facts, Measured) and facts.reading.quantity in (PPFD, LUX)


def _bench_of(event: Event, events: Sequence[Event]) -> str:
    """Return the bench that was read, or on which the tree stood then."""
    if event.sort is Sort.BENCH:
        return event.subject
    if event.sort not in PLANTS:
        return ""
    plant = book_at(events, event.happened, since=event.happened).kept.get(
        event.subject
    )
    return (plant and plant.bench) or ""


def as_it_was(bench: Bench, then: Bench | None) -> Bench:
    """Return a bench as it is known now, with what comes and goes as it was then."""
    said = {name: getattr(then, name, None) for name in SEASONAL}
    return replace(
        bench, **{k: value for k, value in said.items() if value is not None}
    )


def _metered(
    desk: Desk,
    yard_key: str,
    yard: Yard,
    bench: Bench,
    pairs: Sequence[tuple[Event, Reading]],
    events: Sequence[Event],
    at: datetime,
) -> Metered | None:
    library, plain = desk.library(), replace(bench, light_ratio=None)
    figures, spot = library.benches.light, spot_of(desk, yard)
    of_bench = [e for e in events if e.sort is Sort.BENCH or e.kind == "corrected"]
    seen = []
    for event, reading in pairs:
        said = last_words(of_bench, Bench, event.happened)
        then = as_it_was(plain, said.get(_bench_of(event, events)))
        rows = _hour_of(desk, yard_key, yard, event.happened, at)
        seen.append(_seen(reading, rows, then, desk, spot))
    usual = figures.computed_ratio if is_lit(bench) else light_doubt(plain, library)
    ratio = light_ratio(seen, usual, figures)
    if ratio is None:
        return None
    return Metered(
        bench=as_read(bench, ratio.p50),
        ratio=ratio,
        unnamed_n=sum(one.factor_ln > 0 for one in seen),
        readings_n=len(seen),
    )


def _seen(
    reading: Reading, rows: WeatherRows, then: Bench, desk: Desk, spot: Spot
) -> LightSeen:
    """Return one reading beside the daylight of its hour, or beside the lamp's."""
    library = desk.library()
    shelter, unlit = library.shelters[then.exposure], replace(then, ppfd_umol_m2_s=0.0)
    if not is_lit(then):
        unlit = replace(then, ppfd_umol_m2_s=None)
    day = _ppfd(rows_on_bench(rows, unlit, shelter, spot))
    lamp = _ppfd(rows_on_bench(rows, then, shelter, spot)) - day
    has_lamp = bool(then.ppfd_umol_m2_s)
    read = light_read(reading, library.benches.light, has_lamp=has_lamp)
    of_lamp = is_lit(then)
    return LightSeen(
        read_umol_m2_s=read.umol_m2_s,
        told_umol_m2_s=lamp if of_lamp else day,
        lamp_umol_m2_s=float(np.median(day if of_lamp else lamp)),
        factor_ln=read.factor_ln,
    )


def is_lit(bench: Bench) -> bool:
    """Return whether a bench lives by a lamp whose light was told."""
    return bench.exposure is Exposure.LAMP and bench.ppfd_umol_m2_s is not None


def as_read(bench: Bench, ratio: float) -> Bench:
    """Return a bench as bright as it was read: its lamp, or its daylight."""
    if is_lit(bench):
        lit_umol_m2_s = ratio * (bench.ppfd_umol_m2_s or 0.0)
        return replace(bench, ppfd_umol_m2_s=lit_umol_m2_s)
    return replace(bench, light_ratio=ratio)


def _hour_of(
    desk: Desk, yard_key: str, yard: Yard, moment: datetime, at: datetime
) -> WeatherRows:
    """Return the weather outside in the hour of a reading, members first."""
    from_s = moment.timestamp() // HOUR_S * HOUR_S
    return yard_weather(
        desk.archive(),
        yard_key,
        from_s,
        from_s + HOUR_S,
        as_of_s=at.timestamp(),
        fill=usual_weather(desk.world(), spot_of(desk, yard)),
        members_n=MEMBERS_N,
    ).rows


def _ppfd(rows: WeatherRows) -> Row:
    told = sun_ppfd_umol_m2_s(np.atleast_2d(rows.shortwave_w_m2))
    return np.asarray(np.mean(told, axis=-1))


def is_weak(bench: Bench) -> bool:
    """Return whether a bench's light is known so badly that a reading is wanted."""
    is_told = is_lit(bench) or bench.light_ratio is not None
    return bench.exposure in IN_ROOMS and not is_told

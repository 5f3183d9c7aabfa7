"""Sheltering: who comes in tonight, where to, in how many trips, and out again."""

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, datetime, time, timedelta
from itertools import pairwise
from typing import Final

import numpy as np

from arbuscula.desk import Desk
from arbuscula.desk.followed import Followed
from arbuscula.desk.nights import (
    night_views,
    on_benches,
    spread_of,
    under_sky,
    unheated,
)
from arbuscula.desk.threats import is_told
from arbuscula.kinds.events import Event, LabelsExchanged, SetDown
from arbuscula.kinds.moving import Carried, CarryFigures, Load, Refuge, Room
from arbuscula.kinds.place import Exposure
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.round import NightView
from arbuscula.kinds.said import Said, Sentence
from arbuscula.kinds.tree import Group, Tree
from arbuscula.kinds.values import Spread
from arbuscula.plan.carrying import allotted, in_trips, start_by
from arbuscula.rules.cold import bring_in, go_out, worst_first
from arbuscula.rules.shelter import if_it_stays, if_need_be, may_go, short_of
from arbuscula.science.sun import sun_position
from arbuscula.state.book import order_of, standing
from arbuscula.state.replay import Noun, potted_tree

NIGHT: Final = timedelta(hours=12)
NOON: Final = time(12)
NIGHTS_N: Final = 3  # that are looked at
DUSK_DEG: Final = -6.0  # the sun under the level: too dark to carry
STEP: Final = timedelta(minutes=5)
UNDER_GLASS: Final = (Exposure.GLASSHOUSE, Exposure.COLD_FRAME)


@dataclass(frozen=True, slots=True, kw_only=True)
class ComesIn:
    """A tree that must not stay outside tonight."""

    tree: str
    label: str
    bench: str
    to: str | None  # a bench; None: no room is left
    trip: int | None
    why: Said
    by: datetime  # its trip must start
    low_c: Spread
    below_h: Spread  # hours under its own floor
    below_frac: float  # members under it
    damage_frac: float  # members under the damage line
    roots_low_c: float | None
    cautions: tuple[Said, ...]  # the place falls short, or it is heavy


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaceTonight:
    """A place under a roof: its own low, and how many it takes."""

    bench: str
    name: str
    low_c: Spread
    takes_n: int  # of those that come in
    left_n: int | None  # pots that still fit then; None: nobody said
    left_m: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Job:
    """Something to do at an hour, so that a cure does no harm."""

    at: datetime
    bench: str
    do: Said


@dataclass(frozen=True, slots=True, kw_only=True)
class Carrying:
    """The work of an evening."""

    trips_n: int
    start_by: datetime
    dark: datetime
    places: tuple[PlaceTonight, ...]
    if_left: tuple[Said, ...]  # what to do with those that do not fit
    jobs: tuple[Job, ...]
    notes: tuple[Said, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class NightAhead:
    """One of the coming nights; not known without a fresh forecast."""

    evening: date
    known: bool
    low_c: Spread | None
    trees_n: int  # that would come in


@dataclass(frozen=True, slots=True, kw_only=True)
class GoesOut:
    """A tree that was carried in and may stand where it stood."""

    tree: str
    label: str
    bench: str  # where it stands now
    to: str
    why: Said


@dataclass(frozen=True, slots=True, kw_only=True)
class Tonight:
    """All that is to be said of the coming nights."""

    said: Sentence
    bring_in: tuple[ComesIn, ...] = ()
    carrying: Carrying | None = None
    nights: tuple[NightAhead, ...] = ()
    go_out: tuple[GoesOut, ...] = ()


def tonight(desk: Desk, now: Followed, at: datetime) -> Tonight:
    """Say what the coming nights ask for; without a forecast that they are unknown."""
    morning = _noon(at, 1)
    views = list(night_views(desk, now, at, morning))
    nights = tuple(_ahead(desk, now, at, views))
    back = tuple(_goes_out(desk, now, at))
    if not views:
        said = Said("cold.nobody_out", {})
        return Tonight(said=Sentence((said,)), nights=nights, go_out=back)
    if not is_forecast(now, at, at, morning):
        return Tonight(said=Sentence((Said("cold.unknown", {}),)), nights=nights)
    open_, nouns = under_sky(desk, now.yarded.benches), now.replay.nouns
    outside = [view for view in views if nouns[view.key].bench in open_]
    low_c = min(view.low_c.p50 for view in outside or views)
    coming = sorted((v for v in views if bring_in(v)), key=worst_first)
    if not coming:
        said = Said("cold.stay", {"low_c": low_c})
        return Tonight(said=Sentence((said,)), nights=nights, go_out=back)
    said = Said("cold.bring_in", {"trees_n": float(len(coming)), "low_c": low_c})
    comes, carrying = _carrying(desk, now, at, coming)
    return Tonight(
        said=Sentence((said,)),
        bring_in=comes,
        carrying=carrying,
        nights=nights,
        go_out=back,
    )


def _noon(at: datetime, days_n: int) -> datetime:
    return datetime.combine(at.date() + timedelta(days=days_n), NOON, tzinfo=at.tzinfo)


def _ahead(
    desk: Desk, now: Followed, at: datetime, tonight: Sequence[NightView]
) -> Iterator[NightAhead]:
    """Yield tonight and the nights after it."""
    for n in range(NIGHTS_N):
        from_, until = (at if n == 0 else _noon(at, n)), _noon(at, n + 1)
        views = tonight if n == 0 else list(night_views(desk, now, from_, until))
        known = is_forecast(now, at, from_, until)
        low = min((v.low_c for v in views), key=lambda low: low.p50, default=None)
        yield NightAhead(
            evening=from_.date(),
            known=known,
            low_c=low if known else None,
            trees_n=sum(bring_in(v) is not None for v in views) if known else 0,
        )


def is_forecast(now: Followed, at: datetime, from_: datetime, until: datetime) -> bool:
    """Return whether a forecast no older than a day tells a whole night."""
    night = min(until, at + NIGHT) if from_ <= at else until - NIGHT / 4
    return is_told(now.weather, at, night)


def _carrying(
    desk: Desk, now: Followed, at: datetime, coming: Sequence[NightView]
) -> tuple[tuple[ComesIn, ...], Carrying]:
    """Return each with its place and trip, and the evening's work."""
    figures = desk.library().moving.carry
    refuges = list(_refuges(desk, now, at))
    rooms = [room_of(desk, now, refuge.key) for refuge in refuges]
    mass_kg = masses_kg(now)
    loads = [
        Load(
            key=view.key,
            width_cm=width_cm(desk, view.key, now.replay.nouns[view.key]),
            mass_kg=mass_kg[view.key],
            may_go=may_go(view, _others(now, view, refuges), figures),
            if_need_be=if_need_be(view, _others(now, view, refuges), figures),
        )
        for view in coming
    ]
    carried = in_trips(loads, allotted(loads, rooms), figures)
    dark, first_sun = dark_and_sun(now, at)
    trips_n = max((c.trip_n or 0 for c in carried), default=0)
    comes = tuple(
        _comes_in(desk, now, view, load, one, refuges, (at, dark, trips_n))
        for view, load, one in zip(coming, loads, carried, strict=True)
    )
    begin = start_by(dark, trips_n=trips_n, before_n=0, figures=figures)
    left = {c.key for c in carried if c.to is None}
    stays = {now.replay.nouns[key].bench or "" for key in left}
    taken = {c.to for c in carried if c.to}
    used = [r for r in refuges if r.key in taken]
    return comes, Carrying(
        trips_n=trips_n,
        start_by=max(begin, at),
        dark=dark,
        places=tuple(_place(now, r, rooms, loads, carried) for r in refuges),
        if_left=tuple(_if_left(now, stays)),
        jobs=tuple(_jobs(now, used, dark, first_sun)),
        notes=tuple(_notes(now, used, rooms, late=trips_n > 0 and begin < at)),
    )


def _others(
    now: Followed, view: NightView, refuges: Sequence[Refuge]
) -> Sequence[Refuge]:
    """Return the places where a tree does not stand already."""
    here = now.replay.nouns[view.key].bench
    return [refuge for refuge in refuges if refuge.key != here]


def _refuges(desk: Desk, now: Followed, at: datetime) -> Iterator[Refuge]:
    """Yield every place under a roof, with its own low tonight."""
    benches = now.yarded.benches
    roofed = benches.keys() - under_sky(desk, benches)
    places = [key for key in benches if key in roofed]
    for key, there in on_benches(desk, now, places, at, _noon(at, 1)).items():
        low_c = np.min(np.atleast_2d(there.air_temperature_c), axis=-1)
        yield Refuge(key=key, exposure=benches[key].exposure, low_c=spread_of(low_c))


def room_of(desk: Desk, now: Followed, bench_key: str) -> Room:
    """Return what is left of a bench, by its pots and its metres."""
    bench = now.yarded.benches[bench_key]
    nouns = now.yarded.nouns
    there = [key for key in now.yarded.book.benches.get(bench_key, ()) if key in nouns]
    pots_n, length_m = bench.capacity_n, bench.length_m
    taken_cm = sum(width_cm(desk, key, nouns[key]) for key in there) if length_m else 0
    return Room(
        key=bench_key,
        left_n=None if pots_n is None else max(pots_n - len(there), 0),
        left_cm=None if length_m is None else max(100 * length_m - taken_cm, 0.0),
    )


def width_cm(desk: Desk, key: str, noun: Noun) -> float:
    """Return how wide a tree stands, as measured or by its pot, with a gap."""
    figures = desk.library().moving.carry
    long_cm = _sides_mm(potted_tree(key, noun, desk.library()).pot)[0] / 10
    usual_cm = figures.spread_over_length_ratio.value * long_cm
    spread_cm = usual_cm if noun.spread_cm is None else noun.spread_cm
    return max(spread_cm, long_cm) + figures.gap_cm.value


def _sides_mm(pot: Pot) -> tuple[float, float]:
    """Return a pot's longer and shorter side."""
    sides = [s for s in (pot.length_mm, pot.width_mm, pot.diameter_mm) if s is not None]
    return max(sides), min(sides)


def masses_kg(now: Followed) -> Mapping[str, float]:
    """Return what trees weigh with pot, soil and water by now."""
    trees = now.taught
    whole_g = trees.members.dry_g + np.asarray(trees.water.water_ml)
    return dict(
        zip(trees.keys, (np.median(whole_g, axis=0) / 1000).tolist(), strict=True)
    )


def _comes_in(
    desk: Desk,
    now: Followed,
    view: NightView,
    load: Load,
    carried: Carried,
    refuges: Sequence[Refuge],
    work: tuple[datetime, datetime, int],
) -> ComesIn:
    figures, (at, dark, trips_n) = desk.library().moving.carry, work
    noun, before_n = now.yarded.nouns[view.key], (carried.trip_n or 1) - 1
    by = start_by(dark, trips_n=trips_n, before_n=before_n, figures=figures)
    why = bring_in(view)
    return ComesIn(
        tree=view.key,
        label=noun.label or view.key,
        bench=noun.bench or "",
        to=carried.to,
        trip=carried.trip_n,
        why=why or Said("cold.nobody_out", {}),
        by=max(by, at),
        low_c=view.low_c,
        below_h=view.below_h,
        below_frac=view.warn_frac,
        damage_frac=view.damage_frac,
        roots_low_c=view.roots_low_c,
        cautions=tuple(_cautions(view, load, carried, refuges, figures)),
    )


def _cautions(
    view: NightView,
    load: Load,
    carried: Carried,
    refuges: Sequence[Refuge],
    figures: CarryFigures,
) -> Iterator[Said]:
    if load.mass_kg > figures.lift_kg.value:
        yield Said("carry.heavy", {"mass_kg": load.mass_kg})
    for refuge in refuges:
        if refuge.key == carried.to and (short := short_of(view, refuge)):
            yield short
    if carried.to is None:
        yield Said(
            "carry.full" if load.may_go + load.if_need_be else "carry.nowhere", {}
        )


def _place(
    now: Followed,
    refuge: Refuge,
    rooms: Sequence[Room],
    loads: Sequence[Load],
    carried: Sequence[Carried],
) -> PlaceTonight:
    (room,) = [room for room in rooms if room.key == refuge.key]
    widths = {load.key: load.width_cm for load in loads}
    taken = [c.key for c in carried if c.to == refuge.key]
    used_cm = sum(widths[key] for key in taken)
    left_cm = None if room.left_cm is None else room.left_cm - used_cm
    return PlaceTonight(
        bench=refuge.key,
        name=now.yarded.benches[refuge.key].name,
        low_c=refuge.low_c,
        takes_n=len(taken),
        left_n=None if room.left_n is None else room.left_n - len(taken),
        left_m=None if left_cm is None else left_cm / 100,
    )


def _if_left(now: Followed, benches: set[str]) -> Iterator[Said]:
    """Yield what helps those that stay out, each once."""
    floors = [now.yarded.benches[key].floor for key in sorted(benches)]
    said = [one for floor in floors for one in if_it_stays(floor)]
    yield from {one.message_id: one for one in said}.values()


def _jobs(
    now: Followed, used: Sequence[Refuge], dark: datetime, first_sun: datetime
) -> Iterator[Job]:
    """Yield vents to be shut, and each time the job that opens them again."""
    for refuge in used:
        bench = now.yarded.benches[refuge.key]
        if bench.exposure not in UNDER_GLASS:
            continue
        named = {"bench": bench.name}
        yield Job(at=dark, bench=refuge.key, do=Said("vents.close", named))
        yield Job(at=first_sun, bench=refuge.key, do=Said("vents.open", named))


def _notes(
    now: Followed, used: Sequence[Refuge], rooms: Sequence[Room], *, late: bool
) -> Iterator[Said]:
    if late:
        yield Said("carry.late", {})
    for refuge in used:
        (room,) = [room for room in rooms if room.key == refuge.key]
        if room.left_n is None and room.left_cm is None:
            named = {"bench": now.yarded.benches[refuge.key].name}
            yield Said("carry.say_capacity", named)


def dark_and_sun(now: Followed, at: datetime) -> tuple[datetime, datetime]:
    """Return when it is too dark to carry this evening, and tomorrow's first sun.

    Where the sun never sets or never rises, noon and noon stand for them.
    """
    noon = _noon(at, 0)
    steps_n = timedelta(days=1) // STEP
    moments = [noon + n * STEP for n in range(steps_n)]
    sun = sun_position(
        unix_s=np.array([moment.timestamp() for moment in moments]),
        latitude_deg=now.yarded.spot.latitude_deg,
        longitude_deg=now.yarded.spot.longitude_deg,
    )
    up_deg = np.asarray(sun.elevation_deg)
    dark_n = int(np.argmax(up_deg < DUSK_DEG))
    risen = (up_deg > 0) & (np.arange(steps_n) > dark_n)
    return moments[dark_n], moments[int(np.argmax(risen))]


def _goes_out(desk: Desk, now: Followed, at: datetime) -> Iterator[GoesOut]:
    """Yield those that were carried in lately and may stand where they stood."""
    figures = desk.library().moving.carry
    lately = at - timedelta(days=figures.back_d.value)
    for bench_key, keys in _carried_from(desk, now, lately).items():
        nights = _known_nights(desk, now, at, bench_key, keys)
        for key in keys:
            why = go_out(nights[key], at_most_frac=figures.out_frac.value)
            if why is not None:
                noun = now.yarded.nouns[key]
                yield GoesOut(
                    tree=key,
                    label=noun.label or key,
                    bench=noun.bench or "",
                    to=bench_key,
                    why=why,
                )


def _carried_from(
    desk: Desk, now: Followed, lately: datetime
) -> Mapping[str, Sequence[str]]:
    """Return who was carried in from each bench that feels the night, not long ago."""
    benches = now.yarded.benches
    out, roofs = under_sky(desk, benches), unheated(benches)
    carried = {
        key
        for key, noun in now.yarded.nouns.items()
        if noun.bench not in out
        if any(_set_down(e, lately) for e in now.yarded.book.lives.get(key, ()))
    }
    found: dict[str, list[str]] = {}
    for key, stood in stands_of(now.yarded.events, carried).items():
        moves = [(was, since) for (_, was), (since, _) in pairwise(stood)]
        from_ = out if now.yarded.nouns[key].bench in roofs else out | roofs
        came = [was for was, since in moves if since >= lately and was in from_]
        if came and key in now.replay.trees.keys:
            found.setdefault(came[-1], []).append(key)
    return found


def _set_down(event: Event, since: datetime) -> bool:
    return isinstance(event.facts, SetDown) and event.happened >= since


def stands_of(
    events: Sequence[Event], keys: Collection[str]
) -> Mapping[str, Sequence[tuple[datetime, str]]]:
    """Return where some trees stood, and since when, under whatever names."""
    names = {*keys, *(_names_exchanged(events) if keys else ())}
    stood: dict[str, list[tuple[datetime, str]]] = {name: [] for name in names}
    some = [event for event in events if event.subject in stood]
    for event in sorted(standing(some), key=order_of):
        match event.facts:
            case LabelsExchanged(other=other):
                own = stood[event.subject]
                stood[event.subject], stood[other] = stood[other], own
            case (
                SetDown(bench=bench) | Tree(bench=str(bench)) | Group(bench=str(bench))
            ):
                if [bench] != [last for _, last in stood[event.subject][-1:]]:
                    stood[event.subject].append((event.happened, bench))
    return {key: stood[key] for key in keys}


def _names_exchanged(events: Sequence[Event]) -> Iterator[str]:
    for event in events:
        if isinstance(event.facts, LabelsExchanged):
            yield from (event.subject, event.facts.other)


def _known_nights(
    desk: Desk, now: Followed, at: datetime, bench_key: str, keys: Sequence[str]
) -> Mapping[str, list[NightView]]:
    """Return the next nights that a forecast tells, as they would be out there."""
    found: dict[str, list[NightView]] = {key: [] for key in keys}
    for n in range(2):
        from_, until = (at if n == 0 else _noon(at, n)), _noon(at, n + 1)
        if not is_forecast(now, at, from_, until):
            return {key: [] for key in keys}
        there = {bench_key: list(keys)}
        for view in night_views(desk, now, from_, until, who=there):
            found[view.key].append(view)
    return found

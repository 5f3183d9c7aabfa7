"""Today: the round in hand, bench by bench, and who must come in tonight."""

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from typing import Final, Literal
from zoneinfo import ZoneInfo

import numpy as np

from arbuscula.desk import Desk, calls
from arbuscula.desk.dangers import Danger, dangers
from arbuscula.desk.followed import (
    AHEAD_H,
    Followed,
    followed,
    yard_at,
    yarded_at,
)
from arbuscula.desk.followups import JobToday, jobs_today
from arbuscula.desk.grounds import Ground, Rested, keep_ground, stretches_of
from arbuscula.desk.listening import kept_fresh
from arbuscula.desk.local import local_said
from arbuscula.desk.metered import is_weak
from arbuscula.desk.moves import waves_ahead
from arbuscula.desk.score import naive_dues
from arbuscula.desk.sheltering import (
    Carrying,
    ComesIn,
    GoesOut,
    NightAhead,
    tonight,
)
from arbuscula.desk.views import (
    Ahead,
    lift_first,
    looked_ahead,
    tree_views,
    watered_now,
)
from arbuscula.kinds.forecast import WeatherSort
from arbuscula.kinds.place import Bench
from arbuscula.kinds.round import Call, Rounds, TreeView, When
from arbuscula.kinds.said import Said, Sentence
from arbuscula.kinds.values import Spread
from arbuscula.ledger.book import all_events
from arbuscula.plan.rounds import Stop, rounds_around, sentences_of, stop_at
from arbuscula.rules import RULES
from arbuscula.state.replay import Noun
from arbuscula.units import HOUR_S

STALE_H: Final = 6.0  # a forecast so old is told to be
CHECK_FIRST_N: Final = 3
SHOWN_BACK_H: Final = 48


@dataclass(frozen=True, slots=True, kw_only=True)
class RoundTimes:
    """When somebody walks past."""

    in_hand: datetime
    next: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class WeatherUsed:
    """Where the weather came from."""

    stretches: tuple[Rested, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TreeToday:
    """One tree of the round."""

    tree: str
    label: str
    place: float | None
    advice: Call
    p_due_now: float
    p_due_next_round: float
    due: When
    water_ml: Spread | None
    because: tuple[Said, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchToday:
    """One bench of the round, in walking order."""

    bench: str
    name: str
    sentence: Sentence
    trees: tuple[TreeToday, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WontLast:
    """A tree that, watered now, is late before the next round."""

    tree: str
    label: str
    bench: str
    go_by: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Today:
    """The answer: the round in hand."""

    schema: Literal["arbuscula.today/1"] = "arbuscula.today/1"
    at: datetime
    yard: str
    rounds: RoundTimes
    weather: WeatherUsed
    tonight: Sentence
    bring_in: tuple[ComesIn, ...]  # the first to be carried first
    carrying: Carrying | None  # None: nobody comes in
    nights: tuple[NightAhead, ...]
    go_out: tuple[GoesOut, ...]
    dangers: tuple[Danger, ...]  # of wind, hail, heat, and sun on ice
    benches: tuple[BenchToday, ...]
    wont_last: tuple[WontLast, ...]
    check_first: tuple[str, ...]
    jobs: tuple[JobToday, ...] = ()
    notes: tuple[Said, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Walked:
    """A yard gone through for the round in hand: what every face shows a part of."""

    at: datetime
    rounds: Rounds
    now: Followed
    ahead: Ahead
    stops: Mapping[str, Stop]
    unheard: tuple[Said, ...]  # chosen sources that told nothing


def today(
    desk: Desk,
    *,
    at: datetime | None = None,
    yard: str | None = None,
    is_asking: bool = True,
) -> Today:
    """Say what every tree of a yard needs on the round in hand.

    Of now, chosen sources whose word is old are asked first, for a short while.
    """
    return told_of(desk, walked(desk, at=at, yard=yard, is_asking=is_asking))


def walked(
    desk: Desk,
    *,
    at: datetime | None = None,
    yard: str | None = None,
    is_asking: bool = True,
) -> Walked:
    """Go through a yard, and keep every call that comes of it."""
    unheard = _asked_first(desk, yard) if is_asking and at is None else ()
    at = at or desk.clock()  # after the asking, to know what was told
    yarded = yarded_at(desk, yard, at)
    zone = ZoneInfo(yarded.yard.timezone)
    at = at.astimezone(zone)
    rounds = rounds_around(at, yarded.yard.rounds, yarded.yard.timezone)
    now = followed(desk, yarded, at)
    hours_n = _hours_ahead(rounds, at)
    ahead = looked_ahead(desk, now, hours_n=hours_n)
    dues = naive_dues(desk, yarded, at)
    views = [
        earlier_of(view, dues.get(view.key), rounds)
        for view in tree_views(desk, now, ahead, rounds, at)
    ]
    stops = {
        tree.key: stop_at(
            tree,
            rounds,
            at,
            rules=RULES,
            longest_unseen_d=yarded.yard.longest_unseen_d,
        )
        for tree in views
    }
    calls.keep(desk.home, (_given(yarded.key, s, rounds, at) for s in stops.values()))
    return Walked(
        at=at, rounds=rounds, now=now, ahead=ahead, stops=stops, unheard=unheard
    )


def told_of(desk: Desk, walk: Walked) -> Today:
    """Return what is to be said of a yard that was gone through."""
    at, rounds, now, stops = walk.at, walk.rounds, walk.now, walk.stops
    night = tonight(desk, now, at)
    views = [stop.tree for stop in stops.values()]
    zone = ZoneInfo(now.yarded.yard.timezone)
    stretches = stretches_of(now.weather, zone, since_s=_shown_from_s(now))
    ground = _ground(desk, now, at, stretches, night.said)
    keep_ground(desk.home, now.yarded.key, ground)
    return Today(
        at=at,
        yard=now.yarded.yard.name,
        rounds=RoundTimes(in_hand=rounds.in_hand, next=rounds.next),
        weather=WeatherUsed(stretches=stretches),
        tonight=night.said,
        bring_in=night.bring_in,
        carrying=night.carrying,
        nights=night.nights,
        go_out=night.go_out,
        dangers=tuple(dangers(desk, now, at, {c.tree for c in night.bring_in if c.to})),
        benches=tuple(_benches(now, stops)),
        wont_last=tuple(_wont_last(desk, now, stops, rounds, at)),
        jobs=jobs_today(desk, now, at),
        check_first=tuple(lift_first(desk, now, views, most_n=CHECK_FIRST_N)),
        notes=(*walk.unheard, *waves_ahead(desk, now, at), *_notes(now)),
    )


def _asked_first(desk: Desk, yard: str | None) -> tuple[Said, ...]:
    key, noun = yard_at(all_events(desk.ledger()), yard, desk.clock())
    return kept_fresh(desk, key, noun)


def earlier_of(view: TreeView, naive: datetime | None, rounds: Rounds) -> TreeView:
    """Return the view with the earlier due time, where the model lost to naive."""
    if naive is None or (view.due.p50 is not None and view.due.p50 <= naive):
        return view
    early = min([d for d in (view.due.p10, naive) if d is not None])
    due_frac = max(view.due_next_frac, 0.5 if naive < rounds.next else 0.0)
    due = When(p10=early, p50=naive, p90=view.due.p90)
    return replace(view, due=due, due_next_frac=due_frac)


def _given(yard: str, stop: Stop, rounds: Rounds, at: datetime) -> calls.Given:
    """Return a call as it is kept, to be scored one day."""
    due = stop.tree.due

    def unix_s(moment: datetime | None) -> float | None:
        return None if moment is None else moment.timestamp()

    return calls.Given(
        yard=yard,
        tree=stop.tree.key,
        at_s=at.timestamp(),
        next_s=rounds.next.timestamp(),
        advice=stop.call.value,
        due_next=stop.tree.due_next_frac,
        early_s=unix_s(due.p10),
        middle_s=unix_s(due.p50),
        last_s=unix_s(due.p90),
    )


def _hours_ahead(rounds: Rounds, at: datetime) -> int:
    """Return how far to look: five days, and past the last round in sight."""
    last = max(rounds.after, default=rounds.next)
    return max(AHEAD_H, int((last - at).total_seconds() // HOUR_S) + 1)


def _benches(now: Followed, stops: Mapping[str, Stop]) -> Iterator[BenchToday]:
    """Yield the benches in walking order, and on each the trees as they stand."""
    nouns, yarded = now.yarded.nouns, now.yarded
    for key, bench in sorted(yarded.benches.items(), key=_walk_order):
        names = [n for n in yarded.book.benches.get(key, ()) if n in stops]
        called = [
            (short_label(nouns[n].place_n, nouns[n].label or n), stops[n].call)
            for n in names
        ]
        yield BenchToday(
            bench=key,
            name=bench.name,
            sentence=Sentence(tuple(sentences_of(called))),
            trees=tuple(_tree(nouns[n], n, stops[n]) for n in names),
        )


def _walk_order(item: tuple[str, Bench]) -> tuple[float, str]:
    key, bench = item
    return (np.inf if bench.order_n is None else bench.order_n, key)


def short_label(place: float | None, label: str) -> str:
    """Return what a tree is called along its bench: its place, or its label."""
    return f"{place:.0f}" if place is not None and place == int(place) else label


def _tree(noun: Noun, key: str, stop: Stop) -> TreeToday:
    return TreeToday(
        tree=key,
        label=noun.label or key,
        place=noun.place_n,
        advice=stop.call,
        p_due_now=stop.tree.due_now_frac,
        p_due_next_round=stop.tree.due_next_frac,
        due=stop.tree.due,
        water_ml=stop.tree.water_ml,
        because=stop.because,
    )


def _wont_last(
    desk: Desk,
    now: Followed,
    stops: Mapping[str, Stop],
    rounds: Rounds,
    at: datetime,
) -> Iterator[WontLast]:
    """Yield trees that are late again before the next round, watered or not."""
    hours_n = int((rounds.next - at).total_seconds() // HOUR_S) + 1
    watered = watered_now(desk, now, hours_n=hours_n, zone=at.tzinfo)
    for key, stop in stops.items():
        late = watered[key] if stop.call is Call.WATER else stop.tree.late
        if late.p50 is None or late.p50 >= rounds.next or late.p10 is None:
            continue
        if stop.call is not Call.WATER and stop.tree.late.p50 == late.p50 <= at:
            continue
        noun = now.yarded.nouns[key]
        yield WontLast(
            tree=key,
            label=noun.label or key,
            bench=noun.bench or "",
            go_by=late.p10,
        )


def _shown_from_s(now: Followed) -> float:
    return (now.replay.trees.at_h - SHOWN_BACK_H) * HOUR_S


def _ground(
    desk: Desk,
    now: Followed,
    at: datetime,
    stretches: tuple[Rested, ...],
    tonight: Sentence,
) -> Ground:
    return Ground(
        verb="today",
        at=at,
        told=desk.clock(),
        digest=now.weather.digest,
        used=now.weather.used,
        stretches=stretches,
        said=tonight,
    )


def _notes(now: Followed) -> Iterator[Said]:
    """Yield what the reader should know of the ground that this stands on."""
    if all(s.sort is WeatherSort.NORMALS for s in now.weather.stretches):
        yield Said("weather.only_usual", {})
    yield from _staleness(now)
    yield from local_said(now.local)
    weak = [b.name for b in _with_trees(now) if is_weak(b)]
    if weak:
        yield Said("light.ask_reading", {"bench": weak[0]})
    for source, words in now.weather.attributions.items():
        if not words:  # one's own
            continue
        yield Said("weather.from", {"source": source, "words": words})


def _staleness(now: Followed) -> Iterator[Said]:
    """Yield that the newest forecast is old, or that those asked told none."""
    now_s = now.replay.trees.at_h * HOUR_S
    ages = [
        (s.age_h, s.source)
        for s in now.weather.stretches
        if s.sort is WeatherSort.FORECAST and s.until_s > now_s + HOUR_S
        if s.age_h is not None
    ]
    if not ages and now.yarded.yard.weather:
        yield Said("weather.none_fresh", {})
    if ages and min(ages)[0] > STALE_H:
        age_h, source = min(ages)
        yield Said("weather.stale", {"source": source, "age_h": age_h})


def _with_trees(now: Followed) -> Iterator[Bench]:
    """Yield the benches on which somebody stands, in walking order."""
    for key, bench in sorted(now.yarded.benches.items(), key=_walk_order):
        if now.yarded.book.benches.get(key):
            yield bench

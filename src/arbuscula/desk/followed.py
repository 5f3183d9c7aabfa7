"""Followed: all trees of a yard, brought to one hour out of book and weather.

The replay begins with the month that lies some sixty days back: what was seen
before then has been forgotten anyway. A snapshot of an hour two days ago saves
most of the way there.
"""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, datetime, timedelta
from hashlib import sha256
from operator import itemgetter
from pathlib import Path
from typing import Final

import numpy as np

from arbuscula.desk import Desk, snapshots
from arbuscula.desk.local import LocalNights, local_nights, shift_of
from arbuscula.desk.metered import metered
from arbuscula.desk.snapshots import Mark
from arbuscula.kinds.events import Corrected, Event, LabelsExchanged, SetDown
from arbuscula.kinds.forecast import YardWeather
from arbuscula.kinds.place import Bench, Yard
from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.kinds.tree import Group, Tree
from arbuscula.kinds.values import Num
from arbuscula.kinds.weather import Spot
from arbuscula.ledger.book import all_events, digest_at, events_after, head
from arbuscula.science.water.lanes import Carry
from arbuscula.state.book import Book, book_at, last_words, names_before
from arbuscula.state.learning.shared import Belief, taught_by_others
from arbuscula.state.pots import members_of_all
from arbuscula.state.pull import pull_of
from arbuscula.state.replay import (
    Act,
    Noun,
    Replay,
    acts_of,
    begun,
    hour_of,
    potted_tree,
    run,
    stand,
)
from arbuscula.state.trees import MEMBERS_N, Pull, Trees, chosen, joined
from arbuscula.strict.near import near_names
from arbuscula.units import HOUR_S
from arbuscula.weather.archive import batches, position
from arbuscula.weather.compose import OWN, yard_weather
from arbuscula.weather.usual import usual_weather

WINDOW: Final = timedelta(days=60)
AHEAD_H: Final = 5 * 24
BACK_H: Final = 48  # how old the hour of a snapshot is


@dataclass(frozen=True, slots=True, kw_only=True)
class Yarded:
    """One yard out of the book, at one time."""

    key: str
    yard: Yard
    benches: Mapping[str, Bench]
    nouns: Mapping[str, Noun]  # trees and groups that stand there now
    book: Book
    events: tuple[Event, ...]
    at: datetime

    @property
    def spot(self) -> Spot:
        """Where on Earth it lies."""
        return Spot(
            latitude_deg=self.yard.latitude_deg,
            longitude_deg=self.yard.longitude_deg,
            elevation_m=self.yard.elevation_m or 0.0,
        )


@dataclass(frozen=True, slots=True, kw_only=True)
class Followed:
    """A yard's trees at one hour, and what the coming days ask of them."""

    yarded: Yarded
    replay: Replay  # each tree out of its own evidence
    taught: Trees  # and out of everybody's
    belief: Belief | None  # None: nobody has said anything yet
    pull: Pull
    weather: YardWeather
    local: LocalNights
    carry: Carry  # for so many trees
    held_ml: Mapping[str, float]  # water by now, in the middle of its members


def yarded_at(desk: Desk, name: str | None, at: datetime) -> Yarded:
    """Return one yard with all that stands in it; without a name the first."""
    events = all_events(desk.ledger())
    key, yard = yard_at(events, name, at)
    all_benches = last_words(events, Bench, at)
    benches = {k: bench for k, bench in all_benches.items() if bench.yard == key}
    read = metered(desk, key, yard, benches, events, at)
    benches |= {bench_key: one.bench for bench_key, one in read.items()}
    book = book_at(events, at, since=window_start(at))
    return Yarded(
        key=key,
        yard=yard,
        benches=benches,
        nouns={k: noun for k, noun in book.kept.items() if noun.bench in benches},
        book=book,
        events=events,
        at=at,
    )


def yard_at(
    events: tuple[Event, ...], name: str | None, at: datetime
) -> tuple[str, Yard]:
    """Return one yard as it was described by a time; without a name the first."""
    yards = last_words(events, Yard, at)
    if not yards:
        raise ArbusculaError(Said("desk.no_yard", {}))
    key = _yard_named(yards, name)
    return key, yards[key]


def _yard_named(yards: Mapping[str, Yard], name: str | None) -> str:
    if name is None:
        return next(iter(yards))
    for key, yard in yards.items():
        if name.casefold() in (key.casefold(), yard.name.casefold()):
            return key
    known = [yard.name for yard in yards.values()]
    near = ", ".join(near_names(name, known) or known)
    raise ArbusculaError(Said("desk.unknown_yard", {"found": name, "near": near}))


def key_of(yarded: Yarded, name: str) -> str:
    """Return the tree that a grower calls so: by its key or its label."""
    by_name = {noun.label or key: key for key, noun in yarded.nouns.items()}
    names = {**{key: key for key in yarded.nouns}, **by_name}
    wanted = name.casefold()
    for known, key in names.items():
        if known.casefold() == wanted:
            return key
    near = ", ".join(near_names(name, names) or sorted(names)[:5])
    raise ArbusculaError(Said("desk.unknown_tree", {"found": name, "near": near}))


def window_start(at: datetime) -> datetime:
    """Return the first hour of the month that lies a window back."""
    back = at.astimezone(UTC) - WINDOW
    return back.replace(day=1, hour=0, minute=0, second=0, microsecond=0)


def followed(desk: Desk, yarded: Yarded, at: datetime) -> Followed:
    """Bring a yard's trees to an hour, from the last snapshot that still holds."""
    start_h, now_h = hour_of(window_start(at)), hour_of(at)
    folder = _folder(desk, yarded)
    warm = _still_good(desk, yarded, folder, start_h=start_h, until_h=now_h)
    known = set() if warm is None else {*warm.keys}
    cold = [key for key in yarded.nouns if key not in known]
    from_h = start_h if cold or warm is None else warm.at_h
    local = local_of(desk, yarded, at)
    weather = weather_of(desk, yarded, start_h, now_h + AHEAD_H, at, local=local)
    pull = _pull(desk, yarded, weather, start_h, from_h)
    save_h = max(start_h, now_h - BACK_H, warm.at_h if warm else start_h)
    replay = _brought_to(desk, yarded, warm, cold, pull, start_h, save_h)
    if cold or warm is None or warm.at_h < save_h:
        mark = _mark(desk, yarded, replay.trees.at_h)
        snapshots.save(folder, replay.trees, mark)
    carry = desk.carry(len(yarded.nouns))
    run(replay, _acts(yarded, replay), pull, until_h=now_h, carry=carry)
    taught, belief = _taught(desk, replay)
    return Followed(
        yarded=yarded,
        replay=replay,
        taught=taught,
        belief=belief,
        pull=pull,
        weather=weather,
        local=local,
        carry=carry,
        held_ml=_middles(taught.keys, taught.water.water_ml),
    )


def _middles(keys: Sequence[str], members: Num) -> Mapping[str, float]:
    middle = np.median(np.asarray(members), axis=0)
    return dict(zip(keys, middle.tolist(), strict=True))


def _taught(desk: Desk, replay: Replay) -> tuple[Trees, Belief | None]:
    """Return the trees as everybody's evidence together has them."""
    trees, library = replay.trees, desk.library()
    if not trees.keys:
        return trees, None
    potted = [potted_tree(key, replay.nouns[key], library) for key in trees.keys]
    untaught = members_of_all(potted, library, members_n=MEMBERS_N)
    mixes = [",".join(sorted(tree.mix)) for tree in potted]
    return taught_by_others(trees, untaught, trees.bench_keys, mixes)


def _brought_to(
    desk: Desk,
    yarded: Yarded,
    warm: Trees | None,
    cold: list[str],
    pull: Pull,
    start_h: int,
    save_h: int,
) -> Replay:
    """Return all trees at the hour of the snapshot: warm ones and cold ones."""
    parts: list[Replay] = []
    if cold or warm is None:
        parts.append(_begun(desk, yarded, cold, start_h, pull))
    if warm is not None and warm.keys:
        parts.append(_resumed(desk, yarded, warm, pull))
    carry = desk.carry(len(yarded.nouns))
    for part in parts:
        run(part, _acts(yarded, part), pull, until_h=save_h, carry=carry)
    if len(parts) == 1:
        return parts[0]
    whole = Replay(
        trees=joined([part.trees for part in parts], list(yarded.nouns)),
        nouns={key: noun for part in parts for key, noun in part.nouns.items()},
        told=set().union(*(part.told for part in parts)),
        acted_h=parts[0].acted_h,
        library=desk.library(),
    )
    for place, key in enumerate(whole.trees.keys):
        stand(whole, place, key, pull)
    return whole


def _acts(yarded: Yarded, replay: Replay) -> Mapping[int, Iterable[Act]]:
    return acts_of(replay.trees.keys, yarded.book.lives)


def _begun(
    desk: Desk, yarded: Yarded, keys: list[str], start_h: int, pull: Pull
) -> Replay:
    """Return trees as they were described when the window begins, or first."""
    then = datetime.fromtimestamp(start_h * HOUR_S, UTC)
    kept = book_at(yarded.events, then, since=then).kept
    bore = names_before(yarded.events, then, yarded.at)
    known = {
        key: kept[bore.get(key, key)] for key in keys if bore.get(key, key) in kept
    }
    nouns = {key: known.get(key) or _first_noun(yarded, key) for key in keys}
    replay = begun(nouns, desk.library(), at_h=start_h, pull=pull)
    replay.told |= known.keys()
    return replay


def _first_noun(yarded: Yarded, key: str) -> Noun:
    """Return a tree as it was first described."""
    for event in yarded.book.lives.get(key, ()):
        if isinstance(event.facts, Tree | Group):
            return event.facts
    return yarded.nouns[key]


def _resumed(desk: Desk, yarded: Yarded, warm: Trees, pull: Pull) -> Replay:
    """Return trees of a snapshot, standing and described as they were then."""
    then = datetime.fromtimestamp(warm.at_h * HOUR_S, UTC)
    kept = book_at(yarded.events, then, since=then).kept
    replay = Replay(
        trees=warm,
        nouns={key: kept.get(key, yarded.nouns[key]) for key in warm.keys},
        told={key for key in warm.keys if key in kept},
        acted_h=warm.at_h,
        library=desk.library(),
    )
    for place, key in enumerate(warm.keys):
        stand(replay, place, key, pull)
    return replay


def _still_good(
    desk: Desk, yarded: Yarded, folder: Path, *, start_h: int, until_h: int
) -> Trees | None:
    """Return the trees of those snapshots that rest on what is still so."""
    found = [
        (mark, trees)
        for mark, trees in snapshots.load(folder)
        if start_h <= mark.at_h <= until_h and _holds(desk, yarded, mark)
    ]
    if not found:
        return None
    latest_h = max(mark.at_h for mark, _ in found)
    some = [
        chosen(trees, np.array(places, dtype=np.int64))
        for mark, trees in found
        if mark.at_h == latest_h
        if (places := _unmoved(desk, yarded, mark, trees))
    ]
    if not some:
        return None
    return joined(some, [key for trees in some for key in trees.keys])


def _holds(desk: Desk, yarded: Yarded, mark: Mark) -> bool:
    """Return whether code, book and past weather are what a snapshot rests on."""
    if mark.code_digest != _digest(desk, yarded):
        return False
    if digest_at(desk.ledger(), mark.book_n) != mark.book_digest:
        return False
    if any(isinstance(e.facts, Yard) for e in events_after(desk.ledger(), mark.book_n)):
        return False  # where it lies, or whom it trusts
    told = batches(desk.archive(), yarded.key)
    later = [kept for kept in told if kept.position_n > mark.weather_n]
    return all(kept.from_s >= mark.at_h * HOUR_S for kept in later)


def _unmoved(desk: Desk, yarded: Yarded, mark: Mark, trees: Trees) -> list[int]:
    """Return the places of trees about which nothing earlier was written since."""
    late = {
        event.id
        for event in events_after(desk.ledger(), mark.book_n)
        if hour_of(event.happened) <= mark.at_h or isinstance(event.facts, Corrected)
    }
    renamed = _renamed_after(yarded, mark.at_h)
    return [
        place
        for place, key in enumerate(trees.keys)
        if key in yarded.nouns and key not in renamed
        if not late or not _touched(yarded, key, late)
    ]


def _renamed_after(yarded: Yarded, at_h: int) -> set[str]:
    """Return the names that changed hands later: a snapshot may mean another tree."""
    return {
        name
        for event in yarded.events
        if isinstance(event.facts, LabelsExchanged)
        if hour_of(event.happened) > at_h
        for name in (event.subject, event.facts.other)
    }


def _touched(yarded: Yarded, key: str, late: set[str]) -> bool:
    """Return whether a late event is of this tree's life, or a correction."""
    corrections = {e.id for e in yarded.events if isinstance(e.facts, Corrected)}
    if late & corrections:
        return True
    return any(event.id in late for event in yarded.book.lives.get(key, ()))


def _mark(desk: Desk, yarded: Yarded, at_h: int) -> Mark:
    book = head(desk.ledger())
    return Mark(
        at_h=at_h,
        book_n=book.position_n,
        book_digest=book.digest,
        weather_n=position(desk.archive()),
        code_digest=_digest(desk, yarded),
    )


def _digest(desk: Desk, yarded: Yarded) -> str:
    """Return a digest of the code, and of the benches as they are known now."""
    told = repr(sorted(yarded.benches.items(), key=itemgetter(0)))
    return sha256((desk.code_digest() + told).encode()).hexdigest()


def _folder(desk: Desk, yarded: Yarded) -> Path:
    return desk.home / "snapshots" / yarded.key


def local_of(desk: Desk, yarded: Yarded, at: datetime) -> LocalNights:
    """Return what a yard's own thermometers teach of the nights to come."""
    return local_nights(
        desk, yarded.key, yarded.yard, yarded.benches, yarded.events, at
    )


def weather_of(
    desk: Desk,
    yarded: Yarded,
    from_h: int,
    until_h: int,
    at: datetime,
    *,
    local: LocalNights,
) -> YardWeather:
    """Return a yard's weather by the hour, as it was known at a time."""
    return yard_weather(
        desk.archive(),
        yarded.key,
        from_h * HOUR_S,
        until_h * HOUR_S,
        as_of_s=at.timestamp(),
        fill=usual_weather(desk.world(), yarded.spot),
        members_n=MEMBERS_N,
        preferred=(*OWN, *(yarded.yard.weather or ())),
        local=shift_of(local, yarded.yard, at),
    )


def _stood(yarded: Yarded, start_h: int) -> Iterator[tuple[str, str]]:
    """Yield on which benches each species stood, since the window begins or now."""
    then = datetime.fromtimestamp(start_h * HOUR_S, UTC)
    before = book_at(yarded.events, then, since=then).kept
    for key, noun in yarded.nouns.items():
        facts = [event.facts for event in yarded.book.lives.get(key, ())]
        told = [
            f for f in (noun, before.get(key), *facts) if isinstance(f, Tree | Group)
        ]
        moves = [f.bench for f in facts if isinstance(f, SetDown)]
        for bench in {*moves, *(one.bench for one in told)}:
            for species in {one.species for one in told}:
                yield bench or "", species


def _pull(
    desk: Desk, yarded: Yarded, weather: YardWeather, start_h: int, from_h: int
) -> Pull:
    """Return what every bench asks of every species that stood there."""
    pairs = _stood(yarded, start_h)
    return pull_of(
        weather.rows,
        yarded.spot,
        yarded.benches,
        pairs,
        desk.library(),
        from_h=from_h,
    )

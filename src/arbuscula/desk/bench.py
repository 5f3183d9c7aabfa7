"""Bench: where trees stand, set up with as many as are said to stand there."""

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from datetime import datetime, timedelta
from functools import partial
from typing import Final, Literal

from arbuscula.desk import Desk
from arbuscula.desk.bench_climate import USUAL, USUAL_POT, BenchShown, bench_months
from arbuscula.desk.facts import Reader, facts_from_words
from arbuscula.desk.metered import Metered, as_it_was, as_read, metered
from arbuscula.desk.names import (
    Known,
    folded,
    known_from,
    meant,
    name_faults,
    new_names,
    next_labels,
    tidy,
    yard_meant,
)
from arbuscula.desk.plants import PlantRow, plant_rows
from arbuscula.desk.sheltering import width_cm
from arbuscula.desk.writing import Drafted, first_events_of, happened_at, written
from arbuscula.kinds.events import Sort
from arbuscula.kinds.place import Bench, Exposure
from arbuscula.kinds.said import ArbusculaError, NotDoneError, Said
from arbuscula.kinds.tree import Tree
from arbuscula.kinds.values import Grade, Value
from arbuscula.ledger.book import all_events
from arbuscula.science.container import volume_ml
from arbuscula.state.book import last_words
from arbuscula.strict.faults import gathered
from arbuscula.weather.year import DAYS_N

MONTHS_N: Final = 12
OTHERS: Final = tuple(sort for sort in Sort if sort is not Sort.BENCH)


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchWish:
    """A bench to set up; of what is not said nothing is written down."""

    name: str
    yard: str | None = None
    said: Mapping[str, str] = field(default_factory=dict)  # of the bench
    trees_n: int = 0
    each: Mapping[str, str] = field(default_factory=dict)  # of every tree
    since: str | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchAdded:
    """The answer: the new bench, and the trees made with it."""

    schema: Literal["arbuscula.bench_add/1"] = "arbuscula.bench_add/1"
    key: str
    bench: Bench
    trees: tuple[str, ...]  # their names
    labels: tuple[str, ...]
    ids: tuple[str, ...]  # of the events: the bench's, then the trees'


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchRow:
    """One bench, and how many stand there."""

    key: str
    bench: Bench
    trees_n: int  # and groups


@dataclass(frozen=True, slots=True, kw_only=True)
class Benches:
    """The answer: every bench of one yard or of all."""

    schema: Literal["arbuscula.bench_list/1"] = "arbuscula.bench_list/1"
    benches: tuple[BenchRow, ...]


def add_bench(desk: Desk, wish: BenchWish) -> BenchAdded:
    """Set up a bench and all its trees, or nothing."""
    return written(desk, partial(_draft, desk, wish))


def _draft(desk: Desk, wish: BenchWish, known: Known) -> Drafted[BenchAdded]:
    yard = yard_meant(known, wish.yard)
    key = _free_key(known, yard, tidy(wish.name))
    bench, tree = _read(Reader(library=desk.library(), known=known), wish, yard)
    labels = next_labels(known, key, bench.name, wish.trees_n if tree else 0)
    trees = {
        name: replace(tree, label=label, bench=key, place_n=float(n))
        for n, (name, label) in enumerate(new_names(known, labels).items(), 1)
        if tree
    }
    happened = happened_at(desk, known, yard, wish.since)
    events = first_events_of(desk, known, {key: bench, **trees}, happened=happened)
    answer = BenchAdded(
        key=key,
        bench=bench,
        trees=tuple(trees),
        labels=tuple(labels),
        ids=tuple(event.id for event in events),
    )
    return answer, events


def _free_key(known: Known, yard: str, name: str) -> str:
    """Return what the book calls a new bench; another yard may have one so named."""
    alike = [b for b in known.benches.values() if folded(b.name) == folded(name)]
    in_yard = [Sort.BENCH] if any(bench.yard == yard for bench in alike) else []
    if faults := [*name_faults(known, name, *OTHERS, *in_yard)]:
        raise NotDoneError(*faults)
    return f"{yard}/{name}" if alike else name


def _read(reader: Reader, wish: BenchWish, yard: str) -> tuple[Bench, Tree | None]:
    """Read what was said of the bench and of each tree; tell all faults at once."""
    faults: list[Said] = []
    name = tidy(wish.name)
    is_so = {"name": name, "yard": yard, "exposure": Exposure.OPEN.value}
    of_bench = partial(facts_from_words, Bench, wish.said, reader, before=is_so)
    bench = gathered(partial(of_bench, name=name), faults)
    tree = None
    if wish.trees_n:
        of_each = partial(facts_from_words, Tree, wish.each, reader)
        tree = gathered(partial(of_each, name=f"{name}, each tree"), faults)
    elif wish.each:
        faults.append(Said("bench.how_many", {"found": ", ".join(wish.each)}))
    if bench is None or faults:
        raise ArbusculaError(*faults)
    return bench, tree


def list_benches(desk: Desk, yard: str | None = None) -> Benches:
    """Say which benches there are, in one yard or in all."""
    known = known_from(all_events(desk.ledger()))
    of = known.yards if yard is None else [yard_meant(known, yard)]
    return Benches(
        benches=tuple(
            BenchRow(key=key, bench=bench, trees_n=len(known.book.benches.get(key, ())))
            for key, bench in known.benches.items()
            if bench.yard in of
        )
    )


def show_bench(
    desk: Desk, name: str, *, species: str | None = None, pot: str | None = None
) -> BenchShown:
    """Say what a bench is, who stands there, and what it is like by month.

    It is told for the species and the smallest pot that stand there, unless
    others are named: small balls are the first to be too hot or too cold.
    """
    known = known_from(all_events(desk.ledger()))
    key = meant(known, name, Sort.BENCH).name
    bench, trees = (
        known.benches[key],
        plant_rows(known, known.book.benches.get(key, ())),
    )
    kinds = Counter(row.said.species for row in trees).most_common(1)
    pots = [row.said.pot for row in trees if row.said.pot]
    yard, at = known.yards[bench.yard], desk.clock()
    here = {key: bench}
    read = metered(desk, bench.yard, yard, here, known.events, at).get(key)
    told = bench_months(
        desk,
        yard,
        read.bench if read else bench,
        species=species or (kinds[0][0] if kinds else USUAL),
        pot=pot or min(pots, key=volume_ml, default=None) or USUAL_POT,
        in_month=_in_month(known, key, bench, at, read),
        doubt=_doubt(read),
    )
    room = _room(desk, bench, trees)
    told = replace(told, key=key, trees=trees, bench=bench, room=room)
    if read is None:
        return told
    unnamed = (Said("bench.unnamed_lux", {}),) if read.unnamed_n else ()
    return replace(told, light_ratio=read.ratio, notes=(*told.notes, *unnamed))


def _room(desk: Desk, bench: Bench, trees: Sequence[PlantRow]) -> Said | None:
    """Return how many more a bench holds, or how many metres are left."""
    if bench.capacity_n is not None:
        left_n = float(max(bench.capacity_n - len(trees), 0))
        told = {"left_n": left_n, "capacity_n": float(bench.capacity_n)}
        return Said("bench.room_pots", {**told})
    if bench.length_m is not None:
        taken_m = sum(width_cm(desk, row.tree, row.said) for row in trees) / 100
        told = {"left_m": max(bench.length_m - taken_m, 0), "length_m": bench.length_m}
        return Said("bench.room_metres", {**told})
    return None


def _doubt(read: Metered | None) -> Value | None:
    """Return how far light may be off that was set right by readings."""
    if read is None:
        return None
    ratio = read.ratio
    return Value(
        value=1.0,
        low=ratio.p10 / ratio.p50,
        high=ratio.p90 / ratio.p50,
        source="arbuscula",
        grade=Grade.MEASURED,
    )


def _in_month(
    known: Known, key: str, bench: Bench, now: datetime, read: Metered | None
) -> dict[int, Bench]:
    """Return how a bench is in each month, by what was last said of it then.

    Netting, paint, heating and lamps come and go with the year; all else holds as
    it is known now.
    """
    of_bench = [e for e in known.events if e.subject == key or e.kind == "corrected"]
    middles = [now - timedelta(days=DAYS_N / MONTHS_N * n) for n in range(MONTHS_N)]
    then = {
        at.month: as_it_was(bench, last_words(of_bench, Bench, at).get(key))
        for at in middles
    }
    if read is None:
        return then
    return {month: as_read(one, read.ratio.p50) for month, one in then.items()}

"""Stone Stair, set up through the desk's own verbs. All of it is invented."""

from dataclasses import replace
from datetime import UTC, datetime, timedelta

import pytest

from arbuscula.desk.bench import BenchWish, add_bench
from arbuscula.desk.record import RecordWish, record
from arbuscula.desk.tree import TreeWish, add_tree, show_tree
from arbuscula.desk.yard import add_yard
from arbuscula.kinds.said import ArbusculaError
from arbuscula.ledger.book import position
from arbuscula.start import desk_at

NOW = datetime(2026, 7, 8, 6, 10, tzinfo=UTC)  # 8:10 on the terrace
FIG = {"species": "ficus-microcarpa"}


def desk_of(home, now=NOW):
    return replace(desk_at(home), clock=lambda: now)


def later(desk, **passed):
    """Return the same desk when some time has passed."""
    now = desk.clock() + timedelta(**passed)
    return replace(desk, clock=lambda: now)


def stair(home, *, trees_n=12):
    """Return a desk with one yard, and a bench of figs that stood there in June."""
    desk = desk_of(home)
    add_yard(desk, "Stone Stair", "Trieste")
    bench(desk, "Bench 3", trees_n=trees_n, each=FIG, since="2026-06-01")
    return desk


def bench(desk, name, **wish):
    return add_bench(desk, BenchWish(name=name, **wish))


def tree(desk, place, label=None, **wish):
    said = {**FIG, **wish.pop("said", {})}
    return add_tree(desk, TreeWish(bench=place, label=label, said=said, **wish))


def rec(desk, subject, words, **wish):
    """Record words as they are typed."""
    told = tuple(words.split(" ")) if isinstance(words, str) else tuple(words)
    return record(desk, RecordWish(subject=subject, words=told, **wish))


def facts_of(desk, subject, words, **wish):
    (event,) = rec(desk, subject, words, **wish).events
    return event.facts


def life(desk, words):
    return [(e.kind, e.taken_back_by) for e in show_tree(desk, words).life]


def faults(desk, do, kind=ArbusculaError):
    """Return what is wrong; nothing was written then."""
    before = position(desk.ledger())
    with pytest.raises(kind) as caught:
        do()
    assert type(caught.value) is kind
    assert position(desk.ledger()) == before
    return {fault.message_id: fault.figures for fault in caught.value.faults}

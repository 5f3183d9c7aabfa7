"""The book in use: whatever is written, late or twice or taken back, holds together."""

import shutil
from dataclasses import replace
from datetime import timedelta
from itertools import count
from pathlib import Path
from tempfile import TemporaryDirectory

import numpy as np
import pytest
from hypothesis import Phase, settings
from hypothesis import strategies as st
from hypothesis.stateful import (
    RuleBasedStateMachine,
    invariant,
    precondition,
    rule,
)

from arbuscula.desk.answers import data
from arbuscula.desk.record import undo
from arbuscula.desk.today import today
from arbuscula.kinds.said import ArbusculaError, NotDoneError
from arbuscula.ledger.book import all_events, position
from arbuscula.ledger.verify import verify_store
from arbuscula.start import desk_at
from arbuscula.state.book import book_at
from tests.desk.made_yard import NOW, desk_with, forecast, observe
from tests.desk.stair import later, rec

BENCHES = ("Terrace", "Sill")
LABELS = ("T1", "T2", "S1", "S2")
WORK = (
    "watered",
    "watered 120",
    "check lifted light",
    "check lifted heavy",
    "check surface dry",
    "weighed 1400",
    "pruned trim removed_frac=0.3",
    "into hospital",
    "out of hospital",
    "died",
    "returned",
)
REFUSALS = {"record.not_there", "record.nobody", "ledger.conflict"}
LABEL = st.sampled_from(LABELS)
HOURS = st.integers(0, 200)


class Grower(RuleBasedStateMachine):
    """Somebody who writes down this and that, sometimes days later."""

    def __init__(self):
        super().__init__()
        self.folder = TemporaryDirectory()
        self.home = Path(self.folder.name) / "home"
        desk = desk_with(self.home, trees_n=2, benches=("terrace", "sill"))
        observe(desk, NOW - timedelta(days=12))
        forecast(desk)
        numbers = count()
        self.desk = replace(desk, new_id=lambda: f"phone-{next(numbers):04}")
        self.acknowledged = {event.id for event in all_events(desk.ledger())}
        self.mine = []

    def teardown(self):
        self.desk.ledger().engine.dispose()
        self.folder.cleanup()

    def written(self, subject, words, **wish):
        """Write it down, unless the book says that it cannot have happened."""
        try:
            answer = rec(self.desk, subject, words, **wish)
        except ArbusculaError as error:
            if any(fault.message_id not in REFUSALS for fault in error.faults):
                raise
            return
        self.mine += [event.id for event in answer.events]
        self.acknowledged |= {event.id for event in answer.events}

    def ago(self, hours_n):
        at = self.desk.clock() - timedelta(hours=hours_n)
        return f"{at:%Y-%m-%dT%H:%M:%S}+00:00"

    @rule(hours_n=st.integers(1, 30))
    def time_passes(self, hours_n):
        self.desk = later(self.desk, hours=hours_n, seconds=1)

    @rule(label=LABEL, words=st.sampled_from(WORK), hours_n=HOURS)
    def something_happened(self, label, words, hours_n):
        self.written(label, words, at=self.ago(hours_n))

    @rule(bench=st.sampled_from(BENCHES), excepted=st.sampled_from(["1", "2", None]))
    def a_bench_is_watered(self, bench, excepted):
        self.written(bench, "watered", excepted=excepted)

    @rule(label=LABEL, bench=st.sampled_from(BENCHES), hours_n=HOURS)
    def a_tree_moves(self, label, bench, hours_n):
        self.written(label, ["set down", f"bench={bench}"], at=self.ago(hours_n))

    @rule(label=LABEL, other=LABEL, hours_n=HOURS)
    def labels_turn_out_to_be_exchanged(self, label, other, hours_n):
        if label != other:
            words = ["labels exchanged", f"other={other}"]
            self.written(label, words, at=self.ago(hours_n))

    @precondition(lambda self: self.mine)
    @rule(place=st.integers(0, 1000))
    def something_is_taken_back(self, place):
        event_id = self.mine[place % len(self.mine)]
        try:
            answer = undo(self.desk, event_id)
        except NotDoneError:
            return
        self.mine += [event.id for event in answer.events]
        self.acknowledged |= {event.id for event in answer.events}

    @rule(label=LABEL, name=st.sampled_from(["a", "b"]))
    def the_same_is_sent_twice(self, label, name):
        self.written(label, "watered 90", id=f"own-{name}")
        before = position(self.desk.ledger())
        self.written(label, "watered 90", id=f"own-{name}")
        assert position(self.desk.ledger()) == before

    @rule()
    def the_answer_is_the_same_from_the_first_event_on(self):
        told = today(self.desk)
        anew = Path(self.folder.name) / "anew"
        shutil.copytree(self.home, anew, ignore=shutil.ignore_patterns("snapshots"))
        fresh = replace(desk_at(anew), clock=self.desk.clock)
        try:
            assert_alike(data(today(fresh)), data(told))
        finally:
            fresh.ledger().engine.dispose()
            shutil.rmtree(anew)

    @invariant()
    def nothing_acknowledged_is_lost_and_nothing_else_is_there(self):
        events = all_events(self.desk.ledger())
        assert {event.id for event in events} == self.acknowledged
        assert len(events) == position(self.desk.ledger()) == len(self.acknowledged)

    @invariant()
    def the_order_of_arrival_is_of_no_account(self):
        events = all_events(self.desk.ledger())
        assert (
            book_at(events) == book_at(events[::-1]) == book_at(sorted(events, key=str))
        )

    @invariant()
    def every_tree_stands_once_or_nowhere(self):
        book = book_at(all_events(self.desk.ledger()))
        stood = [name for bench in book.benches.values() for name in bench]
        assert len(stood) == len({*stood})
        assert {*stood} == {n for n, one in book.kept.items() if one.bench is not None}

    @invariant()
    def the_store_is_whole(self):
        assert verify_store(self.desk.ledger()) == ()


def assert_alike(found, wanted, name="answer"):
    """Compare answers: figures to the last bits that summing in parts may turn."""
    if isinstance(wanted, dict):
        assert found.keys() == wanted.keys(), name
        for key, part in wanted.items():
            assert_alike(found[key], part, f"{name}.{key}")
    elif isinstance(wanted, list):
        assert len(found) == len(wanted), name
        for n, part in enumerate(wanted):
            assert_alike(found[n], part, f"{name}[{n}]")
    elif isinstance(wanted, float):
        np.testing.assert_allclose(found, wanted, rtol=1e-9, atol=1e-9, err_msg=name)
    else:
        assert found == wanted, name


BookInUse = pytest.mark.slow(Grower.TestCase)
BookInUse.settings = settings(
    deadline=None,
    max_examples=8,
    stateful_step_count=20,
    phases=(Phase.reuse, Phase.generate),  # twenty steps can be read as they are
)

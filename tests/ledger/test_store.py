import sqlite3
import subprocess
import sys
import threading
from dataclasses import replace
from datetime import datetime, timedelta

import pytest
from sqlalchemy import inspect, text

from arbuscula.kinds.events import Watered
from arbuscula.kinds.said import ArbusculaError, NotDoneError
from arbuscula.ledger.book import (
    all_events,
    append,
    events_after,
    head,
    position,
)
from arbuscula.ledger.store.engine import engine_at, reading, writing
from arbuscula.ledger.store.tables import VERSION
from arbuscula.ledger.verify import verify_store
from tests.ledger.cans import AT, CAN, OTHER, cans


def made_old(url, open_ledger):
    """Make a store of version 1: no table of persons yet, one event in it."""
    ledger = open_ledger(url)
    append(ledger, CAN)
    with writing(ledger.engine) as c:
        c.execute(text("DROP TABLE person"))
        c.execute(VERSION.update().values(n=1))
    ledger.engine.dispose()


BOTH = ["DELETE FROM event", "UPDATE event SET kind = ''"]
REPLACING = "INSERT OR REPLACE INTO event SELECT {}, '', '', '', '', '', '', '', ''"
VERBS = {
    "sqlite": [
        *BOTH,
        REPLACING.format("2, 'phone-1-17'"),
        REPLACING.format("1, 'new'"),
    ],
    "postgresql": [
        *BOTH,
        "TRUNCATE event",
        "SET session_replication_role = replica; DELETE FROM event",
    ],
}


@pytest.mark.parametrize("old", [False, True])  # a rebuilt table loses triggers
@pytest.mark.parametrize(
    ("dialect", "verb"), [(name, verb) for name in VERBS for verb in VERBS[name]]
)
def test_the_ledger_only_grows(dialect, verb, old, request, open_ledger):
    url = request.getfixturevalue(f"{dialect}_url")
    if old:
        made_old(url, open_ledger)
    ledger = open_ledger(url)
    append(ledger, CAN)
    with pytest.raises(NotDoneError) as error, writing(ledger.engine) as c:
        c.execute(text(verb))
    assert "only grows" in error.value.faults[0].figures["found"]
    assert all_events(ledger) == (CAN,)


def test_sqlite_is_strict_waits_for_the_disk_and_lets_readers_read(sqlite_url):
    engine = engine_at(sqlite_url)
    with reading(engine) as c:
        found = [c.scalar(text(f"PRAGMA {p}")) for p in ("journal_mode", "synchronous")]
        strict = c.scalar(text("SELECT strict FROM pragma_table_list('event')"))
    engine.dispose()
    assert (found, strict) == (["wal", 2], 1)  # 2: FULL


def test_postgresql_sorts_bytes_whatever_language_it_speaks(postgresql_url):
    engine = engine_at(postgresql_url)
    query = (
        "SELECT DISTINCT collation_name FROM information_schema.columns "
        "WHERE table_name = 'event' AND table_schema = current_schema() "
        "AND data_type = 'text'"
    )
    with reading(engine) as c:
        assert [*c.scalars(text(query))] == ["C"]
    engine.dispose()


def test_sent_twice_is_stored_once_and_a_conflict_is_refused(ledger):
    assert append(ledger, CAN) == 1
    assert append(ledger, CAN, CAN) == 1
    for event in (OTHER, replace(CAN, by="p-3"), replace(CAN, subject="fig-8")):
        with pytest.raises(NotDoneError) as error:
            append(ledger, event)
        assert error.value.faults[0].message_id == "ledger.conflict"
    assert all_events(ledger) == (CAN,)


def test_the_same_moment_in_another_zone_is_the_same_event(ledger):
    append(ledger, CAN)
    summer = datetime.fromisoformat("2026-07-06T08:00:00+02:00")
    assert append(ledger, replace(CAN, happened=summer, written=summer)) == 1


def test_a_batch_is_stored_whole_or_not_at_all(ledger):
    append(ledger, CAN)
    with pytest.raises(NotDoneError) as error:
        append(ledger, *cans(0, 3), OTHER)
    assert [f.figures["event"] for f in error.value.faults] == [CAN.id]
    with pytest.raises(NotDoneError):  # two of one id among themselves
        append(ledger, *cans(0, 3), *cans(2, 3, subject="fig-8"))
    assert all_events(ledger) == (CAN,)
    assert append(ledger, *cans(0, 1200), CAN) == 1201


def test_what_could_not_be_read_back_is_not_written(ledger):
    naive = AT.replace(tzinfo=None)
    wrong = [
        replace(CAN, happened=naive),
        replace(CAN, facts=Watered(given_ml=float("nan"))),
        replace(CAN, kind="fed"),
        replace(CAN, id=" "),
    ]
    with pytest.raises(ArbusculaError) as error:
        append(ledger, *wrong, CAN)
    told = [fault.figures["key"] for fault in error.value.faults]
    assert told == ["happened", "facts.given_ml", "kind", "id"]
    assert position(ledger) == 0


def test_all_comes_as_it_happened_and_the_new_as_it_came(ledger):
    late = replace(CAN, id="late", happened=AT - timedelta(days=2))
    noted = replace(CAN, id="a", written=AT + timedelta(days=1))
    append(ledger, CAN, noted)
    before = position(ledger)
    append(ledger, late)
    assert all_events(ledger) == (late, CAN, noted)
    assert events_after(ledger, before) == (late,)
    assert events_after(ledger, 0) == (CAN, noted, late)


def test_the_head_tells_what_was_written_and_in_which_order(url, open_ledger, tmp_path):
    """Both databases reach the same head, so that a book may move between them."""
    one, two = open_ledger(url), open_ledger(f"sqlite:///{tmp_path / 'two.db'}")
    append(one, *cans(0, 5))
    for can in cans(0, 5):
        append(two, can)
    assert head(one) == head(two)
    append(one, *cans(5, 7))
    append(two, *reversed(cans(5, 7)))
    assert head(one).position_n == head(two).position_n
    assert head(one).digest != head(two).digest


def at_once(*tasks):
    """Run all tasks from one starting line; return what each one gave."""
    line, given = threading.Barrier(len(tasks)), [None] * len(tasks)

    def run(n, task):
        line.wait()
        try:
            given[n] = task()
        except NotDoneError as error:
            given[n] = error

    threads = [threading.Thread(target=run, args=pair) for pair in enumerate(tasks)]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    return given


def test_writers_who_send_the_same_store_it_once(url, open_ledger):
    def send():
        ledger = open_ledger(url)
        for can in cans(0, 20):
            append(ledger, can)

    open_ledger(url)
    assert at_once(*[send] * 4) == [None] * 4
    ledger = open_ledger(url)
    assert all_events(ledger) == tuple(cans(0, 20))
    assert verify_store(ledger) == ()


def test_of_two_writers_with_one_id_one_is_refused(url, open_ledger):
    open_ledger(url)
    for n in range(10):
        sent = [replace(can, id=f"race-{n}") for can in (CAN, OTHER)]
        given = at_once(*[lambda e=e: append(open_ledger(url), e) for e in sent])
        assert sorted(type(g).__name__ for g in given) == ["NotDoneError", "int"]
    assert position(open_ledger(url)) == 10


def test_a_reader_who_follows_by_position_misses_nothing(url, open_ledger):
    """A position that is seen before an earlier one is stored would skip it."""
    followed, done = [], threading.Event()

    def write(first):
        ledger = open_ledger(url)
        for can in cans(first, first + 25):
            append(ledger, can)

    def follow():
        ledger = open_ledger(url)
        while not done.is_set() or len(followed) < position(ledger):
            followed.extend(events_after(ledger, len(followed)))

    open_ledger(url)
    reader = threading.Thread(target=follow)
    reader.start()
    at_once(*[lambda f=first: write(f) for first in (0, 100, 200)])
    done.set()
    reader.join()
    assert len(followed) == 75
    assert {*followed} == {*all_events(open_ledger(url))}


def test_two_who_make_the_book_at_once_make_one(url, open_ledger):
    given = at_once(*[lambda: head(open_ledger(url))] * 4)
    assert len({*given}) == 1
    assert append(open_ledger(url), CAN) == 1


def test_an_old_store_is_brought_up_and_replays_unchanged(url, open_ledger):
    made_old(url, open_ledger)
    ledger = open_ledger(url)
    assert inspect(ledger.engine).has_table("person")
    assert all_events(ledger) == (CAN,)
    assert verify_store(ledger) == ()


@pytest.mark.slow
@pytest.mark.parametrize("old", [False, True])
def test_only_an_old_store_loads_alembic(url, old, open_ledger):
    if old:
        made_old(url, open_ledger)
    code = (
        "import sys; from arbuscula.ledger.store.engine import engine_at; "
        "engine_at(sys.argv[1]).dispose(); print('alembic' in sys.modules)"
    )
    command = [sys.executable, "-c", code, url]
    said = subprocess.run(command, check=True, capture_output=True, text=True)
    assert said.stdout.strip() == str(old)


@pytest.mark.parametrize("versions", [[99], [0], [], [1, 2]])
def test_a_store_of_no_known_version_is_left_alone(url, versions, open_ledger):
    engine = open_ledger(url).engine
    with writing(engine) as c:
        c.execute(VERSION.delete())
        for n in versions:
            c.execute(VERSION.insert().values(n=n))
    with pytest.raises(NotDoneError) as error:
        engine_at(url)
    assert error.value.faults[0].message_id == "ledger.version_unknown"


def test_a_database_of_somebody_else_is_left_alone(sqlite_url):
    other = sqlite3.connect(sqlite_url.removeprefix("sqlite:///"))
    other.execute("CREATE TABLE stamps (n)")
    other.close()
    with pytest.raises(NotDoneError) as error:
        engine_at(sqlite_url)
    assert error.value.faults[0].message_id == "ledger.not_ours"

import sqlite3
from dataclasses import replace

import pytest
from sqlalchemy import create_engine, text

from arbuscula.kinds.said import NotDoneError
from arbuscula.ledger.book import append, head
from arbuscula.ledger.chain import Head
from arbuscula.ledger.store.engine import engine_at
from arbuscula.ledger.verify import verify_store
from tests.ledger.cans import cans

DROP = {
    "sqlite": ["DROP TRIGGER event_no_update", "DROP TRIGGER event_no_delete"],
    "postgresql": ["DROP TRIGGER event_only_grows ON event"],
}


@pytest.fixture
def grown(ledger):
    append(ledger, *cans(1, 10))
    return ledger


def meddle(ledger, *verbs):
    """Do what the program never would, past all its guards."""
    engine = create_engine(ledger.engine.url)
    with engine.begin() as c:
        for verb in verbs:
            c.execute(text(verb))
    engine.dispose()


def unguarded(ledger, *verbs):
    meddle(ledger, *DROP[ledger.engine.dialect.name], *verbs)
    told = verify_store(ledger)
    guards = [said for said in told if said.message_id == "verify.guard_missing"]
    assert len(guards) == len(DROP[ledger.engine.dialect.name])
    return [said for said in told if said not in guards]


def test_a_sound_book_is_found_sound(grown):
    assert verify_store(grown, noted=head(grown)) == ()


def test_a_dropped_trigger_is_told(grown):
    assert unguarded(grown) == []


def test_a_trigger_that_lost_its_teeth_is_told(grown):
    verbs = {
        "sqlite": [
            DROP["sqlite"][0],
            """CREATE TRIGGER event_no_update BEFORE UPDATE ON event
            BEGIN SELECT RAISE(IGNORE); END""",
        ],
        "postgresql": [
            """CREATE OR REPLACE FUNCTION event_only_grows() RETURNS trigger
            LANGUAGE plpgsql AS $$BEGIN RETURN NULL; END$$"""
        ],
    }
    meddle(grown, *verbs[grown.engine.dialect.name])
    (told,) = verify_store(grown)
    assert told.message_id == "verify.guard_changed"


@pytest.mark.parametrize("state", ["DISABLE", "ENABLE"])  # the latter: not always
def test_a_trigger_switched_off_on_postgresql_is_told(
    postgresql_url, state, open_ledger
):
    ledger = open_ledger(postgresql_url)
    meddle(ledger, f"ALTER TABLE event {state} TRIGGER event_only_grows")
    (told,) = verify_store(ledger)
    assert told.message_id == "verify.guard_changed"


@pytest.mark.parametrize(
    "change",
    [
        "facts = replace(facts, '900', '901')",
        "happened = replace(happened, '2026', '2025')",
        "subject = 'fig-8'",
        "by = ''",
        "id = 'can-0099'",
        "digest = replace(digest, substr(digest, 1, 1), '-')",
    ],
)
def test_a_changed_row_is_told_with_its_place(grown, change):
    told = unguarded(grown, f"UPDATE event SET {change} WHERE seq = 4")
    assert told[0].message_id == "verify.row_changed"
    assert told[0].figures["position_n"] == "4"
    assert len(told) == (
        2 if change.startswith("digest") else 1
    )  # the next hangs on it


def test_two_rows_that_changed_places_are_told(grown):
    swap = "UPDATE event SET seq = {} WHERE seq = {}"
    pairs = ((99, 4), (4, 5), (5, 99))
    told = unguarded(grown, *[swap.format(*pair) for pair in pairs])
    assert {said.figures["position_n"] for said in told} == {"4", "5", "6"}


def test_a_missing_row_is_told(grown):
    (told,) = unguarded(grown, "DELETE FROM event WHERE seq IN (4, 5)")
    assert told.message_id == "verify.rows_missing"
    assert told.figures == {"from_n": 4, "to_n": 5}


def test_a_missing_end_is_told_to_whoever_noted_it(grown):
    noted = head(grown)
    assert unguarded(grown, "DELETE FROM event WHERE seq > 7") == []
    told = [said.message_id for said in verify_store(grown, noted=noted)]
    assert told[-1] == "verify.end_missing"


def test_another_book_under_the_same_name_is_told(grown):
    noted = replace(head(grown), digest="of another book")
    (told,) = verify_store(grown, noted=noted)
    assert told.message_id == "verify.another_past"


def test_a_row_that_is_no_event_is_told_with_its_faults(grown):
    told = unguarded(grown, "UPDATE event SET kind = 'washed' WHERE seq = 4")
    assert [said.message_id for said in told] == ["verify.row_changed", "file.fault"]
    assert told[1].figures["file"] == "event can-0004"


def test_a_flipped_bit_in_a_row_is_told(sqlite_url, tmp_path, open_ledger):
    """Every bit of the row's text; elsewhere the database's own check looks."""
    ledger = open_ledger(sqlite_url)
    append(ledger, *cans(1, 10))
    ledger.engine.dispose()  # the last to leave brings all into the one file
    whole = (tmp_path / "ledger.db").read_bytes()
    # sort, subject, kind ... stand side by side; an index holds a copy of the id.
    there = whole.index(b"can-0004treefig-7watered")
    for bit in range(0, 8 * 24, 7):
        flipped = bytearray(whole)
        flipped[there + bit // 8] ^= 1 << bit % 8
        path = tmp_path / f"flipped-{bit}.db"
        path.write_bytes(flipped)
        book = open_ledger(f"sqlite:///{path}")
        assert verify_store(book), bit


def test_a_flipped_byte_anywhere_is_told_or_harms_no_event(
    sqlite_url, tmp_path, open_ledger
):
    """What no page uses may change unseen; no event may."""
    ledger = open_ledger(sqlite_url)
    append(ledger, *cans(1, 10))
    whole_head = head(ledger)
    ledger.engine.dispose()
    whole = (tmp_path / "ledger.db").read_bytes()
    seen = 0
    for place in range(0, len(whole), 199):
        flipped = bytearray(whole)
        flipped[place] ^= 0x55
        path = tmp_path / "flipped.db"
        path.unlink(missing_ok=True)
        path.write_bytes(flipped)
        try:
            book = open_ledger(f"sqlite:///{path}")
            told = verify_store(book)
            book.engine.dispose()
        except NotDoneError:
            seen += 1
            continue
        if told:
            seen += 1
        else:
            assert head(book) == whole_head
            book.engine.dispose()
    assert seen > 3


def test_a_file_that_is_no_database_is_told(tmp_path):
    path = tmp_path / "ledger.db"
    path.write_bytes(b"watered fig-7 on Friday" * 100)
    with pytest.raises(NotDoneError) as error:
        engine_at(f"sqlite:///{path}")
    assert error.value.faults[0].message_id == "ledger.not_read"


def test_a_table_that_is_gone_is_told(sqlite_url, open_ledger, tmp_path):
    ledger = open_ledger(sqlite_url)
    other = sqlite3.connect(tmp_path / "ledger.db")
    other.execute("DROP TABLE event")
    other.close()
    told = verify_store(ledger, noted=Head(position_n=1, digest="x"))
    assert "ledger.not_read" in {said.message_id for said in told}


def test_no_more_is_told_than_can_be_read(ledger):
    append(ledger, *cans(0, 300))
    assert len(unguarded(ledger, "UPDATE event SET subject = 'fig-9'")) == 100

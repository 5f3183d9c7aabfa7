"""A copy is the book as it was at one moment, whoever writes meanwhile."""

import threading
from dataclasses import replace

import pytest

from arbuscula.desk.backup import backup
from arbuscula.desk.restore import restore
from arbuscula.kinds.person import Person
from arbuscula.kinds.said import NotDoneError
from arbuscula.ledger.backup import book_in, copy_book, is_in_use
from arbuscula.ledger.book import all_events, append, digest_at, head, position
from arbuscula.ledger.persons import all_persons, keep_person
from arbuscula.ledger.verify import verify_store
from arbuscula.start import desk_at
from tests.ledger.cans import CAN, cans

BUYER = Person(id="p-1", role="buyer", name="Ondine Vanishing", contact="Bergen")


def test_a_copy_has_the_head_and_the_persons(ledger, tmp_path):
    append(ledger, *cans(0, 10))
    keep_person(ledger, BUYER)
    copy_book(ledger, tmp_path / "copy.db")
    with book_in(tmp_path / "copy.db") as copy:
        assert verify_store(copy, noted=head(ledger)) == ()
        assert all_events(copy) == all_events(ledger)
        assert all_persons(copy) == (BUYER,)


def test_copies_made_while_others_write_are_each_a_whole_past(
    url, open_ledger, tmp_path
):
    done = threading.Event()

    def write(first):
        ledger = open_ledger(url)
        n = first
        while not done.is_set():
            append(ledger, *cans(n, n + 3))
            n += 3

    ledger = open_ledger(url)
    writers = [threading.Thread(target=write, args=(n,)) for n in (0, 5000)]
    for writer in writers:
        writer.start()
    try:
        for n in range(5):
            before = position(ledger)
            copy_book(ledger, tmp_path / f"{n}.db")
            with book_in(tmp_path / f"{n}.db") as copy:
                end = head(copy)
                assert verify_store(copy) == ()
            assert end.position_n >= before
            assert digest_at(ledger, end.position_n) == end.digest
    finally:
        done.set()
        for writer in writers:
            writer.join()
    assert position(ledger) > end.position_n > 0


def test_a_book_is_in_use_while_somebody_has_it_open(sqlite_url, tmp_path, open_ledger):
    path = tmp_path / "ledger.db"
    assert not is_in_use(path)
    ledger = open_ledger(sqlite_url)
    append(ledger, CAN)
    assert is_in_use(path)
    ledger.engine.dispose()
    assert not is_in_use(path)
    assert append(ledger, *cans(0, 2)) == 3  # and it may be used again


def test_what_is_no_database_is_not_in_use(tmp_path):
    (tmp_path / "book.db").write_bytes(b"watered fig-7 on Friday" * 100)
    assert not is_in_use(tmp_path / "book.db")


# A book that is kept on a server, and weather in a folder


@pytest.fixture
def desk_on(postgresql_url, open_ledger, tmp_path):
    """Return a way to a desk whose book is on a server."""
    ledger = open_ledger(postgresql_url)

    def made(name="home"):
        return replace(desk_at(tmp_path / name), ledger=lambda: ledger)

    return made


def test_a_servers_book_becomes_a_file_in_a_folder(desk_on, tmp_path):
    desk = desk_on()
    append(desk.ledger(), *cans(0, 10))
    keep_person(desk.ledger(), BUYER)
    answer = backup(desk, tmp_path / "trees.zip")
    assert answer.contents.digest == head(desk.ledger()).digest
    restore(desk, tmp_path / "trees.zip", into=tmp_path / "other")
    with book_in(tmp_path / "other/book.db") as book:
        assert head(book) == head(desk.ledger())
        assert all_persons(book) == (BUYER,)


def test_a_backup_comes_back_to_the_server_where_the_book_is_kept(
    desk_on, tmp_path, open_ledger
):
    old = desk_at(tmp_path / "old")
    append(old.ledger(), *cans(0, 10))
    keep_person(old.ledger(), BUYER)
    backup(old, tmp_path / "trees.zip")
    desk = desk_on("new")
    restore(desk, tmp_path / "trees.zip")
    assert head(desk.ledger()) == head(old.ledger())
    assert all_persons(desk.ledger()) == (BUYER,)
    assert not (tmp_path / "new/book.db").exists()
    old.ledger().engine.dispose()


def test_a_server_with_another_book_keeps_it_and_the_folder_stays(desk_on, tmp_path):
    old = desk_at(tmp_path / "old")
    append(old.ledger(), *cans(0, 10))
    backup(old, tmp_path / "trees.zip")
    old.ledger().engine.dispose()
    desk = desk_on("new")
    append(desk.ledger(), CAN)
    (tmp_path / "new").mkdir()
    (tmp_path / "new/mine.txt").write_text("mine")
    with pytest.raises(NotDoneError) as error:
        restore(desk, tmp_path / "trees.zip", replaces=True)
    assert error.value.faults[0].message_id == "import.another_book"
    assert all_events(desk.ledger()) == (CAN,)
    assert [p.name for p in (tmp_path / "new").iterdir()] == ["mine.txt"]
    assert {p.name for p in tmp_path.iterdir()} == {"old", "new", "trees.zip"}

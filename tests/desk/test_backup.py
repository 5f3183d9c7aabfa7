import json
import os
from dataclasses import replace
from datetime import timedelta
from zipfile import ZipFile

import pytest

from arbuscula.desk import calls
from arbuscula.desk.backup import NOTES, backup, notes_in
from arbuscula.desk.calls import Given
from arbuscula.desk.parcel import MANIFEST, manifest_of
from arbuscula.desk.restore import rehearse, restore
from arbuscula.desk.weather_choice import choose_weather, reaches
from arbuscula.kinds.forecast import Reach
from arbuscula.kinds.person import Person
from arbuscula.kinds.said import ArbusculaError, NotDoneError
from arbuscula.ledger.book import all_events, append, head
from arbuscula.ledger.persons import all_persons, erase_person, keep_person
from arbuscula.start import desk_at
from arbuscula.weather.archive import position
from tests.desk.made_yard import NOW, desk_with, observe
from tests.ledger.cans import CAN, cans

BUYER = Person(id="p-1", role="buyer", name="Ondine Vanishing", contact="Bergen")
CALL = Given("stair", "terrace-1", 1.0, 2.0, "water", 0.5, None, None, None)


@pytest.fixture
def desk(tmp_path):
    desk = desk_with(tmp_path / "home")
    observe(desk, NOW - timedelta(days=2))
    keep_person(desk.ledger(), BUYER)
    calls.keep(desk.home, [CALL])
    (desk.home / "library/species").mkdir(parents=True)
    (desk.home / "library/species/own.toml").write_text('latin = "Ficus own"\n')
    (desk.home / "snapshots/stair").mkdir(parents=True)
    (desk.home / "snapshots/stair/a.npz").write_bytes(b"made anew")
    yield desk
    desk.ledger().engine.dispose()


@pytest.fixture
def file(desk, tmp_path):
    backup(desk, tmp_path / "trees.zip")
    return tmp_path / "trees.zip"


@pytest.fixture
def desk_in():
    """Open desks in folders, and close their books."""
    desks = []

    def opened(home):
        desks.append(replace(desk_at(home), clock=lambda: NOW))
        return desks[-1]

    yield opened
    for desk in desks:
        if desk.home.exists():
            desk.ledger().engine.dispose()


def faults(error):
    return [fault.message_id for fault in error.value.faults]


def names(folder):
    return sorted(path.name for path in folder.iterdir())


def test_all_that_cannot_be_made_anew_comes_back(desk, file, tmp_path, desk_in):
    new = desk_in(tmp_path / "deep/new")
    answer = restore(new, file)
    assert head(new.ledger()) == head(desk.ledger())
    assert all_events(new.ledger()) == all_events(desk.ledger())
    assert all_persons(new.ledger()) == (BUYER,)
    assert position(new.archive()) == position(desk.archive()) == 1
    assert calls.given_in(new.home, "stair", since_s=0.0) == {"terrace-1": [CALL]}
    assert (new.home / "library/species/own.toml").exists()
    assert not (new.home / "snapshots").exists()
    counts = answer.contents
    assert (counts.position_n, counts.persons_n, counts.batches_n) == (8, 1, 1)
    assert names(new.home.parent) == ["new"]


def test_a_backup_is_for_its_owner_alone(desk, file, tmp_path, desk_in):
    new = desk_in(tmp_path / "new")
    restore(new, file)
    assert file.stat().st_mode & 0o077 == 0
    assert new.home.stat().st_mode & 0o077 == 0


@pytest.mark.skipif(os.name != "posix", reason="modes are POSIX")
def test_settings_with_keys_come_back_closed_to_others(desk, tmp_path, desk_in):
    choose_weather(desk, "met-norway", Reach(contact="trees@stone-stair.example"))
    backup(desk, tmp_path / "keyed.zip")
    there = desk_in(tmp_path / "elsewhere")
    restore(there, tmp_path / "keyed.zip")
    assert reaches(there) == reaches(desk)


def test_the_list_tells_positions_digests_counts_and_versions(desk, file):
    manifest = manifest_of(file)
    assert manifest.contents.digest == head(desk.ledger()).digest
    assert manifest.contents.made_at == NOW
    assert manifest.contents.program
    parts = {part.name for part in manifest.parts}
    assert {"book.db", "weather.db", "calls.db", "library/species/own.toml"} == parts


def test_any_machine_can_open_it(file):
    with ZipFile(file) as parcel:
        assert parcel.testzip() is None
        assert json.loads(parcel.read(MANIFEST))["schema"] == "arbuscula.backup/1"


def test_a_later_backup_takes_the_place_of_an_earlier_one(desk, file):
    append(desk.ledger(), CAN)
    answer = backup(desk, file)
    assert manifest_of(file).contents.position_n == answer.contents.position_n == 9
    assert names(file.parent) == ["home", "trees.zip"]


@pytest.mark.parametrize("new_n", [0, 9])
def test_an_empty_or_another_book_never_writes_over_a_backup(
    file, tmp_path, desk_in, new_n
):
    before = file.read_bytes()
    other = desk_in(tmp_path / "other")
    append(other.ledger(), *cans(0, new_n))
    with pytest.raises(NotDoneError) as error:
        backup(other, file)
    assert faults(error) == ["backup.other_book"]
    assert file.read_bytes() == before


def test_a_file_that_is_no_backup_is_left_alone(desk, tmp_path):
    path = tmp_path / "letters.zip"
    path.write_text("dear buyer")
    with pytest.raises(NotDoneError) as error:
        backup(desk, path)
    assert faults(error) == ["backup.other_file"]
    assert path.read_text() == "dear buyer"


def test_a_backup_beside_the_book_is_refused(desk):
    with pytest.raises(ArbusculaError) as error:
        backup(desk, desk.home / "trees.zip")
    assert faults(error) == ["backup.at_home"]


def test_a_folder_that_is_not_there_is_told_and_nothing_is_left(desk, tmp_path):
    with pytest.raises(NotDoneError) as error:
        backup(desk, tmp_path / "stick/trees.zip")
    assert faults(error) == ["file.not_written"]
    assert names(tmp_path) == ["home"]


def test_a_damaged_book_makes_no_backup(desk, tmp_path):
    with desk.ledger().engine.begin() as c:
        c.exec_driver_sql("DROP TRIGGER event_no_update")
        c.exec_driver_sql("UPDATE event SET subject = 'fig-9' WHERE seq = 4")
    with pytest.raises(NotDoneError) as error:
        backup(desk, tmp_path / "trees.zip")
    assert faults(error) == ["verify.guard_missing", "verify.row_changed"]
    assert names(tmp_path) == ["home"]


# Damage


def test_a_flipped_bit_anywhere_is_told_or_harms_nothing(desk, file, tmp_path, desk_in):
    whole = file.read_bytes()
    seen = []
    for n, place in enumerate(range(0, len(whole), max(len(whole) // 60, 1))):
        flipped = bytearray(whole)
        flipped[place] ^= 1 << n % 8
        file.write_bytes(flipped)
        new = desk_in(tmp_path / f"new-{n}")
        try:
            restore(new, file)
        except NotDoneError as error:
            seen.append(error.faults[0].message_id)
            assert not new.home.exists()
        else:
            assert head(new.ledger()) == head(desk.ledger())
            assert all_persons(new.ledger()) == (BUYER,)
    assert len(seen) > 50


@pytest.mark.parametrize("share", [0.0, 0.01, 0.5, 0.99])
def test_a_file_that_was_cut_short_is_refused(desk, file, tmp_path, share):
    whole = file.read_bytes()
    file.write_bytes(whole[: int(len(whole) * share)])
    with pytest.raises(NotDoneError) as error:
        rehearse(desk, file)
    assert faults(error) == ["backup.damaged"]


def test_a_file_that_is_not_there_is_told(desk, tmp_path):
    with pytest.raises(ArbusculaError) as error:
        rehearse(desk, tmp_path / "trees.zip")
    assert faults(error) == ["backup.not_there"]


def repacked(file, change):
    """Pack a backup anew, with other parts."""
    with ZipFile(file) as parcel:
        parts = {name: parcel.read(name) for name in parcel.namelist()}
    parts = change(parts)
    with ZipFile(file, "w") as parcel:
        for name, part in parts.items():
            parcel.writestr(name, part)


def listed_as(old, new):
    return lambda parts: parts | {MANIFEST: parts[MANIFEST].replace(old, new)}


def renamed(new):
    """Let a part bear another name, in the list and out of it."""

    def change(parts):
        parts = listed_as(b'"calls.db"', json.dumps(new).encode())(parts)
        return {new if n == "calls.db" else n: part for n, part in parts.items()}

    return change


@pytest.mark.parametrize(
    ("change", "fault"),
    [
        (lambda parts: parts | {"book.db": parts["weather.db"]}, "backup.part_changed"),
        (lambda parts: parts | {"more.txt": b""}, "backup.another_list"),
        (lambda p: {n: p[n] for n in p if n != "calls.db"}, "backup.another_list"),
        (lambda p: {n: p[n] for n in p if n != MANIFEST}, "backup.no_list"),
        (listed_as(b"backup/1", b"backup/9"), "file.fault"),
        (listed_as(b'"persons_n": 1', b'"persons_n": 2'), "backup.miscounted"),
        (listed_as(b'"batches_n": 1', b'"batches_n": 2'), "backup.miscounted"),
        (listed_as(b'"position_n": 8', b'"position_n": 9'), "verify.end_missing"),
        (listed_as(b'"position_n": 8', b'"position_n": 7'), "verify.another_past"),
        (lambda parts: parts | {MANIFEST: b"{"}, "backup.damaged"),
        (renamed("../calls.db"), "backup.another_list"),
        (renamed("/calls.db"), "backup.another_list"),
        (renamed("a\\calls.db"), "backup.another_list"),
        (renamed("c:calls.db"), "backup.another_list"),
    ],
)
def test_what_is_not_as_it_was_packed_is_refused_with_its_reason(
    desk, file, tmp_path, change, fault
):
    repacked(file, change)
    with pytest.raises(NotDoneError) as error:
        restore(desk, file, into=tmp_path / "new")
    assert faults(error) == [fault]
    assert names(tmp_path) == ["home", "trees.zip"]


# Coming back


def test_a_folder_that_holds_something_is_left_alone(desk, file):
    with pytest.raises(NotDoneError) as error:
        restore(desk, file)
    assert faults(error) == ["restore.not_empty"]


def test_what_was_there_is_moved_aside_and_what_is_newer_is_told(
    desk, file, tmp_path, desk_in
):
    append(desk.ledger(), *cans(0, 3))
    desk.ledger().engine.dispose()
    new = desk_in(desk.home)
    answer = restore(new, file, replaces=True)
    assert answer.newer_n == 3
    assert answer.aside == str(tmp_path / "home-before-20260708T061000Z")
    assert head(new.ledger()).position_n == 8
    old = desk_in(tmp_path / "home-before-20260708T061000Z")
    assert head(old.ledger()).position_n == 11


def test_a_ruined_book_is_moved_aside_too(desk, file, tmp_path, desk_in):
    desk.ledger().engine.dispose()
    (desk.home / "book.db").write_bytes(b"watered fig-7 on Friday" * 1000)
    new = desk_in(desk.home)
    answer = restore(new, file, replaces=True)
    assert answer.newer_n is None
    assert head(new.ledger()).position_n == 8
    aside = tmp_path / "home-before-20260708T061000Z/book.db"
    assert aside.read_bytes().startswith(b"watered")


def test_a_book_that_somebody_has_open_is_not_moved(desk, file, desk_in):
    assert head(desk.ledger()).position_n == 8  # it stays open behind this
    with pytest.raises(NotDoneError) as error:
        restore(desk_in(desk.home), file, replaces=True)
    assert faults(error) == ["restore.in_use"]


def test_an_erased_person_comes_back_with_an_older_backup(
    desk, file, tmp_path, desk_in
):
    """As the page on safety warns: erase once more after a restore."""
    erase_person(desk.ledger(), "p-1")
    new = desk_in(tmp_path / "new")
    restore(new, file)
    assert all_persons(new.ledger()) == (BUYER,)


# What is noted


def test_nothing_is_noted_at_first(desk):
    assert (notes_in(desk.home).made, notes_in(desk.home).restored) == (None, None)


def test_a_backup_is_noted_and_so_is_a_rehearsal(desk, file):
    later = replace(desk, clock=lambda: NOW + timedelta(days=1))
    answer = rehearse(later, file)
    assert answer.into is None
    notes = notes_in(desk.home)
    assert (notes.made.at, notes.made.file) == (NOW, "trees.zip")
    assert notes.restored.at == NOW + timedelta(days=1)
    assert notes.restored.contents == answer.contents
    assert names(file.parent) == ["home", "trees.zip"]


def test_a_restore_elsewhere_is_noted_here_and_there(desk, file, tmp_path):
    restore(desk, file, into=tmp_path / "new")
    for home in (desk.home, tmp_path / "new"):
        assert notes_in(home).restored.contents.position_n == 8


def test_another_books_backup_is_not_noted_here(file, tmp_path, desk_in):
    other = desk_in(tmp_path / "other")
    append(other.ledger(), CAN)
    rehearse(other, file)
    assert notes_in(other.home).restored is None


def test_a_rehearsal_makes_no_book_where_there_is_none(file, tmp_path, desk_in):
    rehearse(desk_in(tmp_path / "new"), file)
    assert not (tmp_path / "new").exists()


def test_a_note_that_cannot_be_read_is_none(desk, file):
    (desk.home / NOTES).write_text("{")
    assert notes_in(desk.home).made is None

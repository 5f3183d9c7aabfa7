import shutil
import sqlite3

import pytest

import arbuscula.start
from arbuscula.catalog.entry import FILES, FOLDERS
from arbuscula.desk.backup import backup
from arbuscula.desk.restore import rehearse
from arbuscula.desk.verify import verify, verify_file
from tests.desk.made_yard import desk_with, observe
from tests.desk.stair import desk_of, later, rec, stair

OURS = arbuscula.start.LIBRARY


def ids(answer):
    return [fault.message_id for fault in answer.faults]


def at_the_book(home, *statements):
    with sqlite3.connect(home / "book.db") as db:
        for statement in statements:
            db.execute(statement)
    db.close()


UNGUARDED = [
    f"DROP TRIGGER event_no_{verb}" for verb in ("update", "delete", "replace")
]


def test_what_nobody_touched_is_whole(tmp_path):
    desk = stair(tmp_path)
    rec(desk, "B3-4", "watered")
    answer = verify(desk)
    assert (answer.events_n, answer.faults) == (15, ())


def test_an_empty_book_is_whole(tmp_path):
    assert verify(desk_of(tmp_path)).events_n == 0


def test_each_dropped_guard_is_named(tmp_path):
    desk = stair(tmp_path)
    at_the_book(tmp_path, *UNGUARDED)
    assert ids(verify(desk)) == ["verify.guard_missing"] * 3


@pytest.mark.parametrize(
    ("statement", "fault"),
    [
        ("UPDATE event SET subject = 'B3-5' WHERE seq = 4", "verify.row_changed"),
        ("DELETE FROM event WHERE seq IN (3, 4)", "verify.rows_missing"),
        ("UPDATE event SET facts = '{}' WHERE seq = 4", "file.missing_key"),
        ("UPDATE event SET facts = '{' WHERE seq = 4", "file.not_json"),
    ],
)
def test_a_past_that_was_rewritten_is_told(tmp_path, statement, fault):
    desk = stair(tmp_path)
    at_the_book(tmp_path, *UNGUARDED, statement)
    answer = verify(desk)
    assert fault in ids(answer)
    assert answer.events_n is None


def test_the_weather_is_looked_through_as_well(tmp_path):
    desk = desk_with(tmp_path)
    observe(desk)
    with sqlite3.connect(tmp_path / "weather.db") as db:
        db.execute("DROP TRIGGER batch_no_update")
        db.execute("UPDATE batch SET source = 'somebody'")
    db.close()
    assert ids(verify(desk)) == ["weather.guard_missing", "weather.batch_changed"]


# A species or a substrate of one's own


@pytest.mark.parametrize("sort", FOLDERS)
def test_every_file_of_ours_reads_by_its_keys_alone(tmp_path, sort):
    desk = desk_of(tmp_path / "home")
    for path in sorted((OURS / sort).glob("*.toml")):
        copy = shutil.copy(path, tmp_path / "mine.toml")
        answer = verify_file(desk, copy)
        assert (answer.faults, answer.entry.shelf) == ((), sort), path.name
        assert answer.entry.numbers


@pytest.mark.parametrize("name", [*FILES, "pots.csv"])
def test_a_file_for_all_is_known_by_its_name(tmp_path, name):
    assert ids(verify_file(desk_of(tmp_path), OURS / name)) == []


def test_a_fault_elsewhere_in_ones_library_does_not_hide_a_file(tmp_path):
    desk = desk_of(tmp_path)
    folder = desk.home / "library/species"
    folder.mkdir(parents=True)
    (folder / "broken.toml").write_text("latin =\n")
    shutil.copy(OURS / "species/ficus-microcarpa.toml", folder)
    assert ids(verify_file(desk, folder / "ficus-microcarpa.toml")) == []
    (fault,) = verify_file(desk, folder / "broken.toml").faults
    assert fault.message_id == "file.not_toml"
    assert "line 1" in fault.figures["found"]


def test_a_file_is_what_its_folder_says(tmp_path):
    own = tmp_path / "substrates/mine.toml"
    own.parent.mkdir()
    shutil.copy(OURS / "species/ficus-microcarpa.toml", own)
    answer = verify_file(desk_of(tmp_path), own)
    told = {(f.message_id, f.figures["key"]) for f in answer.faults}
    assert ("file.unknown_key", "latin") in told
    assert ("file.missing_key", "alpha_per_cm") in told


def test_all_faults_of_a_file_are_told(tmp_path):
    own = tmp_path / "mine.toml"
    text = (OURS / "species/ficus-microcarpa.toml").read_text()
    text = text.replace("value = 10, low = 10,", "value = 50, low = 10,")
    text = text.replace('source = "tjosvold"', 'source = "hearsay"')
    text = text.replace("leaf_width_mm", "leaf_width_cm")
    own.write_text(text)
    told = {f.figures["key"] for f in verify_file(desk_of(tmp_path), own).faults}
    assert told == {
        "warmth.warn_below_c",
        "thirst.due_below_frac",
        "thirst.leaf_width_cm",
        "thirst.leaf_width_mm",
    }


def test_a_fault_says_its_line(tmp_path):
    own = tmp_path / "mine.toml"
    text = (OURS / "species/ficus-microcarpa.toml").read_text()
    own.write_text(text.replace("leaf_width_mm", "leaf_width_cm"))
    lines = text.splitlines()
    here = [n for n, line in enumerate(lines, 1) if line.startswith("leaf_width")]
    head = [n for n, line in enumerate(lines, 1) if line == "[thirst]"]
    told = {f.figures["file"] for f in verify_file(desk_of(tmp_path), own).faults}
    assert told == {f"mine.toml, line {n}" for n in (*here, *head)}


def test_sources_of_ones_own_stand_beside(tmp_path):
    library = tmp_path / "library"
    (library / "species").mkdir(parents=True)
    own = library / "species/mine.toml"
    text = (OURS / "species/ficus-microcarpa.toml").read_text()
    own.write_text(text.replace('"tjosvold"', '"my_notes"'))
    desk = desk_of(tmp_path / "home")
    assert ids(verify_file(desk, own)) == ["file.fault"]
    (library / "sources.toml").write_text('[my_notes]\ncite = "Own notes, 2026"\n')
    assert ids(verify_file(desk, own)) == []


@pytest.mark.parametrize(
    ("text", "fault"),
    [("colour = 3\n", "entry.no_kind"), ("latin = \n", "file.not_toml")],
)
def test_a_file_of_no_kind(tmp_path, text, fault):
    own = tmp_path / "mine.toml"
    own.write_text(text)
    assert ids(verify_file(desk_of(tmp_path), own)) == [fault]


def test_a_file_that_is_not_there(tmp_path):
    answer = verify_file(desk_of(tmp_path), tmp_path / "mine.toml")
    assert ids(answer) == ["file.missing"]


def test_it_tells_when_a_backup_was_made_and_when_it_was_tried_out(tmp_path):
    desk = stair(tmp_path / "home")
    assert (verify(desk).made, verify(desk).restored) == (None, None)
    backup(desk, tmp_path / "trees.zip")
    before = verify(desk)
    assert (before.made.file, before.made.contents.position_n) == ("trees.zip", 14)
    assert before.restored is None
    tomorrow = later(desk, days=1)
    rehearse(tomorrow, tmp_path / "trees.zip")
    assert verify(tomorrow).restored.at == tomorrow.clock()


def test_a_book_that_ends_before_its_last_backup_is_told(tmp_path):
    desk = stair(tmp_path / "home")
    backup(desk, tmp_path / "trees.zip")
    at_the_book(tmp_path / "home", *UNGUARDED, "DELETE FROM event WHERE seq = 14")
    assert "verify.end_missing" in ids(verify(desk))

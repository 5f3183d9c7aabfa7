"""Photos are kept beside the book, once, and nothing is lost in silence."""

import pytest

from arbuscula.desk.backup import backup
from arbuscula.desk.exchange import export, import_events
from arbuscula.desk.photos import (
    keep_photo,
    photo_at,
    photos_n,
    with_file_kept,
)
from arbuscula.desk.record import undo
from arbuscula.desk.restore import restore
from arbuscula.desk.round import walk_round
from arbuscula.desk.tree_page import tree_page
from arbuscula.desk.verify import verify
from arbuscula.kinds.said import ArbusculaError
from arbuscula.photo.stripped import stripped
from tests.desk.stair import desk_of, facts_of, faults, later, rec, stair
from tests.photo.pictures import PLACE, picture

PLAIN = stripped(picture())


@pytest.fixture
def desk(tmp_path):
    return stair(tmp_path / "home", trees_n=4)


def photographed(desk, label="B3-4", content=PLAIN, view=""):
    kept = keep_photo(desk.home, content)
    (event,) = rec(desk, label, ["photographed", kept.picture, *view.split()]).events
    return event


def test_it_is_kept_once_and_the_book_tells_digest_and_size(desk):
    facts = photographed(desk, view="from the front").facts
    assert (facts.view, facts.bytes_n) == ("from the front", len(PLAIN))
    photographed(desk, "B3-2")
    assert photos_n(desk.home) == 1
    assert photo_at(desk.home, facts.picture).read_bytes() == PLAIN


def test_the_place_is_not_kept_and_both_are_one_picture(desk):
    assert PLACE in picture()
    kept = keep_photo(desk.home, picture())
    assert photo_at(desk.home, kept.picture).read_bytes() == PLAIN
    assert keep_photo(desk.home, PLAIN) == kept
    assert photos_n(desk.home) == 1


def test_what_did_not_arrive_whole_is_not_kept(desk):
    with pytest.raises(ArbusculaError):
        keep_photo(desk.home, PLAIN[:-9])
    assert photos_n(desk.home) == 0


def test_a_file_of_this_machine_loses_its_place_first(desk, tmp_path):
    (tmp_path / "front.jpg").write_bytes(picture())
    words = ("photographed", str(tmp_path / "front.jpg"), "from", "the", "front")
    facts = facts_of(desk, "B3-4", with_file_kept(desk, words))
    kept = photo_at(desk.home, facts.picture).read_bytes()
    assert PLACE not in kept
    assert kept == PLAIN
    assert facts.view == "from the front"


@pytest.mark.parametrize("words", [("watered",), ("noted", "photographed", "today")])
def test_other_words_stay_as_they_are(desk, words):
    assert with_file_kept(desk, words) == words


def test_a_file_that_is_not_there_is_told(desk):
    told = faults(desk, lambda: with_file_kept(desk, ("photographed", "no.jpg")))
    assert {*told} <= {"file.missing", "file.missing_near"}


@pytest.mark.parametrize("name", ["0" * 64, "../../doors.json", "/etc/hostname"])
def test_the_book_names_no_picture_that_is_not_kept(desk, name):
    """A page sends such words too: no file of this machine is read for it."""
    told = faults(desk, lambda: rec(desk, "B3-4", ["photographed", name]))
    assert [*told] == ["photo.not_kept"]


def test_sent_twice_it_is_stored_once(desk):
    kept = keep_photo(desk.home, PLAIN)
    for sent_before in (False, True):
        told = rec(desk, "B3-4", ["photographed", kept.picture], id="phone-0001")
        assert told.sent_before is sent_before


def test_missing_and_damaged_ones_are_told_and_kept_again_they_are_whole(desk):
    picture_ = photographed(desk).facts.picture
    assert verify(desk).faults == ()
    path = photo_at(desk.home, picture_)
    path.write_bytes(PLAIN[:-1])
    assert [fault.message_id for fault in verify(desk).faults] == ["photo.damaged"]
    path.unlink()
    assert [fault.message_id for fault in verify(desk).faults] == ["photo.missing"]
    keep_photo(desk.home, PLAIN)
    assert verify(desk).faults == ()


def test_one_that_was_taken_back_may_go(desk):
    event = photographed(desk)
    undo(desk, event.id)
    photo_at(desk.home, event.facts.picture).unlink()
    assert verify(desk).faults == ()


def test_a_damaged_one_is_written_anew(desk):
    kept = keep_photo(desk.home, PLAIN)
    photo_at(desk.home, kept.picture).write_bytes(b"")
    assert keep_photo(desk.home, PLAIN) == kept
    assert photo_at(desk.home, kept.picture).read_bytes() == PLAIN


def test_a_backup_carries_them_and_a_restore_brings_them_back(desk, tmp_path):
    facts = photographed(desk).facts
    made = backup(desk, tmp_path / "trees.zip")
    assert made.contents.photos_n == 1
    restored = restore(desk, tmp_path / "trees.zip", into=tmp_path / "again")
    assert restored.contents.photos_n == 1
    assert photo_at(tmp_path / "again", facts.picture).read_bytes() == PLAIN
    assert verify(desk_of(tmp_path / "again")).faults == ()


def test_a_book_whose_photo_is_lost_is_still_backed_up(desk, tmp_path):
    photo_at(desk.home, photographed(desk).facts.picture).unlink()
    assert backup(desk, tmp_path / "trees.zip").contents.photos_n == 0


def test_exports_name_them_and_an_import_says_which_are_missing(desk, tmp_path):
    facts = photographed(desk).facts
    for name in ("trees.jsonl", "trees.csv"):
        export(desk, tmp_path / name)
        assert facts.picture in (tmp_path / name).read_text(encoding="utf-8")
    other = desk_of(tmp_path / "other")
    import_events(other, tmp_path / "trees.jsonl")
    (fault,) = verify(other).faults
    assert (fault.message_id, fault.figures["picture"]) == (
        "photo.missing",
        facts.picture,
    )


def test_a_trees_page_tells_its_photos_the_last_one_first(desk):
    first = photographed(desk, view="front")
    desk = later(desk, hours=1)
    last = photographed(desk, content=stripped(picture("PNG")), view="back")
    undo(desk, photographed(desk, content=stripped(picture("WEBP"))).id)
    photo_at(desk.home, first.facts.picture).unlink()
    told = tree_page(desk, "B3-4", walk_round(desk), at=desk.clock()).photos
    assert [(one.picture, one.view, one.kept) for one in told] == [
        (last.facts.picture, "back", True),
        (first.facts.picture, "front", False),
    ]

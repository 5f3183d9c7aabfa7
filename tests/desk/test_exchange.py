import csv
from dataclasses import replace

import pytest

from arbuscula.desk.exchange import export, import_events
from arbuscula.kinds.events import Noted
from arbuscula.kinds.said import ArbusculaError, NotDoneError
from arbuscula.ledger.book import all_events, append, events_after, head
from arbuscula.start import desk_at
from tests.ledger.cans import CAN, cans


@pytest.fixture
def desk(tmp_path):
    desk = desk_at(tmp_path / "home")
    append(desk.ledger(), CAN, *cans(0, 5))
    yield desk
    desk.ledger().engine.dispose()


@pytest.fixture
def other(tmp_path):
    desk = desk_at(tmp_path / "other")
    yield desk
    desk.ledger().engine.dispose()


def faults(error):
    return [fault.message_id for fault in error.value.faults]


def test_a_book_goes_into_a_file_and_comes_out_as_it_was(desk, other, tmp_path):
    out = export(desk, tmp_path / "trees.jsonl")
    came = import_events(other, tmp_path / "trees.jsonl")
    assert (out.events_n, came.told_n, came.new_n, came.same) == (6, 6, 6, True)
    assert events_after(other.ledger(), 0) == events_after(desk.ledger(), 0)
    assert came.digest == out.digest == head(desk.ledger()).digest


def test_sent_by_mail_it_comes_in_with_other_line_ends(desk, other, tmp_path):
    path = tmp_path / "trees.jsonl"
    export(desk, path)
    path.write_bytes(path.read_bytes().replace(b"\n", b"\r\n"))
    assert import_events(other, path).same


def test_the_events_of_a_book_set_aside_come_in_again(desk, other, tmp_path):
    """A restore went back some days; what was newer lies in the old folder."""
    export(desk, tmp_path / "then.jsonl")
    import_events(other, tmp_path / "then.jsonl")
    append(desk.ledger(), *cans(5, 9))
    append(other.ledger(), *cans(20, 22))
    export(desk, tmp_path / "aside.jsonl")
    came = import_events(other, tmp_path / "aside.jsonl")
    assert (came.new_n, came.events_n, came.same) == (4, 12, False)


def test_a_cut_file_brings_nothing(desk, other, tmp_path):
    path = tmp_path / "trees.jsonl"
    export(desk, path)
    path.write_bytes(path.read_bytes()[:-40])
    with pytest.raises(ArbusculaError) as error:
        import_events(other, path)
    assert faults(error) == ["file.not_json"]
    assert all_events(other.ledger()) == ()


def test_a_table_has_all_events_and_a_mark_for_spreadsheets(desk, tmp_path):
    noted = replace(CAN, id="n", kind="noted", facts=Noted(text="säuft, nachts"))
    append(desk.ledger(), noted)
    answer = export(desk, tmp_path / "trees.csv")
    assert (tmp_path / "trees.csv").read_bytes()[:3] == b"\xef\xbb\xbf"
    with (tmp_path / "trees.csv").open(encoding="utf-8-sig", newline="") as file:
        rows = [*csv.DictReader(file)]
    assert len(rows) == answer.events_n == 7
    assert rows[-1]["facts.text"] == "säuft, nachts"
    assert rows[0]["facts.given_ml"] == "900.0"


def test_a_file_that_is_there_is_left_alone_unless_told(desk, tmp_path):
    path = tmp_path / "trees.csv"
    path.write_text("mine")
    with pytest.raises(NotDoneError) as error:
        export(desk, path)
    assert faults(error) == ["export.is_there"]
    assert path.read_text() == "mine"
    export(desk, path, replaces=True)
    assert path.read_text(encoding="utf-8-sig").startswith("position_n,id,")


def test_an_unknown_ending_is_told_with_those_that_would_do(desk, tmp_path):
    with pytest.raises(ArbusculaError) as error:
        export(desk, tmp_path / "trees.xls")
    assert error.value.faults[0].figures["known"] == ".jsonl, .csv"


def test_an_export_that_cannot_be_finished_leaves_no_file(desk, tmp_path):
    with desk.ledger().engine.begin() as c:
        c.exec_driver_sql("DROP TRIGGER event_no_update")
        c.exec_driver_sql("UPDATE event SET subject = 'fig-9' WHERE seq = 4")
    with pytest.raises(NotDoneError):
        export(desk, tmp_path / "trees.jsonl")
    assert [path.name for path in tmp_path.iterdir()] == ["home"]

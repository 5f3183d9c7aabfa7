import csv
import json
from dataclasses import replace
from io import StringIO

import pytest
from hypothesis import given
from sqlalchemy import text

from arbuscula.kinds.events import Noted, Watered, Weighed
from arbuscula.kinds.person import Person
from arbuscula.kinds.said import ArbusculaError, NotDoneError
from arbuscula.ledger.backup import pour
from arbuscula.ledger.book import all_events, append, events_after, head
from arbuscula.ledger.chain import Head, head_after
from arbuscula.ledger.exchange import book_lines, take_lines
from arbuscula.ledger.lines import (
    line_from_event,
    line_from_row,
    row_from_event,
    row_from_line,
)
from arbuscula.ledger.persons import all_persons, keep_person
from arbuscula.ledger.sheet import cells_from_event, sheet_heads, sheet_rows
from arbuscula.ledger.verify import verify_store
from tests.anything import events
from tests.ledger.cans import CAN, OTHER, cans

BUYER = Person(id="p-1", role="buyer", name="Ondine Vanishing", contact="Bergen")


@pytest.fixture
def grown(ledger):
    append(ledger, *cans(0, 10))
    return ledger


@pytest.fixture
def empty(tmp_path, open_ledger):
    return open_ledger(f"sqlite:///{tmp_path / 'empty.db'}")


def lines(ledger):
    return [*book_lines(ledger, head(ledger))]


def refused(ledger, told, kind=ArbusculaError):
    before = head(ledger)
    with pytest.raises(kind) as error:
        take_lines(ledger, told, name="trees.jsonl")
    assert head(ledger) == before
    return [fault.message_id for fault in error.value.faults]


def test_the_first_line_tells_how_far_the_book_has_grown(grown):
    heading, *told = lines(grown)
    assert json.loads(heading) == {
        "schema": "arbuscula.book/1",
        "position_n": 10,
        "digest": head(grown).digest,
    }
    assert told == [line_from_event(can) for can in cans(0, 10)]


@given(events())
def test_a_row_and_its_line_are_the_same_to_the_letter(event):
    row = row_from_event(event)
    line = line_from_event(event)
    assert line_from_row(row) == line
    assert row_from_line(line, name="it") == row


def test_from_either_database_into_the_other_and_back_the_head_stays(
    url, open_ledger, postgresql_url, sqlite_url, tmp_path
):
    one = open_ledger(url)
    append(one, *cans(5, 9), CAN, *cans(0, 5))
    other_url = postgresql_url if url.startswith("sqlite") else sqlite_url
    other, again = open_ledger(other_url), open_ledger(f"sqlite:///{tmp_path / 'c.db'}")
    assert take_lines(other, lines(one), name="over").same
    assert take_lines(again, lines(other), name="back").same
    assert head(one) == head(other) == head(again)
    assert events_after(one, 0) == events_after(again, 0)
    assert verify_store(other) == verify_store(again) == ()


def test_persons_come_along_when_a_store_is_poured_into_another(grown, empty):
    keep_person(grown, BUYER)
    assert pour(grown, empty).same
    assert all_persons(empty) == (BUYER,)
    assert all_events(empty) == all_events(grown)


def test_taken_in_twice_is_stored_once(grown, empty):
    first = take_lines(empty, lines(grown), name="once")
    again = take_lines(empty, lines(grown), name="twice")
    assert (first.told_n, first.new_n, first.same) == (10, 10, True)
    assert (again.told_n, again.new_n, again.same) == (10, 0, True)
    assert head(empty) == head(grown)


def test_a_shorter_book_takes_in_what_it_lacks(grown, empty):
    take_lines(empty, lines(grown), name="then")
    append(grown, *cans(10, 12))
    taken = take_lines(empty, lines(grown), name="later")
    assert (taken.new_n, taken.same) == (2, True)


def test_two_branches_of_one_book_come_together_and_say_that_they_differ(grown, empty):
    take_lines(empty, lines(grown), name="then")
    append(grown, *cans(10, 12))
    append(empty, CAN)
    taken = take_lines(empty, lines(grown), name="later")
    assert (taken.new_n, taken.same) == (2, False)
    assert {e.id for e in all_events(empty)} == {e.id for e in (CAN, *cans(0, 12))}
    assert verify_store(empty) == ()


def test_another_book_is_refused(grown, empty):
    append(empty, CAN)
    assert refused(empty, lines(grown), NotDoneError) == ["import.another_book"]


def test_conflicting_ids_are_all_told_and_nothing_is_written(grown, empty):
    take_lines(empty, lines(grown), name="then")
    append(grown, CAN, *cans(10, 12))
    append(empty, OTHER, *cans(11, 12, subject="fig-8"))
    assert refused(empty, lines(grown), NotDoneError) == ["ledger.conflict"] * 2


def test_every_faulty_line_is_told_at_once(grown, empty):
    told = lines(grown)
    told[3] = told[3].replace("900.0", "-1")
    told[7] = told[7][:-5]
    with pytest.raises(ArbusculaError) as error:
        take_lines(empty, told, name="trees.jsonl")
    where = [fault.figures["file"] for fault in error.value.faults]
    assert where == ["trees.jsonl, line 4", "trees.jsonl, line 8"]
    assert head(empty).position_n == 0


def test_no_more_faults_are_told_than_can_be_read(ledger, empty):
    append(ledger, *cans(0, 130))
    told = [line.replace("900.0", "-1") for line in lines(ledger)]
    faults = refused(empty, told)
    assert len(faults) == 101
    assert faults[-1] == "import.more_faults"


@pytest.mark.parametrize(
    ("meddle", "fault"),
    [
        (lambda told: told[:-1], "import.lines_missing"),
        (lambda told: [*told, told[-1]], "import.lines_missing"),
        (lambda told: told[:1], "import.lines_missing"),
        (lambda told: [told[0], *told[:0:-1]], "import.lines_changed"),
        (
            lambda told: [t.replace("fig-7", "fig-8") for t in told],
            "import.lines_changed",
        ),
        (lambda told: told[1:], "file.unknown_key"),
        (lambda told: [], "file.not_json"),
        (lambda told: [told[0].replace("book/1", "book/2"), *told[1:]], "file.fault"),
    ],
)
def test_what_is_not_the_whole_book_is_refused(grown, empty, meddle, fault):
    assert fault in refused(empty, meddle(lines(grown)))


def test_an_empty_book_goes_out_and_in(ledger, empty):
    assert take_lines(empty, lines(ledger), name="nothing").same


def test_facts_stay_as_an_older_program_told_them(empty):
    """What a newer one would add to old words must not change the chain."""
    weighed = replace(CAN, kind="weighed", facts=Weighed(mass_g=2350.0))
    row = row_from_event(weighed) | {"facts": '{"mass_g":2350.0}'}  # not yet: drained
    assert row != row_from_event(weighed)
    end = head_after(Head(), row)
    heading = {"schema": "arbuscula.book/1", "position_n": 1, "digest": end.digest}
    taken = take_lines(empty, [json.dumps(heading), line_from_row(row)], name="it")
    assert taken.same
    assert lines(empty)[1] == line_from_row(row)
    assert all_events(empty) == (weighed,)


def test_a_changed_row_does_not_go_out(sqlite_url, open_ledger):
    ledger = open_ledger(sqlite_url)
    append(ledger, *cans(0, 10))
    with ledger.engine.begin() as c:
        c.execute(text("DROP TRIGGER event_no_update"))
        c.execute(text("UPDATE event SET subject = 'fig-9' WHERE seq = 4"))
    with pytest.raises(NotDoneError) as error:
        lines(ledger)
    assert error.value.faults[0].figures["position_n"] == "4"


# For a spreadsheet


def sheet(ledger):
    end, page = head(ledger), StringIO(newline="")
    table = csv.DictWriter(page, sheet_heads(ledger, end), restval="")
    table.writeheader()
    table.writerows(sheet_rows(ledger, end))
    page.seek(0)
    return [*csv.DictReader(page)]


def test_a_sheet_has_a_row_an_event_and_a_column_a_fact(grown):
    append(grown, replace(CAN, facts=Watered(source="tank")))
    rows = sheet(grown)
    assert [row["position_n"] for row in rows] == [f"{n}" for n in range(1, 12)]
    assert [*rows[0]][-2:] == ["facts.given_ml", "facts.source"]
    assert (rows[0]["facts.given_ml"], rows[0]["facts.source"]) == ("900.0", "")
    assert (rows[-1]["facts.given_ml"], rows[-1]["facts.source"]) == ("", "tank")


@pytest.mark.parametrize("words", ["=1+1", "-dry-", "+49", "@home", "'tis", "\tx"])
def test_no_spreadsheet_takes_words_for_a_formula(words):
    noted = replace(CAN, kind="noted", facts=Noted(text=words))
    assert cells_from_event(noted)["facts.text"] == f"'{words}"


@given(events())
def test_all_that_a_line_tells_stands_in_the_cells(event):
    """What is read back from cells is the line, but for what is empty."""
    told = json.loads(line_from_event(event))
    facts = {}
    for name, cell in cells_from_event(event).items():
        *above, last = name.split(".")
        table = facts
        for key in above:
            table = table.setdefault(key, {})
        table[last] = cell
    assert same(facts, told)


def read(cell, wanted):
    if isinstance(wanted, str):
        return cell.removeprefix("'")
    return json.loads(cell)


def same(cells, told):
    """Return whether cells hold what was told; an empty noun has no cell."""
    if not isinstance(cells, dict):
        return read(cells, told) == told
    full = {key: part for key, part in told.items() if part != {} or key in cells}
    return cells.keys() == full.keys() and all(same(cells[k], full[k]) for k in cells)

from dataclasses import replace

from arbuscula.kinds.person import Person
from arbuscula.ledger.book import append, position
from arbuscula.ledger.persons import all_persons, erase_person, keep_person
from tests.ledger.cans import CAN

BUYER = Person(id="p-1", role="buyer", name="Ondine Vanishing", contact="Bergen")
HAND = Person(id="p-2", role="helper", name="Piet")


def test_a_person_is_kept_changed_and_erased(ledger):
    append(ledger, CAN)
    for person in (HAND, BUYER, replace(HAND, name="Pieter")):
        keep_person(ledger, person)
    assert all_persons(ledger) == (BUYER, replace(HAND, name="Pieter"))
    erase_person(ledger, "p-2")
    assert all_persons(ledger) == (BUYER,)
    assert position(ledger) == 1


def test_to_erase_somebody_twice_does_no_harm(ledger):
    erase_person(ledger, "p-9")
    erase_person(ledger, "p-9")
    assert all_persons(ledger) == ()


def test_no_letter_of_an_erased_name_stays_in_the_files(
    sqlite_url, open_ledger, tmp_path
):
    ledger = open_ledger(sqlite_url)
    keep_person(ledger, BUYER)
    written = b"".join(path.read_bytes() for path in tmp_path.glob("ledger.db*"))
    assert b"Vanishing" in written
    erase_person(ledger, "p-1")
    left = b"".join(path.read_bytes() for path in tmp_path.glob("ledger.db*"))
    assert b"Vanishing" not in left

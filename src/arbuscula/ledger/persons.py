"""Persons: buyers and helpers, outside the book, and erasable."""

from dataclasses import asdict

from sqlalchemy import delete, insert, select

from arbuscula.kinds.person import Person
from arbuscula.ledger.book import Ledger
from arbuscula.ledger.store.engine import reading, sweep, writing
from arbuscula.ledger.store.tables import PERSON
from arbuscula.strict.kinds import kind_from_table


def keep_person(ledger: Ledger, *persons: Person) -> None:
    """Write persons down, or what is new about them; all of them or none."""
    with writing(ledger.engine) as connection:
        for person in persons:
            connection.execute(delete(PERSON).where(PERSON.c.id == person.id))
            connection.execute(insert(PERSON).values(asdict(person)))


def all_persons(ledger: Ledger) -> tuple[Person, ...]:
    """Return everybody who is known, by id."""
    with reading(ledger.engine) as connection:
        rows = connection.execute(select(PERSON).order_by(PERSON.c.id)).mappings()
        tables = [{**row} for row in rows]
    return tuple(
        kind_from_table(table, Person, name=f"person {table['id']}") for table in tables
    )


def erase_person(ledger: Ledger, person_id: str) -> None:
    """Forget a person for good, down to the letters in the database's files."""
    with writing(ledger.engine) as connection:
        connection.execute(delete(PERSON).where(PERSON.c.id == person_id))
    sweep(ledger.engine)

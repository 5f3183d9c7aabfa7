"""Person: buyers, givers, helpers, whom the book knows by a mark alone."""

from collections.abc import Sequence
from dataclasses import dataclass
from typing import Final, Literal

from arbuscula.desk import Desk
from arbuscula.desk.names import folded, tidy
from arbuscula.kinds.person import Person, Role
from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.ledger.persons import all_persons, erase_person, keep_person
from arbuscula.strict.near import near_names
from arbuscula.strict.quote import plain

MARK_LETTERS_N: Final = 8


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonAdded:
    """The answer: somebody new, and the mark that the book will bear."""

    schema: Literal["arbuscula.person_add/1"] = "arbuscula.person_add/1"
    person: Person


@dataclass(frozen=True, slots=True, kw_only=True)
class Persons:
    """The answer: everybody who is known."""

    schema: Literal["arbuscula.person_list/1"] = "arbuscula.person_list/1"
    persons: tuple[Person, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PersonErased:
    """The answer: the mark that stands for nobody from now on."""

    schema: Literal["arbuscula.person_erase/1"] = "arbuscula.person_erase/1"
    id: str


def add_person(
    desk: Desk, name: str, role: Role, *, contact: str = "", note: str = ""
) -> PersonAdded:
    """Write somebody down under a new mark."""
    if not tidy(name):
        raise ArbusculaError(Said("name.not_read", {"found": plain(name)}))
    mark = f"p-{desk.new_id().replace('-', '')[-MARK_LETTERS_N:]}"
    person = Person(id=mark, role=role, name=tidy(name), contact=contact, note=note)
    keep_person(desk.ledger(), person)
    return PersonAdded(person=person)


def list_persons(desk: Desk) -> Persons:
    """Return everybody who is known, by name."""
    by_name = sorted(all_persons(desk.ledger()), key=lambda one: folded(one.name))
    return Persons(persons=tuple(by_name))


def erase(desk: Desk, words: str) -> PersonErased:
    """Forget a person for good; what they did stays, under a mark of nobody."""
    mark = mark_of(all_persons(desk.ledger()), words)
    erase_person(desk.ledger(), mark)
    return PersonErased(id=mark)


def mark_of(persons: Sequence[Person], words: str) -> str:
    """Return the mark of the one who is meant, by mark or by name."""
    if any(one.id == words for one in persons):
        return words
    found = [one for one in persons if folded(one.name) == folded(words)]
    if len(found) == 1:
        return found[0].id
    figures = {"found": plain(words)}
    if found:
        marks = ", ".join(one.id for one in found)
        raise ArbusculaError(Said("person.several", {**figures, "near": marks}))
    near = near_names(words, [word for one in persons for word in (one.name, one.id)])
    figures["near"] = ", ".join(map(plain, near)) or "-"
    raise ArbusculaError(Said("person.unknown", figures))

"""Library: what it holds, and one entry with all its numbers and their ground."""

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from typing import Final, Literal

from arbuscula.desk import Desk
from arbuscula.kinds.library import Library
from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.kinds.values import Grade, Source, Value
from arbuscula.strict.near import near_names
from arbuscula.strict.quote import plain

SHELVES: Final = (
    "species",
    "substrates",
    "glazings",
    "wires",
    "fertilisers",
    "pests",
)
CALLED: Final = ("latin", "name")
TITLES: Final = (*CALLED, "names")


@dataclass(frozen=True, slots=True, kw_only=True)
class Number:
    """One number of an entry, and how far to trust it."""

    key: str  # as it stands in the file
    number: Value
    cite: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Fact:
    """Something of an entry that is no number with a ground of its own."""

    key: str
    found: str


@dataclass(frozen=True, slots=True, kw_only=True)
class EntryView:
    """The answer: one entry of the library, whole."""

    schema: Literal["arbuscula.library_entry/1"] = "arbuscula.library_entry/1"
    shelf: str
    key: str
    title: str
    names: tuple[str, ...]
    facts: tuple[Fact, ...]
    numbers: tuple[Number, ...]
    grades_n: Mapping[str, int]  # how many numbers are of each grade


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelf:
    """One subject, and what is known of it by its key."""

    name: str
    keys: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Shelves:
    """The answer: everything that the library holds."""

    schema: Literal["arbuscula.library/1"] = "arbuscula.library/1"
    shelves: tuple[Shelf, ...]


def shelves(desk: Desk) -> Shelves:
    """Say what the library holds."""
    library = desk.library()
    rows = ((name, getattr(library, name)) for name in SHELVES)
    return Shelves(shelves=tuple(Shelf(name=n, keys=tuple(sorted(e))) for n, e in rows))


def entry_of(desk: Desk, words: str) -> EntryView:
    """Show one entry, by its key, its title or what it is called otherwise."""
    library = desk.library()
    called = dict(_called(library))
    meant = called.get(_folded(words))
    if meant is None:
        keys = sorted({key for _, key in called.values()})
        near = [called[name][1] for name in near_names(_folded(words), called)] or keys
        figures = {"found": plain(words), "near": ", ".join(dict.fromkeys(near))}
        raise ArbusculaError(Said("library.unknown", figures))
    shelf, key = meant
    return entry_view(shelf, key, getattr(library, shelf)[key], library.sources)


def entry_view(
    shelf: str, key: str, entry: object, sources: Mapping[str, Source]
) -> EntryView:
    """Return an entry with all that is said in it."""
    parts = list(_parts(entry, ""))
    numbers = tuple(
        Number(key=path, number=part, cite=sources[part.source].cite)
        for path, part in parts
        if isinstance(part, Value)
    )
    grades = Counter(n.number.grade.value for n in numbers)
    words = [(path, part) for path, part in parts if not isinstance(part, Value)]
    called = [str(part) for path, part in words if path in CALLED]
    names = getattr(entry, "names", ())
    return EntryView(
        shelf=shelf,
        key=key,
        title=next(iter(called), key),
        names=tuple(names),
        facts=tuple(
            Fact(key=path, found=str(part))
            for path, part in words
            if path.partition(".")[0] not in TITLES
        ),
        numbers=numbers,
        grades_n={grade: grades[grade] for grade in Grade if grades[grade]},
    )


def _parts(part: object, path: str) -> Iterator[tuple[str, object]]:
    """Yield every number and every word of an entry, with its place in the file."""
    if isinstance(part, Value):
        yield path, part
    elif is_dataclass(part):
        for field in fields(part):
            yield from _parts(getattr(part, field.name), _under(path, field.name))
    elif isinstance(part, Mapping):
        for key, each in part.items():
            yield from _parts(each, _under(path, str(key)))
    elif isinstance(part, tuple) and any(map(is_dataclass, part)):
        for n, each in enumerate(part, 1):
            yield from _parts(each, _under(path, f"{n}"))
    elif isinstance(part, tuple):
        if part:
            yield path, ", ".join(map(_listed, part))
    elif part not in (None, "", False):
        yield path, "yes" if part is True else _listed(part)


def _listed(part: object) -> str:
    """Return one of a list; a pair of numbers is a range."""
    if isinstance(part, tuple):
        return "-".join(f"{each:g}" for each in part)
    return f"{part:g}" if isinstance(part, float) else str(part)


def _under(path: str, key: str) -> str:
    return f"{path}.{key}" if path else key


def _called(library: Library) -> Iterator[tuple[str, tuple[str, str]]]:
    """Yield what each entry is called; the key itself weighs most, so comes last."""
    found = [
        (shelf, key, entry)
        for shelf in SHELVES
        for key, entry in getattr(library, shelf).items()
    ]
    for shelf, key, entry in found:
        titles = [getattr(entry, name, "") for name in CALLED]
        for name in (*titles, *getattr(entry, "names", ())):
            if name:
                yield _folded(name), (shelf, key)
    for shelf, key, _ in found:
        yield _folded(key), (shelf, key)


def _folded(words: str) -> str:
    return " ".join(words.casefold().replace("-", " ").split())

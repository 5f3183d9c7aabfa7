"""Names: who or what a grower means, and which names are still free.

A plant is called by its label or its name, a bench by its name, alone or after
its yard's: `Lower yard/Bench 3`. Large and small letters are alike.
"""

import re
import unicodedata
from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace
from datetime import datetime
from itertools import chain
from typing import Final

from arbuscula.kinds.events import Event, Sort
from arbuscula.kinds.place import Bench, Yard
from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.kinds.supplies import Recipe, Stock, WaterSource
from arbuscula.kinds.tree import Group, Tree
from arbuscula.state.book import PLANTS, Book, book_at, last_words
from arbuscula.strict.near import near_names
from arbuscula.strict.quote import plain

LONGEST_N: Final = 100  # letters
MOST_N: Final = 1_000_000
SHOWN_N: Final = 12  # names in one sentence
NUMBERED: Final = re.compile(r"(?P<prefix>.+)-(?P<number>[0-9]{1,9})")


@dataclass(frozen=True, slots=True)
class Meant:
    """What an event is about: its sort, and its name in the book."""

    sort: Sort
    name: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """All that the book says at one time, by name."""

    events: tuple[Event, ...]  # of any time
    book: Book
    called: Mapping[str, tuple[Meant, ...]]  # by every name, folded
    yards: Mapping[str, Yard]
    benches: Mapping[str, Bench]
    sources: Mapping[str, WaterSource]
    mixes: Mapping[str, Recipe]
    stocks: Mapping[str, Stock]


def known_from(events: tuple[Event, ...], at: datetime | None = None) -> Known:
    """Return what these events say, up to a time."""
    known = Known(
        events=events,
        book=book_at(events, at),
        called={},
        yards=last_words(events, Yard, at),
        benches=last_words(events, Bench, at),
        sources=last_words(events, WaterSource, at),
        mixes=last_words(events, Recipe, at),
        stocks=last_words(events, Stock, at),
    )
    called: dict[str, tuple[Meant, ...]] = {}
    for name, one in _called(known):
        called[folded(name)] = (*called.get(folded(name), ()), one)
    return replace(known, called=called)


def tidy(words: str) -> str:
    """Return a name as the book writes it: one form of accents, single spaces."""
    return " ".join(unicodedata.normalize("NFC", words).split())


def folded(words: str) -> str:
    """Return a name as names are compared."""
    return tidy(words).casefold()


def label_of(known: Known, name: str) -> str:
    """Return what stands on a plant's label."""
    plant = known.book.kept.get(name)
    return (plant and plant.label) or name


def sort_of(plant: Tree | Group) -> Sort:
    """Return whether a plant is one tree or several kept as one."""
    return Sort.GROUP if isinstance(plant, Group) else Sort.TREE


# Who is meant


def meant(known: Known, words: str, *sorts: Sort) -> Meant:
    """Return the one that is called so, of these sorts or of any."""
    found = _found(known, words, sorts)
    if len(found) == 1:
        return found[0]
    if found:
        names = [_whole_name(known, one) for one in found]
        raise ArbusculaError(_fault("name.several", words, names))
    raise ArbusculaError(_unknown(known, words, sorts))


def all_meant(known: Known, words: str, *sorts: Sort) -> tuple[Meant, ...]:
    """Return all that are called so: one, or several with commas between."""
    if _found(known, words, sorts) or "," not in words:
        return (meant(known, words, *sorts),)
    faults: list[Said] = []
    found: list[Meant] = []
    for part in filter(None, map(tidy, words.split(","))):
        try:
            found.append(meant(known, part, *sorts))
        except ArbusculaError as error:
            faults += error.faults
    if faults:
        raise ArbusculaError(*faults)
    return tuple(dict.fromkeys(found))


def yard_meant(known: Known, words: str | None) -> str:
    """Return one yard; without a word the only one."""
    if words is not None:
        return meant(known, words, Sort.YARD).name
    if not known.yards:
        raise ArbusculaError(Said("desk.no_yard", {}))
    if len(known.yards) > 1:
        names = [yard.name for yard in known.yards.values()]
        raise ArbusculaError(Said("yard.which", {"near": _listed(names)}))
    return next(iter(known.yards))


def yard_of(known: Known, one: Meant) -> str | None:
    """Return the yard that something stands in; else the first in the book."""
    plant = known.book.kept.get(one.name) if one.sort in PLANTS else None
    bench = known.benches.get((plant.bench or "") if plant else one.name)
    if one.name in known.yards:
        return one.name
    return bench.yard if bench else next(iter(known.yards), None)


def _found(known: Known, words: str, sorts: tuple[Sort, ...]) -> list[Meant]:
    """Return all that are called so; those who are here before those who are gone."""
    sought = folded(words)
    here = known.called.get(sought, ())
    gone = (one for name, one in _gone(known) if folded(name) == sought)
    for called in (here, gone):
        found = [one for one in called if not sorts or one.sort in sorts]
        if found:
            return [*dict.fromkeys(found)]
    return []


def _called(known: Known) -> Iterator[tuple[str, Meant]]:
    """Yield every name that something here answers to."""
    for name, plant in known.book.kept.items():
        yield plant.label or name, Meant(sort_of(plant), name)
    for key, bench in known.benches.items():
        yield bench.name, Meant(Sort.BENCH, key)
        yield key, Meant(Sort.BENCH, key)
        yield _whole_name(known, Meant(Sort.BENCH, key)), Meant(Sort.BENCH, key)
    nouns = {
        Sort.YARD: known.yards,
        Sort.SOURCE: known.sources,
        Sort.MIX: known.mixes,
        Sort.STOCK: known.stocks,
    }
    yield from ((name, Meant(sort, name)) for sort in nouns for name in nouns[sort])


def _gone(known: Known) -> Iterator[tuple[str, Meant]]:
    """Yield all plants that ever were, by name and by every label they bore."""
    for event in known.events:
        if event.sort in PLANTS:
            one = Meant(event.sort, event.subject)
            yield one.name, one
            match event.facts:
                case Tree(label=str(label)) | Group(label=str(label)):
                    yield label, one


def _whole_name(known: Known, one: Meant) -> str:
    """Return a name that means nothing else: a bench's after that of its yard."""
    bench = known.benches.get(one.name) if one.sort is Sort.BENCH else None
    return f"{bench.yard}/{bench.name}" if bench else f"{one.name} ({one.sort})"


def _unknown(known: Known, words: str, sorts: tuple[Sort, ...]) -> Said:
    """Return the fault of a name that is none, with the names near it."""
    first: dict[Meant, str] = {}  # of its names, the one it is called by as a rule
    for name, one in _called(known):
        if not sorts or one.sort in sorts:
            first.setdefault(one, name)
    if not first:
        return Said("name.none_yet", {"found": plain(tidy(words))})
    called = [*first.values()]
    return _fault("name.unknown", words, near_names(tidy(words), called) or called)


def _fault(message_id: str, words: str, names: Iterable[str]) -> Said:
    figures = {"found": plain(tidy(words)), "near": _listed(names)}
    return Said(message_id, figures)


def _listed(names: Iterable[str]) -> str:
    several = [*dict.fromkeys(names)]
    more = ["..."] if len(several) > SHOWN_N else []
    return ", ".join([*map(plain, several[:SHOWN_N]), *more])


# Which names are free


def name_faults(known: Known, words: str, *sorts: Sort) -> Iterator[Said]:
    """Yield why nothing new of these sorts can be called so."""
    name = tidy(words)
    if not name or not name.isprintable() or len(name) > LONGEST_N:
        yield Said("name.not_read", {"found": plain(name)})
    for one in dict.fromkeys(known.called.get(folded(name), ())):
        if one.sort in sorts or not sorts:
            yield Said("name.taken", {"found": plain(name), "sort": one.sort})


def borne(known: Known) -> frozenset[str]:
    """Return every name that a plant ever had, folded."""
    return frozenset(folded(e.subject) for e in known.events if e.sort in PLANTS)


def new_names(known: Known, labels: Iterable[str]) -> dict[str, str]:
    """Return labels by new names: as they stand, unless a plant was called so."""
    before = borne(known)
    return {
        next(name for name in _from_label(label) if folded(name) not in before): label
        for label in labels
    }


def _from_label(label: str) -> Iterator[str]:
    yield label
    yield from (f"{label} ({n})" for n in range(2, MOST_N))


def next_labels(
    known: Known,
    bench: str,
    bench_name: str,
    count_n: int,
    also: Mapping[str, str] | None = None,
) -> list[str]:
    """Return the next labels of a bench, such as B3-1: no two benches share them.

    `also` holds labels that are about to be given, each with its bench.
    """
    owners: dict[str, tuple[str, str]] = {}  # by prefix, folded
    last_n: dict[str, int] = {}
    for label, owner in (*_labels(known), *(also or {}).items()):
        if found := NUMBERED.fullmatch(label):
            prefix, number = folded(found["prefix"]), int(found["number"])
            owners.setdefault(prefix, (owner, found["prefix"]))
            last_n[prefix] = max(number, last_n.get(prefix, 0))
    own = [prefix for owner, prefix in owners.values() if owner == bench]
    free = (p for p in _prefixes(bench_name) if folded(p) not in owners)
    prefix = next(chain(own, free))
    first_n = last_n.get(folded(prefix), 0) + 1
    return [f"{prefix}-{n}" for n in range(first_n, first_n + count_n)]


def _labels(known: Known) -> Iterator[tuple[str, str]]:
    """Yield every label that was ever given, and the bench it was given on."""
    for event in known.events:
        if isinstance(event.facts, Tree | Group):
            yield event.facts.label or event.subject, event.facts.bench or ""


def _prefixes(bench_name: str) -> Iterator[str]:
    """Yield B3 for `Bench 3`, then Be3, Ben3 and so on, then B3.2, B3.3 ..."""
    words = re.findall(r"[^\W\d_]+|[0-9]+", bench_name) or ["T"]
    first, rest = words[0], "".join(_initial(word) for word in words[1:])
    for n in range(1, len(first) + 1):
        yield _initial(first, n) + rest
    yield from (f"{_initial(first)}{rest}.{n}" for n in range(2, MOST_N))


def _initial(word: str, letters_n: int = 1) -> str:
    return word if word.isdigit() else word[:1].upper() + word[1:letters_n]

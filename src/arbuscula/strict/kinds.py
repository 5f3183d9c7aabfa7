"""Kinds: a TOML text becomes one frozen kind, or every fault of it is named."""

import math
import sys
import tomllib
from collections.abc import Callable, Collection, Mapping
from dataclasses import MISSING, Field, fields, is_dataclass
from datetime import date, datetime, time
from enum import StrEnum
from functools import cache
from types import NoneType, UnionType
from typing import (
    Annotated,
    Any,
    Final,
    Literal,
    TypeAlias,
    TypeVar,
    Union,
    get_args,
    get_origin,
    get_type_hints,
)

from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.kinds.values import Value, Within
from arbuscula.strict.near import near_names
from arbuscula.strict.quote import plain, plain_number, quoted

Kind = TypeVar("Kind")
Keys = tuple[str, ...]


def kind_from_toml(
    text: str, kind: type[Kind], *, name: str, sources: Collection[str] = ()
) -> Kind:
    """Read a text as one kind; report all its faults at once."""
    table = table_from_toml(text, name=name)
    return kind_from_table(table, kind, name=name, sources=sources)


def table_from_toml(text: str, *, name: str) -> dict[str, Any]:
    """Read the text of a TOML file; a broken one is a fault with its place."""
    try:
        return tomllib.loads(text)
    except (ValueError, RecursionError) as error:
        is_told = isinstance(error, tomllib.TOMLDecodeError)
        found = str(error) if is_told else "brackets too deep, or a number too long"
        figures: dict[str, Figure] = {"file": name, "found": found}
        raise ArbusculaError(Said("file.not_toml", figures)) from None


def kind_from_table(
    found: dict[str, Any],
    kind: type[Kind],
    *,
    name: str,
    sources: Collection[str] = (),
) -> Kind:
    """Make a kind of a parsed table; report all its faults at once."""
    reading = _Reading(name, sources)
    whole: Kind = reading.made(kind, found)
    if reading.faults:
        raise ArbusculaError(*reading.faults)
    return whole


class _Reading:
    """One file being read, and the faults met so far."""

    def __init__(self, name: str, sources: Collection[str]) -> None:
        self.name, self.sources = name, sources
        self.faults: list[Said] = []

    def told(self, message_id: str, keys: Keys, **figures: Figure) -> None:
        key = ".".join(map(plain, keys)) or "the whole"
        self.faults.append(Said(message_id, {"file": self.name, "key": key, **figures}))

    def fault(self, keys: Keys, found: object, allowed: str) -> None:
        shown = "nothing" if found is None else quoted(found)
        self.told("file.fault", keys, found=shown, allowed=allowed)

    def made(self, kind: Any, found: Any) -> Any:
        return _way_of(kind)(self, found, ())

    def plain(self, kind: Any, found: Any, keys: Keys) -> Any:
        if kind is float and type(found) is int and abs(found) <= MOST:
            return float(found)
        if kind in TIMES and isinstance(found, str):
            found = _timed(kind, found)
        if type(found) is not kind or not _is_whole(found):
            self.fault(keys, found, _words_of(kind))
        return found

    def word(self, kind: Any, found: Any, keys: Keys) -> Any:
        said = self.one_of(tuple(kind), found, keys)
        return said and kind(said)

    def within(self, allowed: Within, way: "Way", found: Any, keys: Keys) -> Any:
        faults_before = len(self.faults)
        number = way(self, found, keys)
        is_number = len(self.faults) == faults_before
        if is_number and not allowed.low <= number <= allowed.high:
            self.fault(keys, found, _range(allowed))
        return number

    def listed(self, parts: tuple[Any, ...], found: list[Any], keys: Keys) -> Any:
        """Return a list as a tuple, of any length or of one kind a place."""
        kinds = parts[:1] * len(found) if parts[-1] is Ellipsis else parts
        if len(kinds) != len(found):
            self.fault(keys, found, f"{len(kinds)} of them in square brackets")
            return None
        places = enumerate(zip(kinds, found, strict=True), 1)
        return tuple(
            _way_of(kind)(self, part, (*keys, f"{n}")) for n, (kind, part) in places
        )

    def one_of(self, allowed: tuple[str, ...], found: Any, keys: Keys) -> Any:
        if isinstance(found, str) and found in allowed:
            return found
        self.fault(keys, found, ", ".join(allowed))
        return None

    def table(self, kind: Any, found: Mapping[str, Any], keys: Keys) -> Any:
        faults_before = len(self.faults)
        origin = get_origin(kind) or kind
        hints, ways = _hints_of(kind), _ways_of(kind)
        for key in sorted(found.keys() - hints.keys()):
            near = ", ".join(near_names(key, hints) or hints)
            shown = quoted(found[key])
            self.told("file.unknown_key", (*keys, key), found=shown, near=near)
        for key in sorted(_needed(origin) - found.keys()):
            self.told("file.missing_key", (*keys, key), allowed=_words_of(hints[key]))
        parts = {
            key: way(self, found[key], (*keys, key))
            for key, way in ways.items()
            if key in found
        }
        if len(self.faults) > faults_before:
            return None
        whole = origin(**parts)
        if isinstance(whole, Value):
            self.value(whole, keys)
        elif getattr(whole, "grade", None) and getattr(whole, "source", None):
            self.source(whole.source, (*keys, "source"))
        return whole

    def value(self, v: Value, keys: Keys) -> None:
        if not v.low <= v.value <= v.high:
            self.fault(keys, v.value, f"{_range(v)}, or a wider range")
        self.source(v.source, keys)

    def source(self, source: str, keys: Keys) -> None:
        if source not in self.sources:
            near = near_names(source, self.sources)
            self.fault(keys, source, "a key of sources.toml " + ", ".join(near))


Way: TypeAlias = Callable[[_Reading, Any, Keys], Any]


@cache
def _way_of(kind: Any) -> Way:
    """Return how what was found is made the kind that a field asks for."""
    origin, parts = get_origin(kind), get_args(kind)
    if origin is Annotated:
        way, allowed = _way_of(parts[0]), parts[1]
        return lambda r, found, keys: r.within(allowed, way, found, keys)
    if origin is Literal:
        return lambda r, found, keys: r.one_of(parts, found, keys)
    if origin in UNIONS:
        table, other = (_way_of(_fitting(parts, is_table=is_)) for is_ in (True, False))
        return lambda r, found, keys: (table if isinstance(found, dict) else other)(
            r, found, keys
        )
    if isinstance(kind, type) and issubclass(kind, StrEnum):
        return lambda r, found, keys: r.word(kind, found, keys)
    whole = _way_of_whole(kind)
    if whole is None:
        return lambda r, found, keys: r.plain(kind, found, keys)
    of, made = whole
    return lambda r, found, keys: (
        made(r, found, keys) if isinstance(found, of) else r.plain(kind, found, keys)
    )


def _way_of_whole(kind: Any) -> tuple[type, Way] | None:
    """Return what a kind that has parts is made of, and how."""
    origin, parts = get_origin(kind), get_args(kind)
    if origin is tuple:
        return list, lambda r, found, keys: r.listed(parts, found, keys)
    if _is_mapping(origin):
        way = _way_of(parts[1])
        return dict, lambda r, found, keys: {
            key: way(r, part, (*keys, key)) for key, part in found.items()
        }
    if is_dataclass(origin or kind):
        return dict, lambda r, found, keys: r.table(kind, found, keys)
    return None


@cache
def _ways_of(kind: Any) -> dict[str, Way]:
    return {name: _way_of(hint) for name, hint in _hints_of(kind).items()}


@cache
def _hints_of(kind: Any) -> dict[str, Any]:
    """Return each field's kind; a generic kind's letters are filled in."""
    origin = get_origin(kind) or kind
    letters = getattr(origin, "__parameters__", ())
    meant = dict(zip(letters, get_args(kind), strict=True))
    hints = get_type_hints(origin, include_extras=True)
    return {f.name: meant.get(hints[f.name], hints[f.name]) for f in fields(origin)}


@cache
def _needed(kind: Any) -> frozenset[str]:
    return frozenset(f.name for f in fields(kind) if _is_needed(f))


def _is_needed(field: Field[Any]) -> bool:
    return field.default is MISSING and field.default_factory is MISSING


def _timed(kind: Any, found: str) -> Any:
    """Return the time that a text tells, where a file has no times of its own."""
    try:
        return kind.fromisoformat(found)
    except ValueError:
        return found


def _is_mapping(origin: Any) -> bool:
    return isinstance(origin, type) and issubclass(origin, Mapping)


def _is_whole(found: Any) -> bool:
    """Return whether a number is finite and a time has its offset."""
    if isinstance(found, float):
        return math.isfinite(found)
    return not isinstance(found, datetime) or found.tzinfo is not None


def _fitting(parts: tuple[Any, ...], *, is_table: bool) -> Any:
    """Return the part of a union that a table, or anything else, most likely means."""
    choices = [part for part in parts if part is not NoneType]
    for part in choices:
        if is_table == is_dataclass(get_origin(part) or part):
            return part
    return choices[0]


def _range(allowed: Within | Value) -> str:
    return f"{plain_number(allowed.low)} to {plain_number(allowed.high)}"


MOST: Final = sys.float_info.max  # a whole number may well be larger
UNIONS: Final = (UnionType, Union)
TIMES: Final = (date, datetime, time)
WORDS: Final[dict[Any, str]] = {
    float: "a number",
    int: "a whole number",
    str: "words in quotes",
    bool: "true or false",
    date: "a date such as 2026-06-05",
    datetime: "a time with its offset, such as 2026-06-05T08:00:00+02:00",
    time: "a time of day such as 08:00",
    Value: '{ value = 3, low = 1, high = 5, source = "growers", grade = "practice" }',
}
WORDS_BY_ORIGIN: Final[dict[Any, Callable[[tuple[Any, ...]], str]]] = {
    Annotated: lambda parts: _words_of(parts[0]),
    Literal: lambda parts: ", ".join(map(str, parts)),
    **dict.fromkeys(
        UNIONS,
        lambda parts: " or ".join(
            _words_of(part) for part in parts if part is not NoneType
        ),
    ),
    tuple: lambda _: "a list in square brackets",
}


def _words_of(kind: Any) -> str:
    if isinstance(kind, type) and issubclass(kind, StrEnum):
        return ", ".join(kind)
    words = WORDS_BY_ORIGIN.get(get_origin(kind))
    return words(get_args(kind)) if words else WORDS.get(kind, "a table")

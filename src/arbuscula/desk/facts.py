"""Facts: an event's facts in a grower's words, a key and a text each."""

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import asdict, dataclass
from decimal import Decimal
from enum import StrEnum
from functools import partial
from types import NoneType, UnionType
from typing import Final, Literal, TypeAlias, TypeVar, Union, get_args, get_origin
from typing import get_type_hints as hints_of

from arbuscula.catalog.spoken import (
    facing_deg_from_words,
    glazing_from_words,
    mix_from_words,
    obstruction_deg_from_words,
    pot_from_words,
    species_from_words,
)
from arbuscula.desk.names import Known, all_meant, folded, meant, tidy
from arbuscula.kinds.events import Sort
from arbuscula.kinds.library import Library
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.kinds.substrate import MixPart
from arbuscula.kinds.supplies import Money
from arbuscula.state.book import PLANTS
from arbuscula.strict.faults import gathered
from arbuscula.strict.kinds import kind_from_table
from arbuscula.strict.quote import plain

Plain: TypeAlias = "bool | int | float | str | list[Plain] | dict[str, Plain] | None"
F = TypeVar("F")
YES: Final = {"yes": True, "true": True, "no": False, "false": False}
WHOLE: Final = re.compile(r"[+-]?[0-9]{1,15}")
NUMBER: Final = re.compile(r"[+-]?([0-9]+\.?[0-9]*|\.[0-9]+)")
MONEY: Final = re.compile(r"(?P<sum>[0-9]+(?:\.[0-9]+)?) ?(?P<currency>[A-Za-z]{3})")
IN_PLACE: Final = {  # the same said of a row or a key, for it tells no place itself
    "pot.not_read": "pot.not_read_in",
    "mix.not_read": "mix.not_read_in",
    "facing.not_read": "facing.not_read_in",
    "opposite.not_read": "opposite.not_read_in",
    "money.not_read": "money.not_read_in",
    "name.unknown": "name.unknown_in",
    "name.several": "name.several_in",
    "name.none_yet": "name.none_yet_in",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Reader:
    """What words are read with: the library, and all names of the book."""

    library: Library
    known: Known


def facts_from_words(
    kind: type[F],
    said: Mapping[str, str],
    reader: Reader,
    *,
    name: str,
    before: Mapping[str, Plain] | None = None,
) -> F:
    """Read what was said as facts of a kind; report all faults of it at once.

    `before` holds what is true anyway, where nothing else is said.
    """
    hints = hints_of(kind)
    table: dict[str, Plain] = {**(before or {})}
    faults: list[Said] = []
    for key, text in said.items():
        own: list[Said] = []
        read = partial(_value, key, hints.get(key, str), text.strip(), reader)
        table[key] = gathered(read, own)
        faults += [_in_place(fault, name, key) for fault in own]
    unread = {key for key in said if table[key] is None}
    whole = {key: value for key, value in table.items() if key not in unread}
    others: list[Said] = []
    facts = gathered(lambda: kind_from_table(whole, kind, name=name), others)
    faults += [fault for fault in others if fault.figures["key"] not in unread]
    if facts is None or faults:
        raise ArbusculaError(*faults)
    return facts


def _in_place(fault: Said, name: str, key: str) -> Said:
    """Return a fault of a value with the place where the value stands."""
    message_id = IN_PLACE.get(fault.message_id, fault.message_id)
    return Said(message_id, {**fault.figures, "file": f"{name}, {key}"})


def _value(key: str, hint: object, text: str, reader: Reader) -> Plain:
    """Return what a text under a key means, or the text for the reader to refuse."""
    if key in NAMED:
        return NAMED[key](text, reader)
    kind = _unwrapped(hint)
    if kind is Pot:
        return _said(pot_from_words(text, reader.library))
    if kind is Money:
        return _said(money_from_words(text))
    if get_origin(kind) is not None and _is_mix(kind):
        return mix_table(text, reader)
    if get_origin(kind) is tuple:
        part = partial(_value, "", get_args(kind)[0], reader=reader)
        return [part(each.strip()) for each in text.split(",")]
    return _plain(kind, text)


def _plain(kind: object, text: str) -> Plain:
    if kind is bool:
        return YES.get(text.lower(), text)
    if kind in (int, float):
        return number_or_text(text)
    for word in _words_of(kind):
        if _alike(word) == _alike(text):
            return word
    return tidy(text) if kind is str else text


def _words_of(kind: object) -> Iterable[str]:
    """Return the words that a field allows, if it allows only some."""
    if get_origin(kind) is Literal:
        return get_args(kind)
    if isinstance(kind, type) and issubclass(kind, StrEnum):
        return [word.value for word in kind]
    return ()


def _alike(word: str) -> str:
    return re.sub("[-_ ]+", " ", word.casefold())


def number_or_text(text: str) -> Plain:
    """Return a number as a grower types it, else the text, to be refused."""
    if WHOLE.fullmatch(text):
        return int(text)
    return float(text) if NUMBER.fullmatch(text) else text


def mix_table(words: str, reader: Reader) -> Plain:
    """Return a mix by its parts, or by the name that the grower gave it."""
    named = {folded(mix.name): mix.mix for mix in reader.known.mixes.values()}
    mix = named.get(folded(words)) or mix_from_words(words, reader.library)
    return {
        key: _said(part) if isinstance(part, MixPart) else part
        for key, part in mix.items()
    }


def money_from_words(words: str) -> Money:
    """Read `45 EUR` or `45.50 EUR`."""
    from babel.numbers import get_currency_precision

    found = MONEY.fullmatch(words)
    if not found:
        raise ArbusculaError(Said("money.not_read", {"found": plain(words)}))
    currency = found["currency"].upper()
    coins = Decimal(found["sum"]).scaleb(get_currency_precision(currency))
    if coins % 1:
        raise ArbusculaError(Said("money.not_read", {"found": plain(words)}))
    return Money(coins_n=int(coins), currency=currency)


def _plants(text: str, reader: Reader) -> Plain:
    return [one.name for one in all_meant(reader.known, text, *PLANTS)]


def _reached(text: str, reader: Reader) -> Plain:
    return [one.name for one in all_meant(reader.known, text, Sort.BENCH, *PLANTS)]


NAMED: Final[Mapping[str, Callable[[str, Reader], Plain]]] = {
    "bench": lambda text, reader: meant(reader.known, text, Sort.BENCH).name,
    "cover": lambda text, reader: glazing_from_words(text, reader.library),
    "facing_deg": lambda text, _: facing_deg_from_words(text),
    "glazing": lambda text, reader: glazing_from_words(text, reader.library),
    "obstruction_deg": lambda text, _: obstruction_deg_from_words(text),
    "other": lambda text, reader: meant(reader.known, text, *PLANTS).name,
    "parts": _plants,
    "reaches": _reached,
    "species": lambda text, reader: species_from_words(text, reader.library),
    "taken_from": lambda text, reader: meant(reader.known, text, *PLANTS).name,
    "yard": lambda text, reader: meant(reader.known, text, Sort.YARD).name,
}


def _said(noun: Pot | Money | MixPart) -> Plain:
    return {key: part for key, part in asdict(noun).items() if part is not None}


def _unwrapped(hint: object) -> object:
    """Return what a field holds when it holds something."""
    if get_origin(hint) not in (Union, UnionType):
        return hint
    return next(part for part in get_args(hint) if part is not NoneType)


def _is_mix(kind: object) -> bool:
    origin = get_origin(kind)
    return isinstance(origin, type) and issubclass(origin, Mapping)

"""Facts: what an event says, on one line; its keys are those of the command line."""

from collections.abc import Iterator, Mapping
from dataclasses import MISSING, Field, fields
from datetime import time
from typing import Final

from babel.numbers import format_currency, get_currency_precision

from arbuscula.kinds.events import Facts, Reached, Reading
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.substrate import MixPart
from arbuscula.kinds.supplies import Money
from arbuscula.reports.words import Voice, figure_in_words
from arbuscula.units import unit_of

PLAIN: Final = ("how", "found", "text", "because", "reading", "view")  # need no key
UNSAID: Final = ("picture", "bytes_n")  # of use to a program alone


def facts_in_words(facts: Facts, voice: Voice) -> str:
    """Return what was said, key by key; what is as usual is left out.

    Keys of a mix and a currency are words as well, so all of it is made visible.
    """
    return figure_in_words("facts", ", ".join(_said(facts, voice)), voice)


def sizes_in_words(pot: Pot, voice: Voice) -> str:
    """Return a pot's shape and inner sizes, as the reader's ruler has them.

    Its colour follows, where somebody said it.
    """
    sides = (pot.diameter_mm, pot.length_mm, pot.width_mm, pot.depth_mm)
    sizes = [figure_in_words("side_mm", s, voice) for s in sides if s is not None]
    said = f"{pot.shape} " + " \u00d7 ".join(sizes)
    return f"{said}, {pot.colour}" if pot.colour else said


def _said(facts: Facts, voice: Voice) -> Iterator[str]:
    for f in fields(facts):
        part = getattr(facts, f.name)
        if part is None or part == _usual(f) or isinstance(part, Reached):
            continue
        if f.name in UNSAID:
            continue
        words = _words(f.name, part, voice)
        key = _key(f.name)
        if isinstance(part, bool):
            yield key if part else f"{key}: no"
        else:
            yield words if f.name in PLAIN else f"{key} {words}"


def _usual(field: Field[object]) -> object:
    return None if field.default is MISSING else field.default


def _key(name: str) -> str:
    """Return a key without its unit, which the figure bears."""
    unit = unit_of(name)
    return (name.removesuffix(f"_{unit}") if unit else name).replace("_", " ")


def _words(name: str, part: object, voice: Voice) -> str:
    match part:
        case float() | int():
            return figure_in_words(name, float(part), voice)
        case Pot():
            return sizes_in_words(part, voice)
        case Money(coins_n=coins_n, currency=currency):
            whole = coins_n / 10 ** get_currency_precision(currency)
            return format_currency(whole, currency, locale=voice.language)
        case Reading(quantity=quantity, value=value, how=how):
            return f"{_key(quantity)} {_words(quantity, value, voice)} {how}".strip()
        case Mapping():
            return ", ".join(_part(key, each) for key, each in part.items())
        case time():
            return f"{part:%H:%M}"
        case tuple():
            return " ".join(_words(name, each, voice) for each in part)
    return figure_in_words(name, f"{part}", voice)


def _part(key: str, part: MixPart | float) -> str:
    """Return one part of a mix: its share, its name, its grain."""
    if not isinstance(part, MixPart):
        return f"{part:g} {key}"
    grain = "" if part.grain_mm is None else f" {part.grain_mm:g} mm"
    return f"{part.share:g} {key}{grain}"

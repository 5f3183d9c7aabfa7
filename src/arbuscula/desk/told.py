"""Told: the words of a record, parted into a kind and what was said of it.

`check half`, `weighed 2350`, `repotted pot="oval 235 x 180 x 70"`: the kind, then
its facts. Words without a key fill the first field of the facts.
"""

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, fields
from typing import Final

from arbuscula.kinds.events import FINDINGS, KINDS, Checked, Found, How
from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.strict.near import near_names
from arbuscula.strict.quote import plain
from arbuscula.units import unit_of

KEYED: Final = re.compile(r"(?P<key>[a-z][a-z0-9_]*)=(?P<text>.*)", re.DOTALL)
LONGEST_N: Final = 3  # words of a kind
SHORT: Final = {  # said every day, and shorter than the kind's own name
    "check": "checked",
    "weigh": "weighed",
    "water": "watered",
    "feed": "fed",
    "note": "noted",
    "keep": "kept",
    "exchange labels": "labels exchanged",
    "join": "joined",
    "divide": "divided",
}
QUANTITIES: Final = {  # the unit is plain where the name is
    "night_min": "night_min_c",
    "day_max": "day_max_c",
    "trunk": "trunk_mm",
    "height": "height_cm",
    "spread": "spread_cm",
    "light": "ppfd_umol_m2_s",
    "ppfd": "ppfd_umol_m2_s",
    "lux": "light_lux",
}
CORRECTED: Final = "corrected"  # by its own way alone
CHECKED: Final = "checked"
MEASURED: Final = "measured"
NOTED: Final = "noted"
PHOTOGRAPHED: Final = "photographed"


@dataclass(frozen=True, slots=True, kw_only=True)
class Told:
    """A kind of event, and what was said of it, by key."""

    kind: str
    said: dict[str, str]


def told_from(words: Sequence[str]) -> Told:
    """Part words into a kind and its facts."""
    kind, rest = _kind_of(words)
    pairs = [_pair(kind, word) for word in rest]
    bare = [word for word, pair in zip(rest, pairs, strict=True) if not pair]
    told = [*_bare(kind, bare), *((p["key"], p["text"]) for p in pairs if p)]
    said = dict(told)
    if len(said) < len(told):
        keys = ", ".join(key for key, _ in told)
        raise ArbusculaError(Said("record.twice", {"kind": kind, "found": keys}))
    return Told(kind=kind, said=said)


def check_from_words(words: Sequence[str]) -> Checked:
    """Read `half`, `finger dry`, `drains slowly`: a bare word finds how."""
    said = _alike(" ".join(words))
    for how, findings in FINDINGS.items():
        for found in findings:
            if said in (found.value, f"{how.value} {found.value}"):
                return Checked(how=how, found=found)
    known = [f"{how.value} {f.value}" for how, some in FINDINGS.items() for f in some]
    near = near_names(said, [*known, *(f.value for f in Found)]) or known
    figures = {"found": plain(said), "near": ", ".join(near)}
    raise ArbusculaError(Said("record.no_finding", figures))


def _alike(words: str) -> str:
    """Return words as they are compared: large or small, hyphen or space."""
    return re.sub("[-_ ]+", " ", words.casefold()).strip()


BY_WORDS: Final = {_alike(kind): kind for kind in KINDS if kind != CORRECTED} | SHORT


def _kind_of(words: Sequence[str]) -> tuple[str, Sequence[str]]:
    """Return the kind that the first words name, and the words after it."""
    for n in range(min(LONGEST_N, len(words)), 0, -1):
        if kind := BY_WORDS.get(_alike(" ".join(words[:n]))):
            return kind, words[n:]
    if words and _is_quantity(words[0]):
        return MEASURED, words
    if _alike(" ".join(words[:1])) == CORRECTED:
        raise ArbusculaError(Said("record.use_undo", {}))
    raise ArbusculaError(_unknown(words))


def _is_quantity(word: str) -> bool:
    """Return whether a word ends in its unit; `nigth_min` does not mean minutes."""
    unit = unit_of(_quantity(word))
    return unit not in (None, "min") and not KEYED.fullmatch(word)


def _quantity(word: str) -> str:
    """Return a quantity by its name with its unit."""
    return QUANTITIES.get(word.casefold(), word)


def _unknown(words: Sequence[str]) -> Said:
    """Return the fault of a kind that is none, with those near it."""
    bare = [word for word in words if not KEYED.fullmatch(word)]
    known = [*BY_WORDS, *QUANTITIES]
    near = [
        name for n in (2, 1) for name in near_names(_alike(" ".join(bare[:n])), known)
    ]
    kinds = dict.fromkeys(BY_WORDS.get(name, name) for name in near)
    every = (kind for kind in BY_WORDS.values() if not kind.endswith(" set"))
    figures = {
        "found": plain(" ".join(words)),
        "near": _listed(kinds or dict.fromkeys(every)),
    }
    return Said("record.unknown_kind", figures)


def _listed(names: Iterable[str]) -> str:
    return ", ".join(names)


def _pair(kind: str, word: str) -> re.Match[str] | None:
    """Return a key with its text; a note may have such signs in its own words."""
    pair = KEYED.fullmatch(word)
    return pair if kind != NOTED or (pair and pair["key"] == "text") else None


def _bare(kind: str, bare: Sequence[str]) -> Iterator[tuple[str, str]]:
    """Yield the facts that words without a key stand for."""
    if kind == CHECKED and bare:
        yield from _checked(bare)
    elif kind == MEASURED:
        yield from _measured(bare)
    elif kind == PHOTOGRAPHED and len(bare) > 1:
        yield from (("picture", bare[0]), ("view", " ".join(bare[1:])))
    elif bare:
        first = next((f.name for f in fields(KINDS[kind])), None)
        if first is None:
            figures = {"kind": kind, "found": plain(" ".join(bare))}
            raise ArbusculaError(Said("record.too_much", figures))
        yield first, " ".join(bare)


def _checked(bare: Sequence[str]) -> Iterator[tuple[str, str]]:
    """Yield how and what; a how alone stands before a key."""
    if len(bare) == 1 and bare[0].casefold() in [*How]:
        yield "how", bare[0].casefold()
    else:
        check = check_from_words(bare)
        yield "how", check.how.value
        yield "found", check.found.value


def _measured(bare: Sequence[str]) -> Iterator[tuple[str, str]]:
    """Yield quantity and number of `night_min 8.5`, and how it was measured."""
    quantity, value, *how = (*bare, "", "")[: max(len(bare), 2)]
    if not value:
        raise ArbusculaError(Said("record.no_number", {"found": plain(" ".join(bare))}))
    yield "quantity", _quantity(quantity)
    yield "value", value
    if how:
        yield "how", " ".join(how)

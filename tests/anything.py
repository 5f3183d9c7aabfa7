"""Anything: Hypothesis draws any event that the book would take."""

from dataclasses import fields, is_dataclass
from datetime import UTC, date, datetime, time
from enum import StrEnum
from types import NoneType, UnionType
from typing import Annotated, Literal, Union, get_args, get_origin, get_type_hints

from hypothesis import strategies as st

from arbuscula.kinds import events as kinds
from arbuscula.kinds.events import FINDINGS, KINDS, Event, Sort
from arbuscula.kinds.values import Within

WHOLE = st.characters(codec="utf-8", exclude_categories=["C", "Z"])
NAMES = st.text(WHOLE, min_size=1, max_size=12)
PLAIN = {
    str: st.text(max_size=20),
    bool: st.booleans(),
    int: st.integers(),
    float: st.floats(allow_nan=False, allow_infinity=False),
    NoneType: st.none(),
    date: st.dates(),
    time: st.times(),
}
PARTS = st.lists(NAMES, min_size=1, max_size=4, unique=True).map(tuple)
CHECKS = [
    kinds.Checked(how=how, found=found)
    for how, some in FINDINGS.items()
    for found in some
]
SENSIBLE = {  # where the whole allows less than its fields
    kinds.Checked: st.sampled_from(CHECKS),
    kinds.Reading: st.builds(
        kinds.Reading,
        quantity=st.sampled_from(["trunk_mm", "night_min_c", "light_umol_m2_s"]),
        value=PLAIN[float],
    ),
    kinds.Divided: st.builds(kinds.Divided, into=PARTS, left_n=st.integers(0, 9)),
    kinds.Joined: st.builds(kinds.Joined, parts=PARTS),
}
KNOWN = PLAIN | SENSIBLE


def thing(kind):
    """Return a strategy for whatever a field may be."""
    if kind in KNOWN:
        return KNOWN[kind]
    parts = get_args(kind)
    match get_origin(kind):
        case o if o is Annotated:
            return within(*parts)
        case o if o is Literal:
            return st.sampled_from(parts)
        case o if o in (UnionType, Union):
            return st.one_of(*map(thing, parts))
        case o if o is tuple:
            return st.lists(thing(parts[0]), max_size=3).map(tuple)
        case None if is_dataclass(kind):
            return built(kind)
        case None if issubclass(kind, StrEnum):
            return st.sampled_from(kind)
    return st.dictionaries(NAMES, thing(parts[1]), max_size=3)


def within(kind, limits: Within):
    if kind is int:
        return st.integers(int(limits.low), int(limits.high))
    return st.floats(limits.low, limits.high)


def built(kind):
    hints = get_type_hints(kind, include_extras=True)
    return st.builds(kind, **{f.name: thing(hints[f.name]) for f in fields(kind)})


TIMES = st.datetimes(
    datetime(1200, 1, 1),
    datetime(2900, 1, 1),
    timezones=st.just(UTC) | st.timezones(),
)


@st.composite
def events(draw, kinds=tuple(KINDS), times=TIMES):
    kind = draw(st.sampled_from(kinds))
    noun = kind.endswith(" set") and Sort(kind.removesuffix(" set"))
    return Event(
        id=f"phone-{draw(NAMES)}",
        sort=noun or draw(st.sampled_from(Sort)),
        subject="this",
        kind=kind,
        happened=draw(times),
        written=draw(times),
        by=draw(st.just("") | NAMES),
        facts=draw(thing(KINDS[kind])),
    )

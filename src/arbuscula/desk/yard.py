"""Yard: a place on Earth with its hours; all that stands there is told of it."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from functools import partial
from typing import Literal

from arbuscula.desk import Desk
from arbuscula.desk.moments import zone_of
from arbuscula.desk.names import Known, known_from, name_faults, tidy
from arbuscula.desk.writing import Drafted, first_events_of, written
from arbuscula.kinds.place import Yard
from arbuscula.kinds.said import NotDoneError
from arbuscula.kinds.world import Found, Place
from arbuscula.ledger.book import all_events
from arbuscula.strict.kinds import kind_from_table
from arbuscula.weather.gazetteer import find_place


@dataclass(frozen=True, slots=True, kw_only=True)
class YardAdded:
    """The answer: the new yard, and other places that bear the name."""

    schema: Literal["arbuscula.yard_add/1"] = "arbuscula.yard_add/1"
    id: str  # of the event
    yard: Yard
    place: Place  # as the gazetteer has it
    others: tuple[Place, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class YardRow:
    """One yard, and how much stands in it."""

    key: str
    yard: Yard
    benches_n: int
    trees_n: int  # and groups


@dataclass(frozen=True, slots=True, kw_only=True)
class Yards:
    """The answer: every yard of the book."""

    schema: Literal["arbuscula.yard_list/1"] = "arbuscula.yard_list/1"
    yards: tuple[YardRow, ...]


def add_yard(
    desk: Desk,
    name: str,
    at: str,
    *,
    rounds: Sequence[str] = (),
    longest_unseen_d: float | None = None,
    timezone: str | None = None,
) -> YardAdded:
    """Set up a yard; the gazetteer knows its height and, if not told, its clock."""
    found = find_place(desk.world(), at)
    if timezone is not None:
        zone_of(timezone)  # refuses what is none
        found = replace(found, place=replace(found.place, timezone=timezone))
    yard = _yard(tidy(name), found, rounds, longest_unseen_d)
    return written(desk, partial(_draft, desk, yard, found))


def _draft(desk: Desk, yard: Yard, found: Found, known: Known) -> Drafted[YardAdded]:
    if faults := [*name_faults(known, yard.name)]:
        raise NotDoneError(*faults)
    nouns = {yard.name: yard}
    (event,) = first_events_of(desk, known, nouns, happened=desk.clock())
    answer = YardAdded(id=event.id, yard=yard, place=found.place, others=found.others)
    return answer, [event]


def _yard(
    name: str, found: Found, rounds: Sequence[str], longest_unseen_d: float | None
) -> Yard:
    said = {"rounds": [*rounds] or None, "longest_unseen_d": longest_unseen_d}
    table = {key: value for key, value in said.items() if value is not None}
    place = found.place
    yard = kind_from_table(
        {
            "name": name,
            "latitude_deg": place.latitude_deg,
            "longitude_deg": place.longitude_deg,
            "elevation_m": float(place.elevation_m),
            "timezone": place.timezone,
            **table,
        },
        Yard,
        name=name,
    )
    in_order = sorted({begins.replace(tzinfo=None) for begins in yard.rounds})
    return replace(yard, rounds=tuple(in_order))


def list_yards(desk: Desk) -> Yards:
    """Say which yards there are."""
    known = known_from(all_events(desk.ledger()))
    return Yards(yards=tuple(_row(known, key) for key in known.yards))


def _row(known: Known, key: str) -> YardRow:
    benches = [name for name, bench in known.benches.items() if bench.yard == key]
    return YardRow(
        key=key,
        yard=known.yards[key],
        benches_n=len(benches),
        trees_n=sum(len(known.book.benches.get(bench, ())) for bench in benches),
    )

"""Lines: an event as one line of JSON, for backups and for the store.

Times are in UTC, keys in alphabetical order, and what is unsaid is left out.
"""

import json
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, fields, is_dataclass
from datetime import UTC, date, datetime, time
from enum import Enum
from functools import lru_cache
from types import GenericAlias
from typing import Final, Generic, TypeAlias, TypeVar, cast

from arbuscula.kinds.events import (
    FINDINGS,
    KINDS,
    Checked,
    Corrected,
    Divided,
    Event,
    Facts,
    Joined,
    LabelsExchanged,
    LayeredOff,
    Measured,
    Sort,
)
from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.strict.kinds import kind_from_table
from arbuscula.units import unit_of

Json: TypeAlias = "bool | int | float | str | list[Json] | dict[str, Json] | None"
Row: TypeAlias = dict[str, str]
Odd: TypeAlias = tuple[str, str, str]  # key, what was found, what would do
YEARS: Final = range(1000, 3000)
LONGEST: Final = 200  # letters of a name


def row_from_event(event: Event) -> Row:
    """Return an event as the columns of the store, its facts as JSON."""
    return {
        "id": event.id,
        "sort": event.sort.value,
        "subject": event.subject,
        "kind": event.kind,
        "happened": _moment(event.happened),
        "written": _moment(event.written),
        "by": event.by,
        "facts": json_text(as_json(event.facts)),
    }


def event_from_row(row: Row, *, name: str) -> Event:
    """Return the event that these columns stand for, or all faults of it."""
    return _event({**row, "facts": _loaded(row["facts"], name)}, name)


def stored_event(row: Row) -> Event:
    """Return the event of a row that was read strictly before it was stored."""
    try:
        return Event(
            id=row["id"],
            sort=Sort(row["sort"]),
            subject=row["subject"],
            kind=row["kind"],
            happened=datetime.fromisoformat(row["happened"]),
            written=datetime.fromisoformat(row["written"]),
            by=row["by"],
            facts=_facts(row["kind"], row["facts"]),
        )
    except (ArbusculaError, KeyError, ValueError):  # strictly, then, for the reason
        return event_from_row(row, name=f"event {row['id']}")


@lru_cache(maxsize=4096)
def _facts(kind: str, text: str) -> Facts:
    """Return facts, the same ones for the same words: most of them recur."""
    return kind_from_table(json.loads(text), KINDS[kind], name=kind)


def line_from_event(event: Event) -> str:
    """Return an event as one line."""
    return json_text(as_json(event))


def event_from_line(line: str, *, name: str) -> Event:
    """Read one line, or report all faults of it at once."""
    return _event(_loaded(line, name), name)


def line_from_row(row: Mapping[str, str]) -> str:
    """Return a stored event as its line, the facts to the letter."""
    told = {key: json_text(text) for key, text in row.items()}
    told["facts"] = row["facts"]
    return "{" + ",".join(f'"{key}":{told[key]}' for key in sorted(told)) + "}"


def row_from_line(line: str, *, name: str) -> Row:
    """Return the columns of a line, or all faults of it at once.

    Facts stay to the letter: what they said when they were written is what the
    chain holds, also where a newer program would say more.
    """
    found = table_from_line(line, name=name)
    row = row_from_event(_event(found, name))
    return {**row, "facts": json_text(found["facts"])}


def table_from_line(line: str, *, name: str) -> dict[str, Json]:
    """Read one line as a table, of whatever."""
    return _table(_loaded(line, name), name)


F = TypeVar("F")


@dataclass(frozen=True, slots=True, kw_only=True)
class _Line(Generic[F]):
    """An event whose kind is known, so that its facts can be read strictly."""

    id: str
    sort: Sort
    subject: str
    kind: str
    happened: datetime
    written: datetime
    by: str = ""
    facts: F


LINES: Final = {
    kind: cast("type[_Line[Facts]]", GenericAlias(_Line, (facts,)))
    for kind, facts in KINDS.items()
}


def _table(found: Json, name: str) -> dict[str, Json]:
    if not isinstance(found, dict):
        raise ArbusculaError(_fault(name, ("", json_text(found), "a table")))
    return found


def _event(found: Json, name: str) -> Event:
    table = _table(found, name)
    kind = table.get("kind")
    if not isinstance(kind, str) or kind not in LINES:
        raise ArbusculaError(_fault(name, ("kind", json_text(kind), ", ".join(LINES))))
    line = kind_from_table(table, LINES[kind], name=name)
    event = Event(**{f.name: getattr(line, f.name) for f in fields(line)})
    faults = [_fault(name, odd) for odd in _oddities(event)]
    if faults:
        raise ArbusculaError(*faults)
    return event


def _loaded(text: str, name: str) -> Json:
    try:
        return cast("Json", json.loads(text, object_pairs_hook=_each_once))
    except (ValueError, RecursionError) as error:
        figures: dict[str, Figure] = {"file": name, "found": str(error)}
        raise ArbusculaError(Said("file.not_json", figures)) from None


def _each_once(pairs: list[tuple[str, Json]]) -> dict[str, Json]:
    table = dict(pairs)
    if len(table) < len(pairs):
        raise ValueError("twice the same key among " + ", ".join(k for k, _ in pairs))
    return table


def json_text(plain: Json) -> str:
    """Return JSON as it stands in a line: no blanks, keys in order, ASCII."""
    return json.dumps(plain, sort_keys=True, separators=(",", ":"))


def as_json(part: object) -> Json:
    """Return a part of an event as JSON knows it; None is left out of a table."""
    match part:
        case Enum():
            return as_json(part.value)
        case None | bool() | int() | float() | str():
            return part
        case datetime():
            return _moment(part)
        case date() | time():
            return part.isoformat()
        case Mapping():
            return {str(key): as_json(value) for key, value in part.items()}
        case tuple() | list():
            return [as_json(value) for value in part]
    if is_dataclass(part):
        said = {f.name: getattr(part, f.name) for f in fields(part)}
        return {key: as_json(value) for key, value in said.items() if value is not None}
    raise TypeError(type(part))


def _moment(at: datetime) -> str:
    """Return a time in UTC; one that cannot be a time is left for the reader."""
    if at.tzinfo is None or at.year not in YEARS:
        return at.isoformat()
    return at.astimezone(UTC).isoformat(timespec="microseconds")


def _fault(name: str, odd: Odd) -> Said:
    key, found, allowed = odd
    return Said(
        "file.fault", {"file": name, "key": key, "found": found, "allowed": allowed}
    )


def _oddities(event: Event) -> Iterator[Odd]:
    """Tell what each field allows and the whole does not."""
    yield from _odd_heads(event)
    match event.facts:
        case Checked(how=how, found=found) if found not in FINDINGS[how]:
            yield "facts.found", found, ", ".join(FINDINGS[how])
        case Measured(reading=reading) if unit_of(reading.quantity) is None:
            yield "facts.reading.quantity", reading.quantity, "a name with its unit"
        case LabelsExchanged(other=other) if other == event.subject:
            yield "facts.other", other, "another tree"
        case LayeredOff(new=new) if new == event.subject:
            yield "facts.new", new, "a name of its own"
        case Divided(into=parts) | Joined(parts=parts) if not _are_parts(parts):
            yield "facts", ", ".join(parts) or "nothing", "names, each once"
        case Corrected(event=corrected) if corrected == event.id:
            yield "facts.event", corrected, "an earlier event"


def _odd_heads(event: Event) -> Iterator[Odd]:
    names = {"id": event.id, "subject": event.subject, "by": event.by or "nobody"}
    for key, found in names.items():
        if not found.isprintable() or found.strip() != found or not found:
            yield key, repr(found), "letters and digits, no space at the ends"
        elif len(found) > LONGEST:
            yield key, found[:LONGEST], f"at most {LONGEST} letters"
    for key, at in {"happened": event.happened, "written": event.written}.items():
        if at.year not in YEARS:
            yield key, at.isoformat(), f"a year from {YEARS.start} to {YEARS.stop - 1}"
    if event.kind.endswith(" set") and event.kind != f"{event.sort} set":
        yield "sort", event.sort, event.kind.removesuffix(" set")


def _are_parts(parts: tuple[str, ...]) -> bool:
    return bool(parts) and len({*parts}) == len(parts)

"""Writing: what a verb makes of the book becomes events, all of them or none."""

from collections import Counter
from collections.abc import Callable, Mapping, Sequence
from datetime import UTC, datetime
from typing import Final, TypeAlias, TypeVar

from arbuscula.desk import Desk
from arbuscula.desk.moments import moment_from_words, zone_of
from arbuscula.desk.names import Known, Meant, folded, known_from
from arbuscula.kinds.events import KIND_OF, Event, Facts, Noun, Sort
from arbuscula.kinds.said import NotDoneError
from arbuscula.ledger.book import all_events, append

Answer = TypeVar("Answer")
Drafted: TypeAlias = tuple[Answer, Sequence[Event]]
TRIES_N: Final = 3


def written(
    desk: Desk, draft: Callable[[Known], Drafted[Answer]], *, tries_n: int = TRIES_N
) -> Answer:
    """Write what is made of the book as it is, and return its answer.

    If somebody else took a name in the meantime, it is made anew.
    """
    ledger = desk.ledger()
    answer, events = draft(known_from(all_events(ledger)))
    try:
        append(ledger, *events)
    except NotDoneError as error:
        taken = all(fault.message_id == "ledger.conflict" for fault in error.faults)
        if not taken or tries_n == 1:
            raise
        return written(desk, draft, tries_n=tries_n - 1)
    return answer


def happened_at(
    desk: Desk, known: Known, yard: str | None, words: str | None
) -> datetime:
    """Return when something happened: at these words on a yard's clock, or now."""
    now = desk.clock()
    if words is None:
        return now
    place = known.yards.get(yard or "")
    zone = zone_of(place.timezone) if place else UTC
    return moment_from_words(words, zone, now)


def event_of(
    desk: Desk, facts: Facts, about: Meant, *, happened: datetime, by: str = ""
) -> Event:
    """Return a new event."""
    return Event(
        id=desk.new_id(),
        sort=about.sort,
        subject=about.name,
        kind=KIND_OF[type(facts)],
        happened=happened,
        written=desk.clock(),
        by=by,
        facts=facts,
    )


def first_events_of(
    desk: Desk, known: Known, nouns: Mapping[str, Noun], *, happened: datetime
) -> list[Event]:
    """Return the events that set up nouns under new names.

    Each id hangs on the name, so that of two who take the same name at the same
    time the store refuses one.
    """
    told = Counter(folded(event.subject) for event in known.events)
    written = desk.clock()
    return [
        Event(
            id=_first_id(folded(name), told[folded(name)]),
            sort=Sort(KIND_OF[type(noun)].removesuffix(" set")),
            subject=name,
            kind=KIND_OF[type(noun)],
            happened=happened,
            written=written,
            facts=noun,
        )
        for name, noun in nouns.items()
    ]


def _first_id(name: str, told_n: int) -> str:
    return f"new {name}" + (f" after {told_n}" if told_n else "")

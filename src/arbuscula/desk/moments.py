"""Moments: what a grower's words for a time mean on the yard's clock."""

import re
from collections.abc import Iterable
from dataclasses import replace
from datetime import UTC, date, datetime, time, tzinfo
from typing import Final
from zoneinfo import ZoneInfo, ZoneInfoNotFoundError

from arbuscula.kinds.events import Event
from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.strict.quote import plain

CLOCK: Final = re.compile(r"[0-9]{1,2}:[0-9]{2}")
DAY: Final = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}")
OFFSET_N: Final = len("+02:00")
NOON: Final = time(12)
FIRST_YEAR: Final = 1000  # of the book


def zone_of(timezone: str) -> tzinfo:
    """Return a time zone by its name in the IANA database."""
    try:
        return ZoneInfo(timezone)
    except (ZoneInfoNotFoundError, ValueError, OSError):
        raise ArbusculaError(_fault("time.no_zone", timezone)) from None


def by_clock(events: Iterable[Event], zone: tzinfo) -> tuple[Event, ...]:
    """Return events by a yard's clock, so that each is of the day it was there."""
    return tuple(
        replace(event, happened=event.happened.astimezone(zone)) for event in events
    )


def moment_from_words(words: str, zone: tzinfo, now: datetime) -> datetime:
    """Read `08:00`, `2026-07-06` (its noon), `2026-07-06 08:00`, with an offset or not.

    Without an offset it is the yard's own clock. An hour which that clock skips
    or shows twice is refused, as only an offset can tell it; so is what has yet
    to come.
    """
    moment = _read(words.strip(), now.astimezone(zone).date())
    moment = moment if moment.tzinfo else _on_clock(moment, zone, words)
    if moment > now:
        raise ArbusculaError(_fault("time.to_come", words))
    return moment.astimezone(UTC)


def _read(words: str, today: date) -> datetime:
    try:
        moment = _moment(words, today)
    except ValueError:
        moment = None
    if moment is None or moment.year < FIRST_YEAR:
        raise ArbusculaError(_fault("time.not_read", words))
    return moment


def _moment(words: str, today: date) -> datetime:
    if CLOCK.fullmatch(words):
        return datetime.combine(today, time.fromisoformat(words.zfill(len("08:00"))))
    if DAY.fullmatch(words):
        return datetime.combine(date.fromisoformat(words), NOON)
    return datetime.fromisoformat(words)


def _on_clock(moment: datetime, zone: tzinfo, words: str) -> datetime:
    """Return the one moment at which the yard's clock showed this."""
    early, late = (moment.replace(tzinfo=zone, fold=fold) for fold in (0, 1))
    if early.utcoffset() == late.utcoffset():
        return early
    if early.astimezone(UTC).astimezone(zone).replace(tzinfo=None) != moment:
        raise ArbusculaError(_fault("time.skipped", words))
    either = (at.isoformat()[-OFFSET_N:] for at in (early, late))
    raise ArbusculaError(_fault("time.twice", words, offsets=" or ".join(either)))


def _fault(message_id: str, words: str, **figures: Figure) -> Said:
    return Said(message_id, {"found": plain(words), **figures})

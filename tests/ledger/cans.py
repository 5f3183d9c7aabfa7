"""Cans: the smallest events there are."""

from dataclasses import replace
from datetime import UTC, datetime

from arbuscula.kinds.events import Event, Sort, Watered

AT = datetime(2026, 7, 6, 6, tzinfo=UTC)
CAN = Event(
    id="phone-1-17",
    sort=Sort.TREE,
    subject="fig-7",
    kind="watered",
    happened=AT,
    written=AT,
    by="p-2",
    facts=Watered(given_ml=900.0),
)
OTHER = replace(CAN, facts=Watered(given_ml=5.0))


def cans(first, last, **changed):
    return [replace(CAN, id=f"can-{n:04}", **changed) for n in range(first, last)]

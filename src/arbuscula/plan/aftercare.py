"""Aftercare: what is to be done, or left, in the weeks after a job."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

from arbuscula.kinds.events import (
    BudsSwelling,
    Event,
    OutOfHospital,
    OutOfQuarantine,
    RootsInspected,
    WireChecked,
    Wired,
)
from arbuscula.kinds.said import Said
from arbuscula.kinds.technique import AFTERCARE, After, Phase, Technique
from arbuscula.kinds.values import Grade

CHECK_WIRE: Final = "check_wire"
ENDED_BY: Final[Mapping[str, tuple[type, ...]]] = {  # what was to be found was found
    "look_for_buds": (BudsSwelling,),
    "look_for_roots": (RootsInspected,),
    "inspect_for_pests": (OutOfQuarantine,),
    "look_by_hand": (OutOfHospital,),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Followup:
    """A dated job that follows another; the dates are practice, not law."""

    job: Said
    from_: date
    to: date
    after: str  # the technique that it follows
    done: date
    source: str
    grade: Grade


def after_job(
    key: str, technique: Technique, group: str, phase: Phase | None, done: date
) -> Iterator[Followup]:
    """Yield what follows a job done on a day, for a group of species.

    Where the phase was not told, the first entry of a job holds: the strictest.
    """
    told: set[str] = set()
    for after in technique.aftercare:
        if after.groups and group not in after.groups:
            continue
        if phase is not None and after.phases and phase not in after.phases:
            continue
        if after.job in told:
            continue
        told.add(after.job)
        yield _dated(key, after, done)


def _dated(key: str, after: After, done: date) -> Followup:
    return Followup(
        job=said_of_job(after.job),
        from_=done + timedelta(days=after.from_d.value),
        to=done + timedelta(days=after.to_d.value),
        after=key,
        done=done,
        source=after.to_d.source,
        grade=after.to_d.grade,
    )


def said_of_job(job: str) -> Said:
    """Return what is to be done; the grower's own words are told as they stand."""
    if job in AFTERCARE:
        return Said(f"aftercare.{job}", {})
    return Said("aftercare.own", {"found": job})


def followups_on(
    life: Sequence[Event],
    techniques: Mapping[str, Technique],
    group: str,
    on: date,
    *,
    technique_of: Callable[[Event], str | None],
    wired: date | None,
) -> Iterator[Followup]:
    """Yield what is to be done or left on a day, out of all that was done before.

    Of several jobs that ask for the same, the one that asks for longest holds. A
    check of wire stays until somebody has looked.
    """
    lasting: dict[str, Followup] = {}  # by what is to be done
    for event in life:
        key = technique_of(event)
        if key is None or key not in techniques:
            continue
        done = event.happened.date()
        for told in after_job(key, techniques[key], group, None, done):
            follows, name = _as_told(told, event), f"{told.job}"
            before = lasting.get(name)
            if before is None or _is_wire(follows) or before.to <= follows.to:
                lasting[name] = follows
    for follows in lasting.values():
        is_due = wired is not None if _is_wire(follows) else on <= follows.to
        if follows.from_ <= on and is_due and not _is_over(follows, life):
            yield follows


def _is_wire(follows: Followup) -> bool:
    return follows.job.message_id == f"aftercare.{CHECK_WIRE}"


def _as_told(follows: Followup, event: Event) -> Followup:
    """Return a check of wire on the day that the grower chose himself."""
    facts = event.facts
    if not isinstance(facts, Wired | WireChecked) or facts.check_by is None:
        return follows
    if not _is_wire(follows):
        return follows
    return Followup(
        job=follows.job,
        from_=facts.check_by,
        to=facts.check_by,
        after=follows.after,
        done=follows.done,
        source=follows.source,
        grade=Grade.MEASURED,
    )


def _is_over(follows: Followup, life: Sequence[Event]) -> bool:
    job = follows.job.message_id.partition(".")[2]
    ends = ENDED_BY.get(job, ())
    return any(
        isinstance(e.facts, ends) and e.happened.date() > follows.done for e in life
    )

"""Follow-ups: what the last weeks' jobs and nights ask of today."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import partial
from typing import Final

from arbuscula.desk import Desk
from arbuscula.desk.cold_nights import ColdNight, cold_nights
from arbuscula.desk.followed import Followed
from arbuscula.desk.job_views import group_key
from arbuscula.desk.moments import by_clock
from arbuscula.kinds.events import (
    Checked,
    Event,
    Fed,
    How,
    Measured,
    Noted,
    Photographed,
    Preferred,
    Watered,
    Weighed,
)
from arbuscula.kinds.said import Figure, Said
from arbuscula.kinds.values import Grade
from arbuscula.plan.aftercare import CHECK_WIRE, followups_on
from arbuscula.rules.together import asks_for_soil, why_look
from arbuscula.state.book import book_at
from arbuscula.state.condition import (
    is_biting,
    roots_known,
    technique_of,
    wired_since,
)

NO_JOBS: Final = (Watered, Weighed, Measured, Photographed, Noted, Fed, Preferred)
REPOT: Final = "repot"


@dataclass(frozen=True, slots=True, kw_only=True)
class JobToday:
    """Something to do on a tree today, or to leave, that is no watering."""

    tree: str
    label: str
    bench: str
    job: Said
    from_: date
    to: date | None  # None: until it is done
    because: Said
    grade: Grade
    source: str


def jobs_today(desk: Desk, now: Followed, at: datetime) -> tuple[JobToday, ...]:
    """Return aftercare, looks at the roots, wire that bites, second looks."""
    events = (e for e in now.yarded.events if _tells_of_jobs(e))
    telling = by_clock(events, at.tzinfo or UTC)
    lives = book_at(telling, at).lives
    look_d = desk.library().care.second_look_d
    span_d = {"most_d": look_d.high, "least_d": look_d.low}
    cold = dict(cold_nights(desk, now.yarded, now.weather, at, **span_d))
    return (
        *(
            job
            for key in now.yarded.nouns
            for job in _of_tree(desk, now, key, lives.get(key, ()), at.date(), cold)
        ),
        *_repots(desk, now, lives, at),
    )


def _repots(
    desk: Desk, now: Followed, lives: Mapping[str, Sequence[Event]], at: datetime
) -> Iterator[JobToday]:
    """Yield the verdict on each repot that roots were seen to ask for."""
    asking = [key for key in now.yarded.nouns if _asks(desk, now, key, lives, at)]
    if not asking or REPOT not in desk.library().techniques:
        return
    from arbuscula.desk.may import verdict_on
    from arbuscula.desk.names import known_from
    from arbuscula.desk.tree_years import years_on

    known = known_from(now.yarded.events, at)
    years = years_on(desk, now.yarded.key, now.yarded.yard, at.date())
    for key in asking:
        noun = now.yarded.nouns[key]
        bench = now.yarded.benches[noun.bench or ""]
        told = verdict_on(years, known, key, bench, REPOT)
        opens = told.next.p50 if told.next else None
        figures: dict[str, Figure] = {"verdict": told.verdict.value}
        said = Said("job.repot", figures)
        if opens:
            said = Said("job.repot_about", {**figures, "about": f"{opens}"})
        first = told.because[0]
        yield JobToday(
            tree=key,
            label=noun.label or key,
            bench=noun.bench or "",
            job=said,
            from_=at.date(),
            to=None,
            because=first.said.parts[0],
            grade=first.grade,
            source=first.source,
        )


def _asks(
    desk: Desk,
    now: Followed,
    key: str,
    lives: Mapping[str, Sequence[Event]],
    at: datetime,
) -> bool:
    library = desk.library()
    habit = library.groups[group_key(now.yarded.nouns[key].species, library)]
    life, care = lives.get(key, ()), library.care
    return asks_for_soil(roots_known(life, at.date(), None, habit, care), care)


def _tells_of_jobs(event: Event) -> bool:
    facts = event.facts
    if isinstance(facts, Checked):
        return facts.how == How.SEEN
    return not isinstance(facts, NO_JOBS)


def _of_tree(
    desk: Desk,
    now: Followed,
    key: str,
    life: Sequence[Event],
    on: date,
    cold: Mapping[str, ColdNight],
) -> Iterator[JobToday]:
    noun, library = now.yarded.nouns[key], desk.library()
    group = group_key(noun.species, library)
    told = partial(_job, key, noun.label or key, noun.bench or "")
    follows = followups_on(
        life,
        library.techniques,
        group,
        on,
        technique_of=lambda event: technique_of(event, library.techniques),
        wired=wired_since(life),
    )
    for f in follows:
        figures: dict[str, Figure] = {"technique": f.after, "since": f"{f.done}"}
        because = Said("job.after", figures)
        lasts = f.job.message_id == f"aftercare.{CHECK_WIRE}"
        yield told(f.job, f.from_, None if lasts else f.to, because, f.grade, f.source)
    care = library.care
    roots = roots_known(life, on, None, library.groups[group], care)
    if why := why_look(roots, on, library.groups[group], care):
        said, line = Said("job.look_at_roots", {}), library.groups[group].look_y
        yield told(said, on, None, why, line.grade, line.source)
    if is_biting(life):
        because = Said("visible.biting", {})
        said = Said("job.unwire", {})
        yield told(said, on, None, because, Grade.PRACTICE, "growers")
    night = cold.get(key)
    if night is not None:
        value = care.second_look_d
        because = _why_again(night)
        first = night.on + timedelta(days=value.low)
        last = night.on + timedelta(days=value.high)
        if first <= on <= last:
            said = Said("aftercare.second_look", {})
            yield told(said, first, last, because, value.grade, value.source)


def _why_again(night: ColdNight) -> Said:
    if not night.is_harmful:
        return Said("job.cold_night", {"since": f"{night.on}"})
    figures: dict[str, Figure] = {"low_c": night.low_c, "line_c": night.line_c}
    return Said("job.harmful_night", {"since": f"{night.on}", **figures})


def _job(
    tree: str,
    label: str,
    bench: str,
    job: Said,
    from_: date,
    to: date | None,
    because: Said,
    grade: Grade,
    source: str,
) -> JobToday:
    return JobToday(
        tree=tree,
        label=label,
        bench=bench,
        job=job,
        from_=from_,
        to=to,
        because=because,
        grade=grade,
        source=source,
    )

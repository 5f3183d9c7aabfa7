"""Follow-ups: what the last weeks' jobs and nights ask of today."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import UTC, date, datetime, timedelta
from functools import cache, partial
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from arbuscula.desk import Desk
from arbuscula.desk.followed import Followed
from arbuscula.desk.job_views import group_key
from arbuscula.desk.may import verdict_on
from arbuscula.desk.moments import by_clock
from arbuscula.desk.names import known_from
from arbuscula.desk.sheltering import stands_of
from arbuscula.desk.tree_years import years_on
from arbuscula.kinds.events import (
    Checked,
    Event,
    Fed,
    How,
    Measured,
    Noted,
    Photographed,
    Preferred,
    SetDown,
    Watered,
    Weighed,
)
from arbuscula.kinds.forecast import WeatherSort
from arbuscula.kinds.said import Figure, Said
from arbuscula.kinds.values import Grade
from arbuscula.kinds.weather import Row
from arbuscula.microclimate.shelter import rows_on_bench
from arbuscula.plan.aftercare import CHECK_WIRE, followups_on
from arbuscula.rules.together import asks_for_soil, why_look
from arbuscula.state.book import book_at
from arbuscula.state.condition import (
    is_biting,
    roots_known,
    technique_of,
    wired_since,
)
from arbuscula.units import HOUR_S

NO_JOBS: Final = (Watered, Weighed, Measured, Photographed, Noted, Fed, Preferred)
REPOT: Final = "repot"
NIGHT_S: Final = 24 * HOUR_S
Stay: TypeAlias = tuple[float, float, str]  # from one second to another, on a bench


@dataclass(frozen=True, slots=True, kw_only=True)
class ColdNight:
    """A night that a tree felt, under one of its own lines."""

    on: date
    low_c: float
    line_c: float
    is_harmful: bool  # under the line at which leaves are damaged


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
    cold = dict(_cold_nights(desk, now, at))
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


def _cold_nights(
    desk: Desk, now: Followed, at: datetime
) -> Iterator[tuple[str, ColdNight]]:
    """Yield each tree that felt a night under its floor, where it stood by then.

    Nights nobody told of are no nights that were.
    """
    rows, look_d = now.weather.rows, desk.library().care.second_look_d
    since_s = at.timestamp() - look_d.high * NIGHT_S
    told = _told_hours(now, since_s, at.timestamp() - look_d.low * NIGHT_S)
    if not told.any():
        return
    air_c = cache(partial(_air_on_c, desk, now))

    @cache
    def felt(species: str, stays: tuple[Stay, ...]) -> ColdNight | None:
        felt_c = np.full(rows.from_s.size, np.inf)
        for from_s, until_s, bench in stays:
            here = told & (rows.from_s >= from_s) & (rows.from_s < until_s)
            felt_c = np.where(here, air_c(bench), felt_c)
        return _worst_night(desk, now, species, felt_c, at)

    for key, stays in _stays(now, since_s).items():
        night = felt(now.yarded.nouns[key].species, stays)
        if night is not None:
            yield key, night


def _told_hours(now: Followed, since_s: float, until_s: float) -> NDArray[np.bool_]:
    """Return the hours between two moments whose warmth somebody told."""
    from_s, told = now.weather.rows.from_s, np.zeros_like(now.weather.rows.from_s, bool)
    for s in now.weather.stretches:
        if s.sort is not WeatherSort.NORMALS and "air_temperature_c" in s.quantities:
            told |= (from_s >= s.from_s) & (from_s < s.until_s)
    return told & (from_s >= since_s) & (from_s <= until_s)


def _air_on_c(desk: Desk, now: Followed, bench_key: str) -> Row:
    bench, rows = now.yarded.benches[bench_key], now.weather.rows
    shelter = desk.library().shelters[bench.exposure]
    here = rows_on_bench(rows, bench, shelter, now.yarded.spot)
    return np.asarray(np.median(np.atleast_2d(here.air_temperature_c), axis=0))


def _worst_night(
    desk: Desk, now: Followed, species: str, felt_c: Row, at: datetime
) -> ColdNight | None:
    """Return the last night under the line of harm; else under the floor, if any."""
    warmth = desk.library().species[species].warmth
    for line in (warmth.damage_below_c, warmth.warn_below_c):
        if (cold := felt_c < line.value).any():
            last_s = float(now.weather.rows.from_s[cold][-1])
            day = datetime.fromtimestamp(last_s, UTC).astimezone(at.tzinfo).date()
            near = np.abs(now.weather.rows.from_s - last_s) < NIGHT_S / 2
            return ColdNight(
                on=day,
                low_c=float(felt_c[near].min()),
                line_c=line.value,
                is_harmful=line is warmth.damage_below_c,
            )
    return None


def _stays(now: Followed, since_s: float) -> Mapping[str, tuple[Stay, ...]]:
    """Return on which benches of the yard each tree stood of late, and when."""
    nouns, lives = now.yarded.nouns, now.yarded.book.lives
    moved = [
        key
        for key in nouns
        if any(
            isinstance(e.facts, SetDown) and e.happened.timestamp() >= since_s
            for e in lives.get(key, ())
        )
    ]
    stays: dict[str, tuple[Stay, ...]] = {
        key: ((-np.inf, np.inf, noun.bench or ""),) for key, noun in nouns.items()
    }
    for key, stood in stands_of(now.yarded.events, moved).items():
        begins = [since.timestamp() for since, _ in stood]
        ends = [*begins[1:], np.inf]
        stays[key] = tuple(
            (from_s, until_s, bench)
            for from_s, until_s, (_, bench) in zip(begins, ends, stood, strict=True)
            if until_s > since_s and bench in now.yarded.benches
        )
    return stays

"""May: the verdict on a job, why, what must stay, what follows, and when better."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from typing import Final, Literal

from arbuscula.desk import Desk
from arbuscula.desk.cold_nights import look_again
from arbuscula.desk.job_views import Judgeable, judgeable
from arbuscula.desk.moments import zone_of
from arbuscula.desk.names import Known, known_from, label_of, meant
from arbuscula.desk.tree_years import Years, open_air, year_of, years_on
from arbuscula.kinds.library import Library
from arbuscula.kinds.place import Bench, Yard
from arbuscula.kinds.said import ArbusculaError, Figure, Said, Sentence
from arbuscula.kinds.species import Harm
from arbuscula.kinds.technique import (
    CAUTIONS,
    Judged,
    Phase,
    Reason,
    RootsKnown,
    Standing,
    Technique,
    Terms,
    Verdict,
    Vigour,
)
from arbuscula.kinds.values import Grade, Value
from arbuscula.ledger.book import all_events
from arbuscula.plan.aftercare import after_job
from arbuscula.rules.jobs import judge, most_likely
from arbuscula.rules.together import judge_together, visible_jobs
from arbuscula.rules.windows import next_dates, open_days
from arbuscula.state.book import PLANTS
from arbuscula.state.condition import called, terms_for
from arbuscula.state.years import YEAR_D, cycle_since
from arbuscula.strict.near import near_names
from arbuscula.strict.quote import plain

WEEK: Final = timedelta(days=7)
SEASONAL: Final = (
    "phase",
    "nights",
    "root warmth",
    "floor",
    "chill",
    "light",
    "season left",
    "frost",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Because:
    """One reason, with its figures and its ground."""

    said: Sentence
    figures: Mapping[str, Figure]
    grade: Grade
    source: str
    asks: str  # the question
    verdict: Verdict  # which way it points


@dataclass(frozen=True, slots=True, kw_only=True)
class PhaseTold:
    """The likeliest phase, and all of them."""

    name: Phase
    p: float
    shares: Mapping[str, float]
    moved: Said | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Limit:
    """What must stay at least, or may go at most."""

    value: float
    low: float
    high: float
    grade: Grade
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class CareTold:
    """A job that follows, with its dates."""

    job: Sentence
    from_: date
    to: date
    grade: Grade
    source: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Opens:
    """When it may be done next: in one year of ten by then, in five, in nine."""

    p10: date | None
    p50: date | None
    p90: date | None


@dataclass(frozen=True, slots=True, kw_only=True)
class VerdictTold:
    """The verdict on one job."""

    technique: str
    title: str
    verdict: Verdict
    because: tuple[Because, ...]
    keep: Mapping[str, Limit]
    aftercare: tuple[CareTold, ...]
    next: Opens | None
    cautions: tuple[Sentence, ...]
    tools: tuple[str, ...]
    work_min: Limit | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Together:
    """One verdict on all jobs at once."""

    verdict: Verdict
    because: tuple[Because, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Asks:
    """A job that the tree asks for itself."""

    technique: str
    said: Sentence


@dataclass(frozen=True, slots=True, kw_only=True)
class May:
    """The answer: whether these jobs may be done on a tree on a day."""

    schema: Literal["arbuscula.may/1"] = "arbuscula.may/1"
    tree: str
    label: str
    bench: str
    at: date
    phase: PhaseTold
    vigour: Vigour
    reserves_frac: float  # by the account
    roots: RootsKnown
    standing: tuple[Standing, ...]
    verdicts: tuple[VerdictTold, ...]
    together: Together
    visible: tuple[Asks, ...]
    again: Said | None  # it felt a cold night whose harm may not show yet


@dataclass(frozen=True, slots=True, kw_only=True)
class MayRow:
    """One tree of the nursery."""

    tree: str
    label: str
    bench: str
    verdict: Verdict
    because: Because | None  # the weightiest
    next: Opens | None


@dataclass(frozen=True, slots=True, kw_only=True)
class MayAll:
    """The answer: on which trees a job may be done on a day."""

    schema: Literal["arbuscula.may_all/1"] = "arbuscula.may_all/1"
    technique: str
    title: str
    at: date
    trees: tuple[MayRow, ...]  # yes first, then along the walk
    standing_nowhere: tuple[str, ...]  # trees on no bench: nothing is known there


def may(
    desk: Desk, tree: str, techniques: Sequence[str], *, on: date | None = None
) -> May:
    """Say whether some jobs may be done on a tree, each and all together."""
    library = desk.library()
    keys = techniques_from_words(techniques, library)
    known, on = _book_on(desk, on)
    name = meant(known, tree, *PLANTS).name
    bench = _bench_of(known, name)
    years = years_on(desk, bench.yard, known.yards[bench.yard], on)
    one = judgeable(years, known, name, bench)
    judged = [judged_on(years, known, one, key, bench) for key in keys]
    visible = tuple(visible_jobs(one.view, one.habit, library.care))
    jobs = [_job(library, key, one.view.group) for key in keys]
    waiting = [
        library.techniques[v.technique]
        for v in visible
        if v.technique in library.techniques
    ]
    together = judge_together(judged, jobs, waiting, one.view, library.care)
    return May(
        tree=name,
        label=label_of(known, name),
        bench=bench.name,
        at=on,
        phase=_phase(one),
        vigour=one.view.vigour,
        reserves_frac=one.view.reserves_frac,
        roots=one.view.roots,
        standing=one.view.standing,
        verdicts=tuple(_told(years, known, bench, one, j) for j in judged),
        together=Together(verdict=together.verdict, because=_because(together.because)),
        visible=tuple(
            Asks(technique=v.technique, said=Sentence((v.said,))) for v in visible
        ),
        again=_again(desk, name, known.yards[bench.yard], on),
    )


def _again(desk: Desk, name: str, yard: Yard, on: date) -> Said | None:
    """Say of today and of days to come that a cold night was felt lately."""
    at = desk.clock()
    if on < at.astimezone(zone_of(yard.timezone)).date():
        return None
    return look_again(desk, name, yard=yard.name, at=at)


def asked_for(desk: Desk, known: Known, name: str) -> tuple[VerdictTold, ...]:
    """Return the verdicts on what a tree asks for itself; on no bench none."""
    plant = known.book.kept.get(name)
    bench = known.benches.get((plant.bench or "") if plant else "")
    if bench is None or bench.yard not in known.yards:
        return ()
    yard = known.yards[bench.yard]
    on = desk.clock().astimezone(zone_of(yard.timezone)).date()
    years = years_on(desk, bench.yard, yard, on)
    one, library = judgeable(years, known, name, bench), desk.library()
    asked = [v.technique for v in visible_jobs(one.view, one.habit, library.care)]
    keys = [key for key in asked if key in library.techniques]
    return tuple(verdict_on(years, known, name, bench, key) for key in keys)


def verdict_on(
    years: Years, known: Known, name: str, bench: Bench, key: str
) -> VerdictTold:
    """Return the verdict on one job on one tree, alone."""
    one = judgeable(years, known, name, bench)
    judged = judged_on(years, known, one, key, bench)
    return _told(years, known, bench, one, judged)


def may_all(desk: Desk, technique: str, *, on: date | None = None) -> MayAll:
    """Say on which trees a job may be done."""
    library = desk.library()
    (key,) = techniques_from_words([technique], library)
    known, on = _book_on(desk, on)
    rows, nowhere, of_yard = [], [], dict[str, Years]()
    for name in _in_walking_order(known):
        plant = known.book.kept[name]
        bench = known.benches.get(plant.bench or "")
        if bench is None:
            nowhere.append(label_of(known, name))
            continue
        if bench.yard not in of_yard:
            yard = known.yards[bench.yard]
            of_yard[bench.yard] = years_on(desk, bench.yard, yard, on)
        years = of_yard[bench.yard]
        rows.append(_row(years, known, name, key, bench))
    return MayAll(
        technique=key,
        title=library.techniques[key].title,
        at=on,
        trees=tuple(sorted(rows, key=lambda row: [*Verdict].index(row.verdict))),
        standing_nowhere=tuple(nowhere),
    )


def _row(years: Years, known: Known, name: str, key: str, bench: Bench) -> MayRow:
    one = judgeable(years, known, name, bench)
    judged = judged_on(years, known, one, key, bench)
    because = _because(judged.because)
    return MayRow(
        tree=name,
        label=label_of(known, name),
        bench=bench.name,
        verdict=judged.verdict,
        because=because[0] if because else None,
        next=_next(years, bench, one, judged),
    )


def _in_walking_order(known: Known) -> Iterator[str]:
    """Yield all that are here, bench by bench, the benchless last."""
    orders = {
        key: (bench.order_n is None, bench.order_n or 0)
        for key, bench in known.benches.items()
    }
    walked = [
        name
        for key in sorted(orders, key=lambda key: orders[key])
        for name in known.book.benches.get(key, ())
        if name in known.book.kept
    ]
    yield from dict.fromkeys([*walked, *known.book.kept])


def techniques_from_words(words: Sequence[str], library: Library) -> tuple[str, ...]:
    """Return the keys of techniques by key, title or another word for them."""
    faults, keys = [], []
    for word in words:
        key = called(word, library.techniques)
        if key is None:
            known = [*library.techniques]
            near = ", ".join(near_names(word, known) or known)
            figures: dict[str, Figure] = {"found": plain(word), "near": near}
            faults.append(Said("may.unknown_technique", figures))
        else:
            keys.append(key)
    if faults:
        raise ArbusculaError(*faults)
    return tuple(dict.fromkeys(keys))


def _book_on(desk: Desk, on: date | None) -> tuple[Known, date]:
    """Return the book as of a day; of a day to come as it stands now."""
    events, now = all_events(desk.ledger()), desk.clock()
    known = known_from(events, now)
    zone = zone_of(next(iter(known.yards.values())).timezone) if known.yards else UTC
    today = now.astimezone(zone).date()
    if on is None or on >= today:
        return known, on or today
    past = known_from(events, datetime.combine(on, time.max, tzinfo=zone))
    yards = {**known.yards, **past.yards}  # of what was set up later than its trees
    benches = {**known.benches, **past.benches}
    return replace(past, yards=yards, benches=benches), on


def _bench_of(known: Known, name: str) -> Bench:
    plant = known.book.kept.get(name)
    if plant is None:
        figures: dict[str, Figure] = {"tree": label_of(known, name)}
        raise ArbusculaError(Said("may.gone", figures))
    bench = known.benches.get(plant.bench or "")
    if bench is None:
        raise ArbusculaError(Said("may.no_bench", {"tree": label_of(known, name)}))
    return bench


def judged_on(
    years: Years, known: Known, one: Judgeable, key: str, bench: Bench
) -> Judged:
    """Return the verdict on one job; moving out is judged by the open air."""
    library = years.desk.library()
    technique, terms = _job(library, key, one.view.group)
    if technique.judged_outside:
        one = judgeable(years, known, one.view.key, bench, outside=True)
    return judge(key, technique, terms, one.view, library.care)


def _job(library: Library, key: str, group: str) -> tuple[Technique, Terms | None]:
    technique = library.techniques[key]
    return technique, terms_for(technique, group)


def _phase(one: Judgeable) -> PhaseTold:
    known = one.view.phase
    likely = most_likely(known.shares)
    return PhaseTold(
        name=likely,
        p=known.shares[likely],
        shares={phase.value: share for phase, share in known.shares.items()},
        moved=known.moved,
    )


def _because(reasons: Sequence[Reason]) -> tuple[Because, ...]:
    return tuple(
        Because(
            said=Sentence((reason.said,)),
            figures=reason.said.figures,
            grade=reason.grade,
            source=reason.source,
            asks=reason.asks,
            verdict=reason.verdict,
        )
        for reason in reasons
    )


def _told(
    years: Years, known: Known, bench: Bench, one: Judgeable, judged: Judged
) -> VerdictTold:
    library = years.desk.library()
    technique, terms = _job(library, judged.technique, one.view.group)
    noun, phase = known.book.kept[one.view.key], most_likely(one.view.phase.shares)
    crown = noun.crown or "medium"
    refused = judged.verdict is Verdict.NO
    follows = after_job(judged.technique, technique, one.view.group, phase, one.view.on)
    minutes = (technique.work_min or {}).get(crown)
    return VerdictTold(
        technique=judged.technique,
        title=technique.title,
        verdict=judged.verdict,
        because=_because(judged.because),
        keep={} if terms is None or refused else dict(_keep(terms, phase)),
        aftercare=()
        if refused
        else tuple(
            CareTold(
                job=Sentence((f.job,)),
                from_=f.from_,
                to=f.to,
                grade=f.grade,
                source=f.source,
            )
            for f in sorted(follows, key=lambda f: (f.from_, f.to))
        ),
        next=_next(years, bench, one, judged),
        cautions=tuple(
            Sentence((said,))
            for said in (
                *_cautions(library, technique, terms, noun.species, phase),
                *_for_sale(technique, one),
            )
        ),
        tools=technique.tools,
        work_min=_limit(minutes) if minutes else None,
    )


def _limit(value: Value) -> Limit:
    return Limit(
        value=value.value,
        low=value.low,
        high=value.high,
        grade=value.grade,
        source=value.source,
    )


def _keep(terms: Terms, phase: Phase) -> Iterator[tuple[str, Limit]]:
    """Yield what must stay at least and what may go at most, in this phase."""
    told = {
        "leaves_left_on_each_shoot_n": (terms.keep_leaves_n or {}).get(phase),
        "most_crown_off_frac": terms.most_crown_frac,
        "most_roots_off_frac": terms.most_roots_frac,
        "of_usual_strength_frac": (terms.dose_frac or {}).get(phase),
    }
    yield from ((name, _limit(value)) for name, value in told.items() if value)


def _next(years: Years, bench: Bench, one: Judgeable, judged: Judged) -> Opens | None:
    """Return when season and rest allow it next; None: now, or never."""
    library = years.desk.library()
    if judged.verdict is not Verdict.NOT_YET:
        return None
    technique, terms = _job(library, judged.technique, one.view.group)
    if terms is None:
        return None
    since = _earliest(library, one, judged)
    if since - one.view.on <= WEEK and not _out_of_season(judged):
        return Opens(p10=since, p50=since, p90=since)
    year = one.year
    if technique.judged_outside:
        year = year_of(years, open_air(bench), one.key, one.habit)
    opens = open_days(terms, year, one.species.warmth, library.care)
    p10, p50, p90 = next_dates(opens, since)
    return Opens(p10=p10, p50=p50, p90=p90)


def _out_of_season(judged: Judged) -> bool:
    against = (r for r in judged.because if r.verdict is not Verdict.YES)
    return any(reason.asks in SEASONAL for reason in against)


def _earliest(library: Library, one: Judgeable, judged: Judged) -> date:
    """Return the day before which rest, or a big job, still stands in the way."""
    against = [r for r in judged.because if r.verdict is Verdict.NOT_YET]
    on = one.view.on
    days = [r.until for r in against if r.until]
    if _out_of_season(judged):
        days.append(on + timedelta(days=1))
    if any(r.asks == "one big job" for r in against):
        days.append(_next_cycle(library, one))
    return max([on, *days])


def _next_cycle(library: Library, one: Judgeable) -> date:
    """Return the week in which the last big job belongs to another growth."""
    last = max(job.on for job in one.view.done if job.is_big)
    cycle = library.care.cycle_frac.value
    day = one.view.on
    while (day - one.view.on).days < 2 * YEAR_D:
        if cycle_since(one.year, day, cycle) > last:
            return day
        day += WEEK
    return day


def _cautions(
    library: Library,
    technique: Technique,
    terms: Terms | None,
    species: str,
    phase: Phase,
) -> Iterator[Said]:
    """Yield the usual cautions, and what is known of the species' poisons."""
    known = library.species.get(species)
    harm = known.harm if known else None
    phased = ((terms and terms.cautions_in) or {}).get(phase, ())
    own = (*technique.cautions, *(terms.cautions if terms else ()), *phased)
    for caution in dict.fromkeys(own):
        if caution == "toxic_leaves":
            yield toxicity_said(harm)
        elif caution == "sap":
            if harm and harm.latex:
                yield Said("caution.sap", {})
            if harm and harm.burns_in_sun:
                yield Said("caution.sap_and_sun", {})
        elif caution in CAUTIONS:
            yield Said(f"caution.{caution}", {})
        else:
            yield Said("caution.own", {"found": caution})


def _for_sale(technique: Technique, one: Judgeable) -> Iterator[Said]:
    if technique.is_big and Standing.FOR_SALE in one.view.standing:
        yield Said("caution.for_sale", {})


def toxicity_said(harm: Harm | None) -> Said:
    """Return one of four states; what no list has is never called safe."""
    state = harm.toxicity if harm else "not listed"
    key = state.replace("-", "_").replace(" ", "_")
    return Said(f"toxicity.{key}", {})

"""Condition: what a tree's life says of its reserves, its roots and its growth."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from datetime import date, timedelta
from itertools import pairwise
from typing import Final, TypeVar

import numpy as np

from arbuscula.kinds.events import (
    BudsSwelling,
    Checked,
    Defoliated,
    Event,
    FlushHardened,
    Found,
    Grafted,
    IntoHospital,
    IntoQuarantine,
    LeavesDropping,
    Measured,
    OutOfHospital,
    OutOfQuarantine,
    PercolationTimed,
    PestSeen,
    Priced,
    Pruned,
    Received,
    Repotted,
    Reserved,
    Returned,
    RootsInspected,
    SlipPotted,
    Sold,
    Unwired,
    WireChecked,
    Wired,
)
from arbuscula.kinds.said import Said
from arbuscula.kinds.technique import (
    CareFigures,
    Done,
    Habit,
    Phase,
    PhaseKnown,
    RootsKnown,
    Standing,
    Technique,
    Terms,
    Vigour,
)
from arbuscula.kinds.values import Spread
from arbuscula.kinds.world import Curve
from arbuscula.science.phase import SLOWING, seen_shares_frac
from arbuscula.science.reserves import reserves_frac
from arbuscula.science.roots import root_fill_frac
from arbuscula.science.vigour import standstill_frac
from arbuscula.state.years import TreeYear, growth_y, place_of

ANY: Final = "any"
Facts = TypeVar("Facts")
LEAST_MEASURES_N: Final = 3
SEEN_OF_LATE: Final = timedelta(days=182)  # whatever grew; no sign outlives half a year
POTTED: Final = (Repotted, SlipPotted)
NEW_SHOOTS: Final = (BudsSwelling, FlushHardened)


# Jobs


def terms_for(technique: Technique, group: str) -> Terms | None:
    """Return the terms on which a group bears a technique; None: nobody knows."""
    for terms in technique.terms:
        if group in terms.groups or ANY in terms.groups:
            return terms
    return None


def technique_of(event: Event, techniques: Mapping[str, Technique]) -> str | None:
    """Return the technique that an event tells of, if it is one."""
    facts = event.facts
    if isinstance(facts, Pruned):
        return called(facts.technique, techniques) or "trim"
    removed = getattr(facts, "removed_frac", None)
    way = facts.way if isinstance(facts, Grafted) else ""
    for key, technique in techniques.items():
        told = technique.recorded
        if told is None or told.kind != event.kind:
            continue
        if told.ways and way not in told.ways:
            continue
        if removed is None or _within(removed, told.least_frac, told.most_frac):
            return key
    return None


def _within(removed: float, least: float, most: float) -> bool:
    return least <= removed < most or (most >= 1 and removed >= least)


def called(words: str, techniques: Mapping[str, Technique]) -> str | None:
    """Return the key of a technique by its key, its title or another word for it."""
    if words in techniques:
        return words
    wanted = _alike(words)
    for key, technique in techniques.items():
        if wanted in map(_alike, (key, technique.title, *technique.names)):
            return key
    return None


def _alike(words: str) -> str:
    return " ".join(words.casefold().replace("-", " ").replace("_", " ").split())


def jobs_done(
    life: Sequence[Event], techniques: Mapping[str, Technique], group: str
) -> Iterator[Done]:
    """Yield the jobs of a life, in order."""
    for event in life:
        key = technique_of(event, techniques)
        if key is None or key not in techniques:
            continue
        technique = techniques[key]
        terms = terms_for(technique, group)
        cost = terms.cost_frac if terms else None
        yield Done(
            technique=key,
            strain=technique.strain,
            is_big=technique.is_big,
            cost_frac=(cost.value if cost else 0.0) * _share_done(event),
            on=event.happened.date(),
        )


def _share_done(event: Event) -> float:
    """Return how much of a defoliation was done."""
    facts = event.facts
    return facts.removed_frac if isinstance(facts, Defoliated) else 1.0


def _told(life: Iterable[Event], kind: type[Facts]) -> list[tuple[Event, Facts]]:
    """Return the events of one kind, each with its facts."""
    return [(event, event.facts) for event in life if isinstance(event.facts, kind)]


# Standing and signs


def standing_of(life: Sequence[Event]) -> tuple[Standing, ...]:
    """Return what a tree is beside growing: ill, kept apart, promised, another's."""
    found: dict[Standing, bool] = {}
    for event in life:
        match event.facts:
            case IntoHospital() | OutOfHospital():
                found[Standing.HOSPITAL] = isinstance(event.facts, IntoHospital)
            case IntoQuarantine() | OutOfQuarantine():
                found[Standing.QUARANTINE] = isinstance(event.facts, IntoQuarantine)
            case Priced():
                found[Standing.FOR_SALE] = True
            case Reserved():
                found[Standing.RESERVED] = True
            case Sold():
                found |= {Standing.SOLD: True, Standing.RESERVED: False}
            case Returned():
                found |= dict.fromkeys((Standing.SOLD, Standing.RESERVED), False)
            case Received(how=how):
                found[Standing.BOARDED] = how == "boarded"
    return tuple(standing for standing in Standing if found.get(standing))


def is_dropping(life: Sequence[Event], on: date, care: CareFigures) -> bool:
    """Return whether many leaves fell of late, and no new ones were seen since."""
    drops = [event for event, facts in _told(life, LeavesDropping) if facts.many]
    return bool(drops) and _counts(drops[-1], on, care) and not _new_since(life, drops)


def _new_since(life: Sequence[Event], before: Sequence[Event]) -> bool:
    shoots = (e for e in life if isinstance(e.facts, NEW_SHOOTS))
    return any(e.happened > before[-1].happened for e in shoots)


def _counts(event: Event, on: date, care: CareFigures) -> bool:
    """Return whether a sign is still young enough to count."""
    return on - event.happened.date() <= timedelta(days=care.signs_d.value)


def wired_since(life: Sequence[Event]) -> date | None:
    """Return since when the oldest wire has been on."""
    zones: dict[str, date] = {}
    for event in life:
        if isinstance(event.facts, Wired):
            zones.setdefault(event.facts.zone, event.happened.date())
        elif isinstance(event.facts, Unwired):
            zone = event.facts.zone
            zones = {z: day for z, day in zones.items() if zone and z != zone}
    return min(zones.values(), default=None)


def is_biting(life: Sequence[Event]) -> bool:
    """Return whether wire that is on was last found to bite."""
    told = [e.facts for e in life if isinstance(e.facts, WireChecked | Wired | Unwired)]
    last = told[-1] if told else None
    return isinstance(last, WireChecked) and last.bite_n > 0


def leaves_on_a_shoot_n(life: Sequence[Event]) -> float | None:
    """Return how many leaves a shoot had when they were last counted."""
    counts = [
        facts.reading.value
        for _, facts in _told(life, Measured)
        if facts.reading.quantity == "leaves_n"
    ]
    return counts[-1] if counts else None


# Roots


def roots_known(
    life: Sequence[Event],
    on: date,
    year: TreeYear | None,
    habit: Habit,
    care: CareFigures,
) -> RootsKnown:
    """Return how far roots fill the pot, as season and inspections tell together."""
    soils = [e for e in life if isinstance(e.facts, POTTED)]
    since = soils[-1].happened.date() if soils else None
    after = [e for e in life if not soils or e.happened > soils[-1].happened]
    looks = _told(after, RootsInspected)
    event, seen = looks[-1] if looks else (None, None)
    slow = _is_slow(after, care)
    fill = _fill(soils, looks, on, year, habit, care) if year else None
    return RootsKnown(
        fill_frac=_filled_if(fill, care, slow=slow),
        seen=event.happened.date() if event else None,
        covered_frac=seen.covered_frac if seen else None,
        looks=seen.looks if seen else None,
        slow=slow,
        since=since,
    )


def _fill(
    soils: Sequence[Event],
    looks: Sequence[tuple[Event, RootsInspected]],
    on: date,
    year: TreeYear,
    habit: Habit,
    care: CareFigures,
) -> Spread | None:
    covered = [
        (event.happened.date(), seen.covered_frac)
        for event, seen in looks
        if seen.covered_frac is not None
    ]
    if not covered and not soils:
        return None
    begun_on, begun = covered[-1] if covered else _begun(soils[-1], care)
    fills_y = np.array([habit.fills_y.high, habit.fills_y.value, habit.fills_y.low])
    low, middle, high = np.asarray(
        root_fill_frac(
            begun_frac=begun,
            growth_y=growth_y(year, begun_on, on),
            fills_y=fills_y,
            filled_frac=care.filled_frac.value,
        )
    )
    return Spread(p10=float(low), p50=float(middle), p90=float(high))


def _filled_if(fill: Spread | None, care: CareFigures, *, slow: bool) -> Spread | None:
    """Return a filling; where water stands the pot is most likely full."""
    if fill is None or not slow:
        return fill
    full = care.filled_frac.value
    return Spread(p10=fill.p10, p50=max(fill.p50, full), p90=max(fill.p90, full))


def _begun(event: Event, care: CareFigures) -> tuple[date, float]:
    """Return when the soil was new, and how far roots filled it then."""
    is_whole = isinstance(event.facts, Repotted)
    return event.happened.date(), 0.0 if is_whole else care.slip_frac.value


def _is_slow(after: Sequence[Event], care: CareFigures) -> bool:
    """Return whether water stood when it was last poured."""
    slow = False
    for event in after:
        match event.facts:
            case PercolationTimed(time_s=time_s):
                slow = time_s >= care.slow_s.value
            case Checked(found=Found.DRAINS_SLOWLY):
                slow = True
            case Checked(found=Found.RAN_STRAIGHT_THROUGH):
                slow = False
    return slow


# Reserves and vigour


def reserves_of(
    life: Sequence[Event],
    done: Sequence[Done],
    on: date,
    year: TreeYear,
    care: CareFigures,
) -> float:
    """Return what a tree has left of its reserves, by jobs, stress and growth."""
    draws = sorted(
        [(job.on, job.cost_frac) for job in done if job.cost_frac]
        + [(e.happened.date(), draw) for e in life if (draw := _stress(e, care))]
    )
    days = [day for day, _ in draws]
    gaps = [growth_y(year, since, until) for since, until in pairwise([*days, on])]
    return reserves_frac(
        np.array([draw for _, draw in draws]),
        np.array(gaps),
        refill_y=care.refill_frac.value,
    )


def _stress(event: Event, care: CareFigures) -> float:
    match event.facts:
        case LeavesDropping(many=True):
            return care.drop_frac.value
        case IntoHospital():
            return care.illness_frac.value
        case PestSeen():
            return care.pest_frac.value
    return 0.0


def vigour_of(
    life: Sequence[Event], on: date, year: TreeYear, care: CareFigures
) -> Vigour:
    """Return how well it grows: seen, measured, or not to be told."""
    if _in_distress(life, on, care):
        return Vigour.WEAK
    if _is_stalled(life, year, care):
        return Vigour.STALLED
    seen = [e for e in life if isinstance(e.facts, NEW_SHOOTS)]
    grown = growth_y(year, seen[-1].happened.date(), on) if seen else np.inf
    return Vigour.GOOD if grown <= _cycle_y(year, care) else Vigour.UNKNOWN


def _cycle_y(year: TreeYear, care: CareFigures) -> float:
    """Return how much growth three flushes take: so long a sign of vigour counts."""
    whole = max(float(year.growth_c.sum()), 1e-9)
    flush = care.waking_c_d.value + care.flush_c_d.value + care.hardened_c_d.value
    return float(min(3 * flush / whole, care.cycle_frac.value))


def _in_distress(life: Sequence[Event], on: date, care: CareFigures) -> bool:
    signs = [e for e in life if _is_distress(e)]
    ill = Standing.HOSPITAL in standing_of(life)
    if ill or not signs:
        return ill
    return _counts(signs[-1], on, care) and not _new_since(life, signs)


def _is_distress(event: Event) -> bool:
    match event.facts:
        case LeavesDropping(many=True) | IntoHospital() | PestSeen():
            return True
        case Checked(found=Found.NOT_RIGHT | Found.LOOSE):
            return True
        case RootsInspected(looks="rotting" | "few"):
            return True
    return False


def _is_stalled(life: Sequence[Event], year: TreeYear, care: CareFigures) -> bool:
    """Return whether the trunk most likely stood still since the roots were seen."""
    began = [e for e in life if isinstance(e.facts, RootsInspected | Repotted)]
    told = [
        (event.happened.date(), facts.reading)
        for event, facts in _told(life, Measured)
        if facts.reading.quantity == "trunk_mm"
        if not began or event.happened > began[-1].happened
    ]
    if len(told) < LEAST_MEASURES_N:
        return False
    grown = np.array([growth_y(year, told[0][0], day) for day, _ in told])
    chance = standstill_frac(
        grown,
        np.array([reading.value for _, reading in told]),
        error_mm=told[-1][1].standard_error or care.caliper_mm.value,
        usual_mm=care.usual_growth_mm.value,
        spread_mm=care.usual_growth_mm.value,
        least_mm=care.least_growth_mm.value,
    )
    return chance >= care.stalled_frac.value


# Phase


def phase_known(
    life: Sequence[Event],
    on: date,
    year: TreeYear,
    care: CareFigures,
    *,
    holds: Said | None,
) -> PhaseKnown:
    """Return the phase: by season and light, moved by what somebody saw.

    What was seen counts only while light, nights and roots let it grow; `holds`
    says which of them does not.
    """
    inferred = year.shares[:, place_of(on)].mean(axis=0)
    seen = [e for e in life if isinstance(e.facts, (*NEW_SHOOTS, LeavesDropping))]
    told = [e for e in seen if _moves(e, on, year, care)]
    if not told:
        return PhaseKnown(shares=_shares(inferred))
    event = told[-1]
    if holds is not None and not isinstance(event.facts, LeavesDropping):
        return PhaseKnown(shares=_shares(inferred), moved=holds)
    trust = care.seen_frac.value
    shares = trust * _seen(event, on, year, care) + (1 - trust) * inferred
    said = Said(
        "phase.seen", {"kind": event.kind, "since": f"{event.happened:%Y-%m-%d}"}
    )
    return PhaseKnown(shares=_shares(shares), moved=said)


def _moves(event: Event, on: date, year: TreeYear, care: CareFigures) -> bool:
    """Return whether what was seen still says something of the phase."""
    facts, day = event.facts, event.happened.date()
    if isinstance(facts, LeavesDropping):
        return facts.many and _counts(event, on, care)
    return on - day <= SEEN_OF_LATE and _grown_within(year, day, on, care)


def _grown_within(year: TreeYear, since: date, on: date, care: CareFigures) -> bool:
    """Return whether no more than two flushes have grown since then."""
    return growth_y(year, since, on) <= _cycle_y(year, care) * 2 / 3


def _seen(event: Event, on: date, year: TreeYear, care: CareFigures) -> Curve:
    if isinstance(event.facts, LeavesDropping):
        shares = np.zeros(len(Phase))
        shares[SLOWING] = 1.0
        return shares
    whole = float(year.growth_c.sum())
    grown = growth_y(year, event.happened.date(), on) * whole
    is_hard = isinstance(event.facts, FlushHardened)
    return seen_shares_frac(grown, is_hard=is_hard, year_c_d=whole, figures=care)


def _shares(told: Curve) -> dict[Phase, float]:
    return {phase: float(told[n]) for n, phase in enumerate(Phase)}

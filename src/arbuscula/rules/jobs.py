"""Rules about jobs: the questions asked of every technique on every tree.

A technique's own file says what it needs; here stands only what is asked. Shares,
reserves and counts may forbid; what permits is the phase, the nights and what
somebody saw.
"""

from collections.abc import Iterator, Mapping
from datetime import timedelta
from typing import Final

from arbuscula.kinds.said import Figure, Said
from arbuscula.kinds.technique import (
    CareFigures,
    Done,
    JobView,
    Judged,
    Phase,
    Question,
    Reason,
    Technique,
    Terms,
    Verdict,
    Vigour,
)
from arbuscula.kinds.values import Grade, Value

BOLDEST_FIRST: Final = (*Verdict,)
HEALTHY: Final = ("healthy", "circling")
DAYS_OF_YEAR_D: Final = 365


def judge(
    key: str,
    technique: Technique,
    terms: Terms | None,
    tree: JobView,
    care: CareFigures,
) -> Judged:
    """Return the verdict on one job, with every reason; those against it first."""
    if terms is None:
        said = Said("may.unknown_group", {"technique": technique.title})
        reasons = [_own("terms", Verdict.NO, said)]
    else:
        reasons = [r for q in QUESTIONS for r in q.check(technique, terms, tree, care)]
    reasons.sort(key=lambda r: -BOLDEST_FIRST.index(r.verdict))
    return Judged(
        technique=key,
        verdict=worst(r.verdict for r in reasons),
        because=tuple(reasons),
    )


def worst(verdicts: Iterator[Verdict]) -> Verdict:
    """Return the least bold of some verdicts."""
    return max(verdicts, key=BOLDEST_FIRST.index, default=Verdict.YES)


def _own(asks: str, verdict: Verdict, said: Said) -> Reason:
    return Reason(
        asks=asks,
        verdict=verdict,
        said=said,
        source="arbuscula",
        grade=Grade.ASSUMED,
    )


def _of_terms(
    asks: str, verdict: Verdict, said: Said, technique: Technique, terms: Terms
) -> Reason:
    return Reason(
        asks=asks,
        verdict=verdict,
        said=said,
        source=terms.source or technique.source,
        grade=terms.grade or technique.grade,
    )


def _over(
    asks: str, value: Value, found: float, messages: tuple[str, str], name: str
) -> Reason:
    """Return whether what was found is at or above a line of the terms."""
    holds = found >= value.value
    figures: dict[str, Figure] = {name: found, f"line_{_unit(name)}": value.value}
    return Reason(
        asks=asks,
        verdict=Verdict.YES if holds else Verdict.NOT_YET,
        said=Said(messages[not holds], figures),
        source=value.source,
        grade=value.grade,
    )


def _unit(name: str) -> str:
    return name.partition("_")[2]


def _never(
    technique: Technique, terms: Terms, _tree: JobView, _care: CareFigures
) -> Iterator[Reason]:
    if terms.never:
        said = Said(f"never.{terms.never}", {})
        yield _of_terms("never", Verdict.NO, said, technique, terms)


def _standing(
    technique: Technique, _terms: Terms, tree: JobView, _care: CareFigures
) -> Iterator[Reason]:
    for standing in tree.standing:
        if standing in technique.bars:
            said = Said("may.barred", {"standing": standing.value})
            yield _of_terms("standing", Verdict.NO, said, technique, _terms)
        elif standing in technique.waits:
            said = Said("may.waits", {"standing": standing.value})
            yield _of_terms("standing", Verdict.NOT_YET, said, technique, _terms)


def _phase(
    technique: Technique, terms: Terms, tree: JobView, care: CareFigures
) -> Iterator[Reason]:
    if not terms.phases:
        return
    shares = tree.phase.shares
    fits_frac = sum(shares[phase] for phase in terms.phases)
    likely = max(shares, key=lambda phase: shares[phase])
    holds = fits_frac >= care.sure_frac.value
    figures: dict[str, Figure] = {
        "phases": ", ".join(terms.phases),
        "fits_frac": fits_frac,
        "phase": likely.value,
        "phase_frac": shares[likely],
        "sure_frac": care.sure_frac.value,
    }
    said = Said("may.phase_fits" if holds else "may.phase_not", figures)
    verdict = Verdict.YES if holds else Verdict.NOT_YET
    yield _of_terms("phase", verdict, said, technique, terms)


def _warmth(
    _technique: Technique, terms: Terms, tree: JobView, _care: CareFigures
) -> Iterator[Reason]:
    if terms.night_c:
        messages = ("may.nights_stay", "may.nights_cool")
        yield _over("nights", terms.night_c, tree.night_c, messages, "night_c")
    if terms.root_c:
        messages = ("may.roots_warm", "may.roots_cold")
        yield _over("root warmth", terms.root_c, tree.root_c, messages, "root_c")


def _floor(
    technique: Technique, terms: Terms, tree: JobView, _care: CareFigures
) -> Iterator[Reason]:
    if "nights above its floor" not in terms.needs:
        return
    holds = min(tree.night_c, tree.coldest_c) >= tree.floor_c
    figures: dict[str, Figure] = {
        "night_c": tree.night_c,
        "coldest_c": tree.coldest_c,
        "floor_c": tree.floor_c,
    }
    said = Said("may.above_floor" if holds else "may.below_floor", figures)
    verdict = Verdict.YES if holds else Verdict.NOT_YET
    yield _of_terms("floor", verdict, said, technique, terms)


def _chilled(
    technique: Technique, terms: Terms, tree: JobView, _care: CareFigures
) -> Iterator[Reason]:
    """Ask after cold, of kinds that want it; little of it is enough for a yes."""
    if "chilled" not in terms.needs or not tree.chill_least_h:
        return
    holds = tree.chill_h >= tree.chill_least_h
    figures: dict[str, Figure] = {
        "cold_h": tree.chill_h,
        "line_h": tree.chill_least_h,
    }
    said = Said("may.chilled" if holds else "may.not_chilled", figures)
    verdict = Verdict.YES if holds else Verdict.NOT_YET
    yield _of_terms("chill", verdict, said, technique, terms)


def _shade(
    _technique: Technique, terms: Terms, tree: JobView, _care: CareFigures
) -> Iterator[Reason]:
    """Ask for three weeks of shade or none; a cold night asks for nothing."""
    dose = terms.shade_d
    if dose is None:
        return
    shaded_d = tree.shaded_d or 0.0
    cold = tree.coldest_c < tree.floor_c
    holds = cold or shaded_d <= 0 or shaded_d >= dose.value
    figures: dict[str, Figure] = {"shaded_d": shaded_d, "line_d": dose.value}
    said = Said("may.shade_done" if holds else "may.shade_short", figures)
    if cold:
        figures = {"coldest_c": tree.coldest_c, "floor_c": tree.floor_c}
        said = Said("may.cold_overrides", figures)
    yield Reason(
        asks="shade",
        verdict=Verdict.YES if holds else Verdict.NOT_YET,
        said=said,
        source=dose.source,
        grade=dose.grade,
        until=None if holds else tree.on + timedelta(days=dose.value - shaded_d),
    )


def _light(
    _technique: Technique, terms: Terms, tree: JobView, _care: CareFigures
) -> Iterator[Reason]:
    if terms.light_mol_m2_d:
        messages = ("may.bright", "may.dark")
        found, name = tree.light_mol_m2_d, "light_mol_m2_d"
        yield _over("light", terms.light_mol_m2_d, found, messages, name)


def _season_left(
    _technique: Technique, terms: Terms, tree: JobView, _care: CareFigures
) -> Iterator[Reason]:
    if terms.growth_left_frac:
        messages = ("may.season_left", "may.season_short")
        found, name = tree.growth_left_frac, "left_frac"
        yield _over("season left", terms.growth_left_frac, found, messages, name)
    if terms.frost_free_d:
        messages = ("may.frost_free", "may.frost_near")
        found = tree.frost_free_d
        yield _over("frost", terms.frost_free_d, found, messages, "free_d")


def _vigour(
    technique: Technique, terms: Terms, tree: JobView, _care: CareFigures
) -> Iterator[Reason]:
    if "vigorous" not in terms.needs:
        return
    verdict, message_id = VIGOUR[tree.vigour]
    yield _of_terms("vigour", verdict, Said(message_id, {}), technique, terms)


VIGOUR: Final[Mapping[Vigour, tuple[Verdict, str]]] = {
    Vigour.GOOD: (Verdict.YES, "may.vigour_good"),
    Vigour.UNKNOWN: (Verdict.NOT_YET, "may.vigour_unknown"),
    Vigour.STALLED: (Verdict.NO, "may.vigour_stalled"),
    Vigour.WEAK: (Verdict.NO, "may.vigour_weak"),
}


def _leaves(
    technique: Technique, terms: Terms, tree: JobView, _care: CareFigures
) -> Iterator[Reason]:
    if "leaves stay" in terms.needs and tree.dropping:
        said = Said("may.dropping", {})
        yield _of_terms("leaf drop", Verdict.NOT_YET, said, technique, terms)
    if terms.leaves_n is None:
        return
    if tree.leaves_n is not None:
        messages = ("may.leaves_enough", "may.leaves_few")
        found = tree.leaves_n
        yield _over("leaves", terms.leaves_n, found, messages, "leaves_n")
        return
    said = Said("may.leaves_uncounted", {"leaves_n": terms.leaves_n.value})
    yield _of_terms("leaves", Verdict.YES, said, technique, terms)


def _roots_seen(
    technique: Technique, terms: Terms, tree: JobView, care: CareFigures
) -> Iterator[Reason]:
    roots = tree.roots
    if "drains freely" in terms.needs and roots.slow:
        said = Said("may.drains_slowly", {})
        yield _of_terms("drainage", Verdict.NOT_YET, said, technique, terms)
    if "roots seen healthy" not in terms.needs:
        return
    fresh = timedelta(days=care.fresh_look_d.value)
    if roots.seen is None or tree.on - roots.seen > fresh or roots.looks is None:
        verdict, said = Verdict.NOT_YET, Said("may.roots_unseen", {})
    elif roots.looks in HEALTHY:
        figures: dict[str, Figure] = {"seen": f"{roots.seen}", "looks": roots.looks}
        verdict, said = Verdict.YES, Said("may.roots_healthy", figures)
    else:
        figures = {"seen": f"{roots.seen}", "looks": roots.looks}
        verdict, said = Verdict.NO, Said("may.roots_sick", figures)
    yield _of_terms("roots", verdict, said, technique, terms)


def _roots_due(
    technique: Technique, terms: Terms, tree: JobView, care: CareFigures
) -> Iterator[Reason]:
    if "roots due" in terms.needs:
        verdict, said = _due(tree, care)
        yield Reason(
            asks="roots due",
            verdict=verdict,
            said=said,
            source=care.due_frac.source,
            grade=care.due_frac.grade,
        )
    if "roots rotting" in terms.needs:
        rots = tree.roots.looks == "rotting"
        said = Said("may.rotting" if rots else "may.not_rotting", {})
        verdict = Verdict.YES if rots else Verdict.NO
        yield _of_terms("rot", verdict, said, technique, terms)


def _due(tree: JobView, care: CareFigures) -> tuple[Verdict, Said]:
    """Return whether the roots ask for it: by what was seen, never by years."""
    roots, line = tree.roots, care.due_frac.value
    if roots.looks == "rotting":
        return Verdict.NOT_YET, Said("may.rots_out_of_season", {})
    if roots.seen is None:
        return Verdict.NOT_YET, Said("may.look_first", {})
    covered = roots.covered_frac
    figures: dict[str, Figure] = {"seen": f"{roots.seen}", "line_frac": line}
    if covered is not None:
        figures |= {"covered_frac": covered}
        if covered >= line:
            return Verdict.YES, Said("may.roots_cover", figures)
    if roots.looks == "circling" or roots.slow:
        return Verdict.YES, Said("may.roots_circle", {"seen": f"{roots.seen}"})
    if covered is None:
        return Verdict.NOT_YET, Said("may.roots_not_told", {"seen": f"{roots.seen}"})
    return Verdict.NOT_YET, Said("may.roots_open", figures)


def _wired(
    technique: Technique, terms: Terms, tree: JobView, _care: CareFigures
) -> Iterator[Reason]:
    if "wired" in terms.needs:
        on = tree.wired is not None
        figures: dict[str, Figure] = {"since": f"{tree.wired}"} if on else {}
        said = Said("may.wired" if on else "may.not_wired", figures)
        verdict = Verdict.YES if on else Verdict.NO
        yield _of_terms("wire", verdict, said, technique, terms)
    if "wire off" in terms.needs and tree.wired is not None:
        said = Said("may.wire_on", {"since": f"{tree.wired}"})
        yield _of_terms("wire", Verdict.NOT_YET, said, technique, terms)


def _rests(
    _technique: Technique, terms: Terms, tree: JobView, _care: CareFigures
) -> Iterator[Reason]:
    last = {job.strain: job for job in tree.done}
    for strain, value in (terms.rest_d or {}).items():
        job = last.get(strain)
        if job is None:
            continue
        until = job.on + timedelta(days=value.value)
        if until > tree.on:
            yield _resting(job, value)


def _resting(job: Done, value: Value) -> Reason:
    until = job.on + timedelta(days=value.value)
    figures: dict[str, Figure] = {
        "technique": job.technique,
        "since": f"{job.on}",
        "rest_d": value.value,
        "until": f"{until}",
    }
    return Reason(
        asks="rest",
        verdict=Verdict.NOT_YET,
        said=Said("may.rests", figures),
        source=value.source,
        grade=value.grade,
        until=until,
    )


def _one_big(
    technique: Technique, terms: Terms, tree: JobView, _care: CareFigures
) -> Iterator[Reason]:
    if not technique.is_big:
        return
    before = [job for job in tree.done if job.is_big and job.on >= tree.cycle_since]
    if before:
        last = before[-1]
        figures: dict[str, Figure] = {
            "technique": last.technique,
            "since": f"{last.on}",
        }
        said = Said("may.one_big", figures)
        yield _of_terms("one big job", Verdict.NOT_YET, said, technique, terms)


def _crowded(
    _technique: Technique, terms: Terms, tree: JobView, care: CareFigures
) -> Iterator[Reason]:
    if not terms.cost_frac:
        return
    lately = costly_of_late(tree, care)
    if len(lately) >= care.crowded_n.value:
        figures: dict[str, Figure] = {
            "done_n": float(len(lately)),
            "within_d": care.crowded_d.value,
            "techniques": ", ".join(job.technique for job in lately),
        }
        first = lately[-int(care.crowded_n.value)]
        yield Reason(
            asks="crowded",
            verdict=Verdict.NO,
            said=Said("may.crowded", figures),
            source=care.crowded_n.source,
            grade=care.crowded_n.grade,
            until=first.on + timedelta(days=care.crowded_d.value),
        )


def costly_of_late(tree: JobView, care: CareFigures) -> tuple[Done, ...]:
    """Return the jobs of the last month that cost the tree something."""
    since = tree.on - timedelta(days=care.crowded_d.value)
    return tuple(job for job in tree.done if job.cost_frac and job.on > since)


def _reserves(
    _technique: Technique, terms: Terms, tree: JobView, care: CareFigures
) -> Iterator[Reason]:
    cost = terms.cost_frac
    if cost is None or not cost.value:
        return
    yield reserves_left(cost.value, tree, care)


def reserves_left(cost_frac: float, tree: JobView, care: CareFigures) -> Reason:
    """Return whether the reserves bear so much; they may forbid, never permit."""
    holds = tree.reserves_frac - cost_frac >= care.floor_frac.value
    figures: dict[str, Figure] = {
        "reserves_frac": tree.reserves_frac,
        "cost_frac": cost_frac,
        "floor_frac": care.floor_frac.value,
    }
    return Reason(
        asks="reserves",
        verdict=Verdict.YES if holds else Verdict.NO,
        said=Said("may.reserves_hold" if holds else "may.reserves_low", figures),
        source=care.floor_frac.source,
        grade=care.floor_frac.grade,
    )


QUESTIONS: Final[tuple[Question, ...]] = (
    Question(name="never", asks="Does its kind bear it at all?", check=_never),
    Question(name="standing", asks="Is it ill, or promised?", check=_standing),
    Question(name="phase", asks="Has it come so far in its growth?", check=_phase),
    Question(name="warmth", asks="Do nights and roots stay warm?", check=_warmth),
    Question(name="floor", asks="Do nights stay above its floor?", check=_floor),
    Question(name="chill", asks="Has it had its cold?", check=_chilled),
    Question(name="shade", asks="Was it shaded long enough, or not?", check=_shade),
    Question(name="light", asks="Is it bright enough there?", check=_light),
    Question(name="season", asks="Is enough growth left?", check=_season_left),
    Question(name="vigour", asks="Was it seen to grow well?", check=_vigour),
    Question(
        name="leaves", asks="Has it leaves enough, and keeps them?", check=_leaves
    ),
    Question(name="roots", asks="Were the roots seen healthy?", check=_roots_seen),
    Question(name="due", asks="Do the roots ask for it?", check=_roots_due),
    Question(name="wire", asks="Is there wire on it?", check=_wired),
    Question(name="rest", asks="Has it rested from other jobs?", check=_rests),
    Question(name="big", asks="Was there a big job in this growth?", check=_one_big),
    Question(name="crowded", asks="Were there too many jobs of late?", check=_crowded),
    Question(name="reserves", asks="Has it reserves enough?", check=_reserves),
)


def most_likely(shares: Mapping[Phase, float]) -> Phase:
    """Return the likeliest phase."""
    return max(Phase, key=lambda phase: shares[phase])

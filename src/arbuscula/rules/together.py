"""Rules about jobs together: those named, and those that a tree asks for itself."""

from collections.abc import Iterator, Sequence
from datetime import date, timedelta
from itertools import combinations
from typing import Final

from arbuscula.kinds.said import Figure, Said
from arbuscula.kinds.technique import (
    CareFigures,
    Habit,
    JobView,
    Judged,
    Reason,
    RootsKnown,
    Technique,
    Terms,
    Verdict,
    Visible,
)
from arbuscula.kinds.values import Grade
from arbuscula.rules.jobs import costly_of_late, reserves_left, worst

TOGETHER: Final = "together"


def judge_together(
    judged: Sequence[Judged],
    jobs: Sequence[tuple[Technique, Terms | None]],
    waiting: Sequence[Technique],
    tree: JobView,
    care: CareFigures,
) -> Judged:
    """Return one verdict on all jobs that are named; no job makes it bolder.

    `waiting` are those that the tree asks for itself.
    """
    reasons = [
        *_each(judged, jobs),
        *_two_big([job for job, _ in jobs], waiting),
        *_clashes(jobs),
        *_too_many(jobs, tree, care),
        *_reserves(jobs, tree, care),
    ]
    against = [r for r in reasons if r.verdict is not Verdict.YES]
    return Judged(
        technique=TOGETHER,
        verdict=worst(r.verdict for r in reasons),
        because=tuple(sorted(against, key=lambda r: r.verdict is Verdict.NOT_YET)),
    )


def _each(
    judged: Sequence[Judged], jobs: Sequence[tuple[Technique, Terms | None]]
) -> Iterator[Reason]:
    for one, (technique, _) in zip(judged, jobs, strict=True):
        if one.verdict is not Verdict.YES:
            said = Said(
                "together.one_waits",
                {"technique": technique.title, "verdict": one.verdict.value},
            )
            yield _reason(one.verdict, said)


def _reason(verdict: Verdict, said: Said) -> Reason:
    return Reason(
        asks=TOGETHER,
        verdict=verdict,
        said=said,
        source="growers",
        grade=Grade.PRACTICE,
    )


def _two_big(
    named: Sequence[Technique], waiting: Sequence[Technique]
) -> Iterator[Reason]:
    big = [job for job in named if job.is_big]
    others = [job for job in waiting if job.is_big and job not in named]
    pairs = [*combinations(big, 2), *((job, other) for job in big for other in others)]
    for first, second in pairs:
        figures: dict[str, Figure] = {
            "first_technique": first.title,
            "second_technique": second.title,
        }
        message = "together.two_big" if second in named else "together.big_waits"
        yield _reason(Verdict.NOT_YET, Said(message, figures))


def _clashes(jobs: Sequence[tuple[Technique, Terms | None]]) -> Iterator[Reason]:
    """Yield each pair of which one asks for a rest after the other."""
    for pair in combinations(jobs, 2):
        rests = [
            (rest.value, rest, other.title, one.title)
            for (one, terms), (other, _) in (pair, pair[::-1])
            if (rest := ((terms and terms.rest_d) or {}).get(other.strain))
        ]
        if not rests or all(technique.is_big for technique, _ in pair):
            continue  # two big jobs are told already
        rest_d, rest, first, second = max(rests, key=lambda told: told[0])
        figures: dict[str, Figure] = {
            "first_technique": first,
            "second_technique": second,
        }
        yield Reason(
            asks=TOGETHER,
            verdict=Verdict.NOT_YET,
            said=Said("together.rest_between", {**figures, "rest_d": rest_d}),
            source=rest.source,
            grade=rest.grade,
        )


def _too_many(
    jobs: Sequence[tuple[Technique, Terms | None]], tree: JobView, care: CareFigures
) -> Iterator[Reason]:
    costly = [job for job, terms in jobs if terms and terms.cost_frac]
    count_n = len(costly_of_late(tree, care)) + len(costly)
    if costly and count_n > care.crowded_n.value:
        figures: dict[str, Figure] = {
            "jobs_n": float(count_n),
            "within_d": care.crowded_d.value,
            "most_n": care.crowded_n.value,
        }
        yield _reason(Verdict.NO, Said("together.too_many", figures))


def _reserves(
    jobs: Sequence[tuple[Technique, Terms | None]], tree: JobView, care: CareFigures
) -> Iterator[Reason]:
    costs = [terms.cost_frac.value for _, terms in jobs if terms and terms.cost_frac]
    if costs:
        yield reserves_left(sum(costs), tree, care)


def visible_jobs(tree: JobView, habit: Habit, care: CareFigures) -> Iterator[Visible]:
    """Yield what a tree asks for itself: a look, wire off, new soil in its window."""
    roots = tree.roots
    if why := why_look(roots, tree.on, habit, care):
        yield Visible(technique="look-at-roots", said=why)
    if roots.looks == "rotting":
        yield Visible(technique="rescue-roots", said=Said("visible.rotting", {}))
    if asks_for_soil(roots, care):
        yield Visible(technique="repot", said=Said("visible.repot", {}))


def asks_for_soil(roots: RootsKnown, care: CareFigures) -> bool:
    """Return whether the roots were seen to fill the pot."""
    covered = roots.covered_frac or 0.0
    full = covered >= care.due_frac.value or roots.looks == "circling" or roots.slow
    return roots.seen is not None and roots.looks != "rotting" and full


def why_look(
    roots: RootsKnown, on: date, habit: Habit, care: CareFigures
) -> Said | None:
    """Return why the roots are to be looked at: signs, or years; never to be cut."""
    fresh = timedelta(days=care.fresh_look_d.value)
    if roots.seen and on - roots.seen <= fresh:
        return None
    if roots.slow:
        return Said("visible.slow", {})
    fill, line = roots.fill_frac, care.due_frac.value
    if fill is not None and fill.p50 >= line:
        return Said("visible.filled", {"fill_frac": fill.p50, "line_frac": line})
    last = max((day for day in (roots.since, roots.seen) if day), default=None)
    if last and (on - last).days >= habit.look_y.value * 365:
        return Said("visible.years", {"since": f"{last}", "look_y": habit.look_y.value})
    return None

"""Score: what was said against what was found, per tree, per bench and in all."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta
from typing import Final, Literal
from zoneinfo import ZoneInfo

import numpy as np

from arbuscula.desk import Desk
from arbuscula.desk.calls import Given, given_in
from arbuscula.desk.followed import Yarded, key_of, yarded_at
from arbuscula.kinds.events import Event, Watered
from arbuscula.state.learning.scoring import (
    Bin,
    Call,
    Cycle,
    Errors,
    Outcome,
    cycles_of,
    errors_of,
    loses_to_naive,
    naive_due_s,
    outcomes_of,
    reliability,
)

LAST_CALLS_N: Final = 20
EVEN_FRAC: Final = 0.5
SINCE: Final = timedelta(days=90)


@dataclass(frozen=True, slots=True, kw_only=True)
class CallTold:
    """One call of a tree, and what came of it."""

    at: datetime
    said_frac: float
    was_due: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class TreeScore:
    """What was said of one tree."""

    tree: str
    label: str
    bench: str
    last_calls: tuple[CallTold, ...]
    right_n: int  # of those: due said and found, or neither
    errors: Errors
    falls_back: bool  # the model lost to naive: the earlier of the two is told


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchScore:
    """What was said on one bench, and what of it was wrong since yesterday."""

    bench: str
    calls_n: int
    right_n: int
    wrong_since_yesterday: tuple[str, ...]
    errors: Errors


@dataclass(frozen=True, slots=True, kw_only=True)
class Score:
    """The answer: how good the calls were."""

    schema: Literal["arbuscula.score/1"] = "arbuscula.score/1"
    yard: str
    at: datetime
    reliability: tuple[Bin, ...]
    errors: Errors
    benches: tuple[BenchScore, ...]
    trees: tuple[TreeScore, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Scored:
    """One tree's calls beside its life."""

    key: str
    outcomes: tuple[Outcome, ...]
    cycles: tuple[Cycle, ...]


def score(
    desk: Desk,
    name: str | None = None,
    *,
    at: datetime | None = None,
    yard: str | None = None,
) -> Score:
    """Say how good the calls were: for one tree, or for all."""
    at = at or desk.clock()
    yarded = yarded_at(desk, yard, at)
    zone = ZoneInfo(yarded.yard.timezone)
    keys = [key_of(yarded, name)] if name else list(yarded.nouns)
    scored = {s.key: s for s in scored_trees(desk, yarded, keys, at)}
    outcomes = [o for s in scored.values() for o in s.outcomes]
    return Score(
        yard=yarded.yard.name,
        at=at.astimezone(zone),
        reliability=tuple(reliability(outcomes)),
        errors=together([errors_of(s.cycles) for s in scored.values()]),
        benches=tuple(_benches(yarded, scored, at)),
        trees=tuple(_tree(yarded, s, zone) for s in scored.values() if s.outcomes),
    )


def scored_trees(
    desk: Desk, yarded: Yarded, keys: Sequence[str], at: datetime
) -> Iterator[Scored]:
    """Yield each tree's calls with what came of them."""
    since_s = (at - SINCE).timestamp()
    given = given_in(desk.home, yarded.key, since_s=since_s)
    for key in keys:
        life = yarded.book.lives.get(key, ())
        calls = [_call(g) for g in given.get(key, ()) if g.at_s <= at.timestamp()]
        yield Scored(
            key=key,
            outcomes=tuple(outcomes_of(calls, life)),
            cycles=tuple(cycles_of(calls, life)),
        )


def _call(given: Given) -> Call:
    far = [s if s is not None else np.inf for s in (given.early_s, given.middle_s)]
    return Call(
        at_s=given.at_s,
        next_s=given.next_s,
        due_next_frac=given.due_next,
        early_s=far[0],
        middle_s=far[1],
        last_s=np.inf if given.last_s is None else given.last_s,
    )


def together(errors: Sequence[Errors]) -> Errors:
    """Return the errors of many trees as one, each by how many cycles it has."""
    known = [e for e in errors if e.cycles_n]
    cycles_n = sum(e.cycles_n for e in known)

    def mean(name: str) -> float | None:
        parts = [(getattr(e, name), e.cycles_n) for e in known]
        return sum(p * n for p, n in parts) / cycles_n if cycles_n else None

    return Errors(
        cycles_n=cycles_n,
        model_h=mean("model_h"),
        last_time_h=mean("last_time_h"),
        mean_interval_h=mean("mean_interval_h"),
        covered_frac=mean("covered_frac"),
    )


def is_right(outcome: Outcome) -> bool:
    """Return whether what was more likely came."""
    return (outcome.due_next_frac >= EVEN_FRAC) == outcome.was_due


def _tree(yarded: Yarded, scored: Scored, zone: ZoneInfo) -> TreeScore:
    noun = yarded.nouns[scored.key]
    errors, last = errors_of(scored.cycles), scored.outcomes[-LAST_CALLS_N:]
    return TreeScore(
        tree=scored.key,
        label=noun.label or scored.key,
        bench=noun.bench or "",
        last_calls=tuple(
            CallTold(
                at=datetime.fromtimestamp(round(o.at_s), zone),
                said_frac=o.due_next_frac,
                was_due=o.was_due,
            )
            for o in last
        ),
        right_n=sum(map(is_right, last)),
        errors=errors,
        falls_back=loses_to_naive(errors),
    )


def _benches(
    yarded: Yarded, scored: Mapping[str, Scored], at: datetime
) -> Iterator[BenchScore]:
    yesterday_s = (at - timedelta(days=1)).timestamp()
    for bench in yarded.benches:
        here = [s for k, s in scored.items() if yarded.nouns[k].bench == bench]
        outcomes = [o for s in here for o in s.outcomes]
        if outcomes:
            wrong = [
                yarded.nouns[s.key].label or s.key
                for s in here
                if any(o.at_s >= yesterday_s and not is_right(o) for o in s.outcomes)
            ]
            yield BenchScore(
                bench=bench,
                calls_n=len(outcomes),
                right_n=sum(map(is_right, outcomes)),
                wrong_since_yesterday=tuple(wrong),
                errors=together([errors_of(s.cycles) for s in here]),
            )


def naive_dues(desk: Desk, yarded: Yarded, at: datetime) -> Mapping[str, datetime]:
    """Return *as last time* for the trees where the model has lost to it."""
    zone = ZoneInfo(yarded.yard.timezone)
    dues = {}
    for scored in scored_trees(desk, yarded, list(yarded.nouns), at):
        watered_s = _last_watered_s(yarded.book.lives.get(scored.key, ()))
        if watered_s is None or not loses_to_naive(errors_of(scored.cycles)):
            continue
        due_s = naive_due_s(scored.cycles, watered_s)
        if due_s is not None:
            dues[scored.key] = datetime.fromtimestamp(round(due_s), zone)
    return dues


def _last_watered_s(life: Sequence[Event]) -> float | None:
    times = [e.happened.timestamp() for e in life if isinstance(e.facts, Watered)]
    return times[-1] if times else None

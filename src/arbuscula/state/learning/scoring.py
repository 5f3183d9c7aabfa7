"""Scoring: calls against what was found, beside two forecasts without a model.

A cycle runs from one watering to the first time the pot is found dry. The last
cycle, and the mean of all cycles before, are the forecasts to beat.
"""

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from itertools import pairwise
from typing import Final

import numpy as np

from arbuscula.kinds.events import Checked, Event, Found, How, Watered
from arbuscula.kinds.weather import Row
from arbuscula.units import (
    DAY_S,
    HOUR_S,
)

DRY: Final = (Found.DRY, Found.LIGHT)
BINS: Final = (0.0, 0.05, 0.15, 0.5, 0.8, 1.0)
ENOUGH_N: Final = 5


@dataclass(frozen=True, slots=True, kw_only=True)
class Call:
    """What was said of a tree at one time; infinite lies past what was seen."""

    at_s: float
    next_s: float
    due_next_frac: float
    early_s: float
    middle_s: float
    last_s: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Outcome:
    """One call and what came of it."""

    at_s: float
    due_next_frac: float
    was_due: bool


@dataclass(frozen=True, slots=True, kw_only=True)
class Cycle:
    """From a watering to the pot found dry, and what was forecast of it."""

    watered_s: float
    dry_s: float
    forecast_s: float | None
    early_s: float | None
    last_s: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Bin:
    """Calls of like chance: how many, what was said, what came."""

    from_frac: float
    to_frac: float
    calls_n: int
    said_frac: float | None
    came_frac: float | None


def outcomes_of(calls: Sequence[Call], life: Sequence[Event]) -> Iterator[Outcome]:
    """Yield each call that a check before the next round told of."""
    checks = list(_moist(life))
    watered = [e.happened.timestamp() for e in life if isinstance(e.facts, Watered)]
    for call in calls:
        until_s = min([w for w in watered if w > call.at_s], default=np.inf)
        until_s = min(until_s, call.next_s)
        found = [f for at, f in checks if call.at_s < at <= until_s]
        if found:
            was_due = any(f in DRY for f in found)
            yield Outcome(
                at_s=call.at_s, due_next_frac=call.due_next_frac, was_due=was_due
            )


def cycles_of(calls: Sequence[Call], life: Sequence[Event]) -> Iterator[Cycle]:
    """Yield each drying-down that ended in a dry pot that somebody found."""
    watered_s = None
    for event in life:
        at_s = event.happened.timestamp()
        if isinstance(event.facts, Watered):
            watered_s = at_s
        elif _found_dry(event) and watered_s is not None:
            call = _first_between(calls, watered_s, at_s)
            yield Cycle(
                watered_s=watered_s,
                dry_s=at_s,
                forecast_s=call.middle_s if call else None,
                early_s=call.early_s if call else None,
                last_s=call.last_s if call else None,
            )
            watered_s = None


def _first_between(calls: Sequence[Call], from_s: float, until_s: float) -> Call | None:
    return next((c for c in calls if from_s <= c.at_s < until_s), None)


def _moist(life: Iterable[Event]) -> Iterator[tuple[float, Found]]:
    for event in life:
        if isinstance(event.facts, Checked) and event.facts.how != How.SEEN:
            yield event.happened.timestamp(), event.facts.found


def _found_dry(event: Event) -> bool:
    return isinstance(event.facts, Checked) and event.facts.found in DRY


@dataclass(frozen=True, slots=True, kw_only=True)
class Errors:
    """Mean errors of the time of drying, in hours; None while too few are known."""

    cycles_n: int
    model_h: float | None
    last_time_h: float | None
    mean_interval_h: float | None
    covered_frac: float | None


def errors_of(cycles: Sequence[Cycle]) -> Errors:
    """Return the model's mean error beside the two that need no model."""
    lasts_s = np.array([c.dry_s - c.watered_s for c in cycles])
    scored = [n for n, c in enumerate(cycles) if n and c.forecast_s is not None]
    if not scored:
        return Errors(
            cycles_n=0,
            model_h=None,
            last_time_h=None,
            mean_interval_h=None,
            covered_frac=None,
        )
    told = np.array([cycles[n].forecast_s or 0.0 for n in scored])
    came = np.array([cycles[n].dry_s for n in scored])
    began = np.array([cycles[n].watered_s for n in scored])
    last = began + np.array([lasts_s[n - 1] for n in scored])
    mean = began + np.array([lasts_s[:n].mean() for n in scored])
    inside = [
        (cycles[n].early_s or 0) <= cycles[n].dry_s <= (cycles[n].last_s or np.inf)
        for n in scored
    ]
    return Errors(
        cycles_n=len(scored),
        model_h=_mean_h(told, came),
        last_time_h=_mean_h(last, came),
        mean_interval_h=_mean_h(mean, came),
        covered_frac=float(np.mean(inside)),
    )


def _mean_h(told_s: Row, came_s: Row) -> float:
    seen = np.minimum(np.abs(told_s - came_s), 10 * DAY_S)
    return float(np.mean(seen)) / HOUR_S


def reliability(outcomes: Sequence[Outcome]) -> Iterator[Bin]:
    """Yield calls of like chance: what was said, and how often it came."""
    for low, high in pairwise(BINS):
        some = [
            o
            for o in outcomes
            if low <= o.due_next_frac < high or o.due_next_frac == high == 1
        ]
        said = [o.due_next_frac for o in some]
        yield Bin(
            from_frac=low,
            to_frac=high,
            calls_n=len(some),
            said_frac=float(np.mean(said)) if some else None,
            came_frac=float(np.mean([o.was_due for o in some])) if some else None,
        )


def naive_due_s(cycles: Sequence[Cycle], watered_s: float) -> float | None:
    """Return when a pot would be dry *as last time*; None before any cycle."""
    if not cycles:
        return None
    return watered_s + cycles[-1].dry_s - cycles[-1].watered_s


def loses_to_naive(errors: Errors) -> bool:
    """Return whether a model that had its chance does worse than last time."""
    if errors.cycles_n < ENOUGH_N or errors.model_h is None:
        return False
    naive = [e for e in (errors.last_time_h, errors.mean_interval_h) if e is not None]
    return bool(naive) and errors.model_h > min(naive)

"""A tree to which every job may be done, and the library that judges it."""

from dataclasses import replace
from datetime import date, timedelta
from pathlib import Path

import arbuscula
from arbuscula.catalog.library import read_library
from arbuscula.kinds.technique import (
    Done,
    JobView,
    Phase,
    PhaseKnown,
    RootsKnown,
    Vigour,
)
from arbuscula.rules.jobs import judge
from arbuscula.state.condition import terms_for

LIBRARY = read_library(Path(arbuscula.__file__).parent / "library")
CARE = LIBRARY.care
ON = date(2026, 7, 8)


def phase(name):
    """Return a phase that is sure."""
    shares = {p: float(p == name) for p in Phase}
    return PhaseKnown(shares=shares)


GOOD = JobView(
    key="fig-1",
    group="tropical fig",
    on=ON,
    phase=phase("waking"),
    night_c=19.0,
    coldest_c=17.0,
    floor_c=10.0,
    light_mol_m2_d=30.0,
    root_c=23.0,
    growth_left_frac=0.8,
    frost_free_d=130.0,
    chill_h=1100.0,
    chill_least_h=400.0,
    shaded_d=None,
    vigour=Vigour.GOOD,
    reserves_frac=1.0,
    roots=RootsKnown(
        fill_frac=None,
        seen=ON - timedelta(days=20),
        covered_frac=0.85,
        looks="healthy",
        slow=False,
        since=ON - timedelta(days=900),
    ),
    dropping=False,
    leaves_n=8.0,
    wired=ON - timedelta(days=30),
    standing=(),
    done=(),
    cycle_since=ON - timedelta(days=240),
)


def tree(**changed):
    """Return the good tree, changed."""
    if isinstance(changed.get("phase"), str):
        changed["phase"] = phase(changed["phase"])
    return replace(GOOD, **changed)


def roots(**changed):
    return replace(GOOD.roots, **changed)


def done(technique, days_ago):
    """Return a job as it was done some days ago."""
    told = LIBRARY.techniques[technique]
    terms = terms_for(told, "tropical fig")
    cost = terms.cost_frac if terms else None
    return Done(
        technique=technique,
        strain=told.strain,
        is_big=told.is_big,
        cost_frac=cost.value if cost else 0.0,
        on=ON - timedelta(days=days_ago),
    )


def judged(technique, **changed):
    """Return the verdict on the good tree, changed."""
    view = tree(**changed)
    told = LIBRARY.techniques[technique]
    return judge(technique, told, terms_for(told, view.group), view, CARE)


def verdict(technique, **changed):
    return judged(technique, **changed).verdict.value


def against(technique, **changed):
    """Return what stands against a job, by message."""
    reasons = judged(technique, **changed).because
    return {r.said.message_id for r in reasons if r.verdict.value != "yes"}

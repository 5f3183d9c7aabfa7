"""Job views: one tree as those rules see it that judge jobs."""

from collections.abc import Sequence
from dataclasses import dataclass, replace
from datetime import date
from typing import Final

import numpy as np

from arbuscula.desk.moments import by_clock, zone_of
from arbuscula.desk.names import Known
from arbuscula.desk.tree_years import (
    Years,
    group_of,
    open_air,
    year_of,
    year_on_bench,
)
from arbuscula.kinds.events import Event, SetDown
from arbuscula.kinds.library import Library
from arbuscula.kinds.place import Bench, Exposure
from arbuscula.kinds.said import Figure, Said
from arbuscula.kinds.species import Species
from arbuscula.kinds.technique import Habit, JobView
from arbuscula.kinds.world import Curve
from arbuscula.state.condition import (
    is_dropping,
    jobs_done,
    leaves_on_a_shoot_n,
    phase_known,
    reserves_of,
    roots_known,
    standing_of,
    vigour_of,
    wired_since,
)
from arbuscula.state.years import TreeYear, cycle_since, place_of

NOWHERE: Final = "nowhere"


@dataclass(frozen=True, slots=True, kw_only=True)
class Judgeable:
    """A tree with all that a verdict on it rests on."""

    view: JobView
    key: str  # of its species
    species: Species
    habit: Habit
    year: TreeYear


def group_key(species: str, library: Library) -> str:
    """Return the group of a species, by the beginning of its key."""
    return group_of(species, [(k, h.begins) for k, h in library.groups.items()])


def judgeable(
    years: Years, known: Known, name: str, bench: Bench, *, outside: bool = False
) -> Judgeable:
    """Return a tree of the book on its bench, or as if it stood in the open."""
    library, on = years.desk.library(), years.on
    noun, life = known.book.kept[name], _life(known, name, bench)
    habit = library.groups[group_key(noun.species, library)]
    year = year_of(years, bench, noun.species, habit)
    view = view_in_years(library, name, noun.species, life, year, on)
    there = open_air(bench) if outside else bench
    felt = _at(year_of(years, there, noun.species, habit), on)
    _, ahead = year_on_bench(years, there)
    return Judgeable(
        view=replace(
            view,
            night_c=min(felt.night_c, ahead.night_c),
            coldest_c=ahead.coldest_c,
            light_mol_m2_d=felt.light_mol_m2_d,
            root_c=felt.root_c,
            shaded_d=_shaded_d(known, name, bench, on),
        ),
        key=noun.species,
        species=library.species[noun.species],
        habit=habit,
        year=year,
    )


def view_in_years(
    library: Library,
    name: str,
    species: str,
    life: Sequence[Event],
    year: TreeYear,
    on: date,
) -> JobView:
    """Return a tree as its life and the years of its place tell of it."""
    group, care = group_key(species, library), library.care
    habit, kind = library.groups[group], library.species[species]
    done = tuple(jobs_done(life, library.techniques, group))
    now = _at(year, on)
    return JobView(
        key=name,
        group=group,
        on=on,
        phase=phase_known(life, on, year, care, holds=_held_back(now, kind, library)),
        night_c=now.night_c,
        coldest_c=now.night_c,
        light_mol_m2_d=now.light_mol_m2_d,
        root_c=now.root_c,
        growth_left_frac=_middle(year.left_frac, on),
        frost_free_d=_middle(year.frost_free_d, on),
        chill_h=_middle(year.chill_h, on),
        floor_c=kind.warmth.warn_below_c.value,
        chill_least_h=habit.chill_h.low if habit.chill_h else 0.0,
        shaded_d=None,
        vigour=vigour_of(life, on, year, care),
        reserves_frac=reserves_of(life, done, on, year, care),
        roots=roots_known(life, on, year, habit, care),
        dropping=is_dropping(life, on, care),
        leaves_n=leaves_on_a_shoot_n(life),
        wired=wired_since(life),
        standing=standing_of(life),
        done=done,
        cycle_since=cycle_since(year, on, care.cycle_frac.value),
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Felt:
    """What a day is like on a bench."""

    night_c: float
    light_mol_m2_d: float
    root_c: float


def _at(year: TreeYear, on: date) -> _Felt:
    return _Felt(
        night_c=_middle(year.night_c, on),
        light_mol_m2_d=_middle(year.light_mol_m2_d, on),
        root_c=_middle(year.mean_c, on),  # a small ball follows the air within hours
    )


def _middle(days: Curve, on: date) -> float:
    """Return a day in the middle course."""
    return float(np.median(days[..., place_of(on)]))


def _life(known: Known, name: str, bench: Bench) -> tuple[Event, ...]:
    """Return a tree's life by the clock of the yard where it stands."""
    zone = zone_of(known.yards[bench.yard].timezone)
    return by_clock(known.book.lives.get(name, ()), zone)


def _shaded_d(known: Known, name: str, bench: Bench, on: date) -> float | None:
    """Return for how many days a tree has stood in the shade that it was moved to."""
    if bench.exposure is not Exposure.SHADE_NETTING:
        return None
    life = _life(known, name, bench)
    moves = [e for e in life if isinstance(e.facts, SetDown)]
    if not moves:
        return None
    return float((on - moves[-1].happened.date()).days)


def _held_back(now: _Felt, species: Species, library: Library) -> Said | None:
    """Return what keeps a tree from growing, whatever its buds look like."""
    hold, warmth = library.care.light_hold_mol_m2_d.value, species.warmth
    if now.light_mol_m2_d < hold:
        figures: dict[str, Figure] = {"light_mol_m2_d": now.light_mol_m2_d}
        return Said("phase.held_by_light", {**figures, "line_mol_m2_d": hold})
    if now.night_c < warmth.warn_below_c.value:
        figures = {"night_c": now.night_c, "line_c": warmth.warn_below_c.value}
        return Said("phase.held_by_nights", figures)
    if now.root_c < warmth.base_c.value:
        figures = {"root_c": now.root_c, "line_c": warmth.base_c.value}
        return Said("phase.held_by_roots", figures)
    return None

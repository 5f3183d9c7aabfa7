"""Job views: one tree as those rules see it that judge jobs."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import date
from typing import Final

import numpy as np

from arbuscula.desk.names import Known
from arbuscula.desk.tree_years import (
    Ahead,
    Years,
    group_of,
    open_air,
    year_of,
    year_on_bench,
)
from arbuscula.kinds.events import SetDown
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
    noun, life = known.book.kept[name], known.book.lives.get(name, ())
    group = group_key(noun.species, library)
    habit, species, care = (
        library.groups[group],
        library.species[noun.species],
        library.care,
    )
    year = year_of(years, bench, noun.species, habit)
    felt = year_of(years, open_air(bench), noun.species, habit) if outside else year
    _, ahead = year_on_bench(years, open_air(bench) if outside else bench)
    done = tuple(jobs_done(life, library.techniques, group))
    now = _at(felt, on, ahead)
    view = JobView(
        key=name,
        group=group,
        on=on,
        phase=phase_known(
            life, on, year, care, holds=_held_back(now, species, library)
        ),
        night_c=now["night_c"],
        coldest_c=ahead.coldest_c,
        floor_c=species.warmth.warn_below_c.value,
        light_mol_m2_d=now["light_mol_m2_d"],
        root_c=now["root_c"],
        growth_left_frac=now["left_frac"],
        frost_free_d=now["frost_free_d"],
        chill_h=now["chill_h"] if habit.chill_h else None,
        chill_least_h=habit.chill_h.low if habit.chill_h else 0.0,
        shaded_d=_shaded_d(known, name, bench, on),
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
    return Judgeable(view=view, species=species, habit=habit, year=year)


def _at(year: TreeYear, on: date, ahead: Ahead) -> Mapping[str, float]:
    """Return what a day is like in the middle course; nights ahead may be cooler."""

    def middle(days: Curve) -> float:
        return float(np.median(days[..., place_of(on)]))

    return {
        "night_c": min(middle(year.night_c), ahead.night_c),
        "light_mol_m2_d": middle(year.light_mol_m2_d),
        "root_c": middle(year.mean_c),  # a small ball follows the air within hours
        "left_frac": middle(year.left_frac),
        "frost_free_d": middle(year.frost_free_d),
        "chill_h": middle(year.chill_h),
    }


def _shaded_d(known: Known, name: str, bench: Bench, on: date) -> float | None:
    """Return for how many days a tree has stood in the shade that it was moved to."""
    if bench.exposure is not Exposure.SHADE_NETTING:
        return None
    life = known.book.lives.get(name, ())
    moves = [e for e in life if isinstance(e.facts, SetDown)]
    if not moves:
        return None
    return float((on - moves[-1].happened.date()).days)


def _held_back(
    now: Mapping[str, float], species: Species, library: Library
) -> Said | None:
    """Return what keeps a tree from growing, whatever its buds look like."""
    lines = {
        "phase.held_by_light": (
            "light_mol_m2_d",
            library.care.light_hold_mol_m2_d.value,
        ),
        "phase.held_by_nights": ("night_c", species.warmth.warn_below_c.value),
        "phase.held_by_roots": ("root_c", species.warmth.base_c.value),
    }
    for message_id, (name, line) in lines.items():
        if now[name] < line:
            unit = name.partition("_")[2]
            figures: dict[str, Figure] = {name: now[name], f"line_{unit}": line}
            return Said(message_id, figures)
    return None

"""Plants: how trees and groups are shown, alone or along a bench."""

from collections.abc import Iterable
from dataclasses import dataclass

from arbuscula.desk.names import Known, sort_of
from arbuscula.kinds.events import Sort
from arbuscula.kinds.tree import Group, Tree


@dataclass(frozen=True, slots=True, kw_only=True)
class PlantRow:
    """One plant as it stands now."""

    tree: str  # its name in the book
    label: str
    sort: Sort
    bench_name: str | None
    said: Tree | Group  # what is unsaid is null


def plant_rows(known: Known, names: Iterable[str]) -> tuple[PlantRow, ...]:
    """Return those of these plants that are here, in this order."""
    kept = known.book.kept
    return tuple(plant_row(known, name, kept[name]) for name in names if name in kept)


def plant_row(known: Known, name: str, plant: Tree | Group) -> PlantRow:
    """Return one plant as a row."""
    bench = known.benches.get(plant.bench or "")
    return PlantRow(
        tree=name,
        label=plant.label or name,
        sort=sort_of(plant),
        bench_name=bench.name if bench else plant.bench,
        said=plant,
    )

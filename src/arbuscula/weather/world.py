"""World: the tables of the whole Earth, opened once."""

from dataclasses import dataclass
from pathlib import Path

from arbuscula.kinds.world import WorldFigures
from arbuscula.strict.kinds import kind_from_toml, table_from_toml
from arbuscula.strict.text import text_of_file
from arbuscula.weather.grid import Grid, read_grid
from arbuscula.weather.names import Gazetteer, read_gazetteer


@dataclass(frozen=True, slots=True)
class World:
    """Normals of all land, names of places, and the numbers beside them."""

    grid: Grid
    gazetteer: Gazetteer
    figures: WorldFigures


def read_world(folder: Path) -> World:
    """Open the tables in the library's folder of the world."""
    sources = folder.parent / "sources.toml"
    figures = kind_from_toml(
        text_of_file(folder / "figures.toml"),
        WorldFigures,
        name="figures.toml",
        sources=table_from_toml(text_of_file(sources), name=sources.name),
    )
    grid = read_grid(folder / "normals.npz")
    return World(grid, read_gazetteer(folder / "gazetteer.npz"), figures)

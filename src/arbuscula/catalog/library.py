"""Library: every file of it, read once."""

from collections.abc import Collection, Mapping
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Final, TypeVar

from arbuscula.kinds.checks import Feel
from arbuscula.kinds.exposure import BenchFigures, Built, Glazing, Shelter
from arbuscula.kinds.library import Demand, Library
from arbuscula.kinds.moving import MovingFigures
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.kinds.season import SeasonFigures
from arbuscula.kinds.species import Species
from arbuscula.kinds.substrate import Substrate
from arbuscula.kinds.values import Source
from arbuscula.strict.columns import sheet_from_csv
from arbuscula.strict.faults import gathered
from arbuscula.strict.kinds import kind_from_table, kind_from_toml
from arbuscula.strict.text import text_of_file

Kind = TypeVar("Kind")
SIZES: Final = ("length_mm", "width_mm", "diameter_mm", "depth_mm")


def read_library(folder: Path) -> Library:
    """Read the whole library; the faults of all its files are told at once."""
    sources = read_sources(folder / "sources.toml")  # without it none can be judged
    faults: list[Said] = []
    species = _all(folder / "species", Species, sources, faults)
    substrates = _all(folder / "substrates", Substrate, sources, faults)
    glazings = _all(folder / "glazings", Glazing, sources, faults)
    pots = gathered(partial(_pots, folder / "pots.csv"), faults)

    def one(name: str, kind: type[Kind]) -> Kind | None:
        return gathered(partial(_file, folder / name, kind, sources), faults)

    demand = one("demand.toml", Demand)
    checks = one("checks.toml", dict[str, Feel])
    shelters = one("exposures.toml", dict[str, Shelter])
    season = one("season.toml", SeasonFigures)
    benches = one("benches.toml", BenchFigures)
    moving = one("moving.toml", MovingFigures)
    if faults or pots is None or demand is None or checks is None:
        raise ArbusculaError(*faults)
    if shelters is None or season is None or benches is None or moving is None:
        raise ArbusculaError(*faults)
    built = Built(glazings=glazings, figures=benches)
    return Library(
        sources=sources,
        species=species,
        substrates=substrates,
        pots=pots,
        demand=demand,
        checks=checks,
        shelters={key: replace(s, built=built) for key, s in shelters.items()},
        season=season,
        glazings=glazings,
        benches=benches,
        moving=moving,
    )


def read_sources(path: Path) -> Mapping[str, Source]:
    """Read the sources that values name."""
    return kind_from_toml(text_of_file(path), dict[str, Source], name=path.name)


def _all(
    folder: Path, kind: type[Kind], sources: Collection[str], faults: list[Said]
) -> dict[str, Kind]:
    """Read every file of one subject; each is named as its file is."""
    paths = sorted(folder.glob("*.toml"))
    read = {p.stem: gathered(partial(_file, p, kind, sources), faults) for p in paths}
    return {key: whole for key, whole in read.items() if whole is not None}


def _file(path: Path, kind: type[Kind], sources: Collection[str]) -> Kind:
    return kind_from_toml(text_of_file(path), kind, name=path.name, sources=sources)


def _pots(path: Path) -> tuple[Pot, ...]:
    """Read the usual sizes of pots, a row each."""
    sheet = sheet_from_csv(text_of_file(path), name=path.name)
    faults: list[Said] = []
    pots = []
    for n, cells in zip(sheet.places_n, sheet.rows, strict=True):
        said = dict(zip(sheet.heads, cells, strict=False))
        pots.append(gathered(partial(_pot, said, f"{path.name}, row {n}"), faults))
    if faults:
        raise ArbusculaError(*faults)
    return tuple(pot for pot in pots if pot)


def _pot(said: Mapping[str, str], name: str) -> Pot:
    sizes = {key: _size(said[key]) for key in SIZES if said.get(key)}
    return kind_from_table({"shape": said.get("shape"), **sizes}, Pot, name=name)


def _size(cell: str) -> float | str:
    """Return a size, or a cell that is none, for the reader to refuse."""
    try:
        return float(cell)
    except ValueError:
        return cell

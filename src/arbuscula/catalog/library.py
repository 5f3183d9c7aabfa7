"""Library: every file of ours and then of the grower's own, read once."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import partial
from pathlib import Path
from typing import Final, TypeVar

from arbuscula.catalog.entry import read_as
from arbuscula.catalog.techniques import technique_group_faults
from arbuscula.kinds.alarm import AlarmFigures
from arbuscula.kinds.checks import Feel
from arbuscula.kinds.exposure import BenchFigures, Built, Glazing, Shelter
from arbuscula.kinds.library import Demand, Library
from arbuscula.kinds.moving import MovingFigures
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.kinds.season import SeasonFigures
from arbuscula.kinds.species import Species
from arbuscula.kinds.stores import Fertiliser, Pest, WireMetal
from arbuscula.kinds.substrate import Substrate
from arbuscula.kinds.technique import CareFigures, Habit, Technique
from arbuscula.kinds.values import Source
from arbuscula.strict.columns import sheet_from_csv
from arbuscula.strict.faults import gathered
from arbuscula.strict.kinds import kind_from_table
from arbuscula.strict.text import text_of_file

Kind = TypeVar("Kind")
SIZES: Final = ("length_mm", "width_mm", "diameter_mm", "depth_mm")


def read_library(folder: Path, own: Path | None = None) -> Library:
    """Read the whole library; the faults of all its files are told at once.

    A file of the grower's own folder stands in for ours of the same name, or is
    one more; own pots stand beside ours.
    """
    folders = (folder, own) if own and own.is_dir() else (folder,)
    sources = _sources(folders)  # without them none can be judged
    faults: list[Said] = []

    def read(path: Path, kind: type[Kind]) -> Kind | None:
        name = str(path) if own and path.is_relative_to(own) else path.name
        whole = partial(read_as, path, kind, sources, name=name)
        return gathered(whole, faults)

    def all_of(name: str, kind: type[Kind]) -> dict[str, Kind]:
        found = {key: read(p, kind) for key, p in _paths(folders, name).items()}
        return {key: whole for key, whole in found.items() if whole is not None}

    def one(name: str, kind: type[Kind]) -> Kind | None:
        paths = [f / name for f in folders if (f / name).is_file()]
        return read((paths or [folder / name])[-1], kind)

    species = all_of("species", Species)
    substrates = all_of("substrates", Substrate)
    glazings = all_of("glazings", Glazing)
    wires = all_of("wires", WireMetal)
    fertilisers = all_of("fertilisers", Fertiliser)
    pests = all_of("pests", Pest)
    pots = [gathered(partial(read_pots, path), faults) for path in _tables(folders)]
    demand = one("demand.toml", Demand)
    checks = one("checks.toml", dict[str, Feel])
    shelters = one("exposures.toml", dict[str, Shelter])
    season = one("season.toml", SeasonFigures)
    benches = one("benches.toml", BenchFigures)
    alarms = one("alarms.toml", AlarmFigures)
    care = one("care.toml", CareFigures)
    groups = one("groups.toml", dict[str, Habit]) or {}
    techniques = all_of("techniques", Technique)
    for key, technique in techniques.items():
        faults += technique_group_faults(technique, groups, f"{key}.toml")
    moving = one("moving.toml", MovingFigures)
    if faults or demand is None or checks is None:
        raise ArbusculaError(*faults)
    if shelters is None or season is None or benches is None or moving is None:
        raise ArbusculaError(*faults)
    if alarms is None or care is None:
        raise ArbusculaError(*faults)
    built = Built(glazings=glazings, figures=benches)
    return Library(
        sources=sources,
        species=species,
        substrates=substrates,
        pots=tuple(pot for table in pots for pot in table or ()),
        demand=demand,
        checks=checks,
        shelters={key: replace(s, built=built) for key, s in shelters.items()},
        season=season,
        glazings=glazings,
        benches=benches,
        alarms=alarms,
        techniques=techniques,
        groups=groups,
        care=care,
        wires=wires,
        fertilisers=fertilisers,
        pests=pests,
        moving=moving,
    )


def read_sources(path: Path) -> Mapping[str, Source]:
    """Read the sources that values name."""
    return read_as(path, dict[str, Source], ())


def _sources(folders: tuple[Path, ...]) -> Mapping[str, Source]:
    """Return our sources, and the grower's own where there are any."""
    ours, *others = (folder / "sources.toml" for folder in folders)
    own = [read_sources(path) for path in others if path.is_file()]
    return {**read_sources(ours), **(own[0] if own else {})}


def _paths(folders: tuple[Path, ...], name: str) -> dict[str, Path]:
    """Return the files of one subject; each is named as its file is."""
    paths = (p for folder in folders for p in sorted((folder / name).glob("*.toml")))
    return {path.stem: path for path in paths}


def _tables(folders: tuple[Path, ...]) -> Iterator[Path]:
    """Yield the tables of pots; ours must be there."""
    ours, *others = (folder / "pots.csv" for folder in folders)
    yield ours
    yield from (path for path in others if path.is_file())


def read_pots(path: Path) -> tuple[Pot, ...]:
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

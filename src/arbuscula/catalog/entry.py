"""Entry: one file of a library, known by its name, its folder or its keys."""

from collections.abc import Collection, Mapping
from dataclasses import fields, replace
from functools import partial
from pathlib import Path
from typing import Any, Final, TypeVar

from arbuscula.catalog.sense import sense_faults
from arbuscula.catalog.techniques import technique_faults
from arbuscula.kinds.alarm import AlarmFigures
from arbuscula.kinds.checks import Feel
from arbuscula.kinds.exposure import BenchFigures, Glazing, Shelter
from arbuscula.kinds.library import Demand
from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.kinds.season import SeasonFigures
from arbuscula.kinds.species import Species
from arbuscula.kinds.stores import Fertiliser, Pest, WireMetal
from arbuscula.kinds.substrate import Substrate
from arbuscula.kinds.technique import CareFigures, Habit, Technique
from arbuscula.kinds.values import Source
from arbuscula.strict.faults import gathered
from arbuscula.strict.kinds import kind_from_table, table_from_toml
from arbuscula.strict.lines import line_at, lines_of
from arbuscula.strict.text import text_of_file

Kind = TypeVar("Kind")
LAST: Final = 1_000_000  # lines: what belongs to the whole file is told last
FOLDERS: Final[Mapping[str, Any]] = {  # a file an entry
    "species": Species,
    "substrates": Substrate,
    "glazings": Glazing,
    "wires": WireMetal,
    "fertilisers": Fertiliser,
    "pests": Pest,
    "techniques": Technique,
}
FILES: Final[Mapping[str, Any]] = {  # a file for all
    "demand.toml": Demand,
    "checks.toml": dict[str, Feel],
    "exposures.toml": dict[str, Shelter],
    "season.toml": SeasonFigures,
    "benches.toml": BenchFigures,
    "alarms.toml": AlarmFigures,
    "care.toml": CareFigures,
    "groups.toml": dict[str, Habit],
    "sources.toml": dict[str, Source],
}


def read_entry(path: Path, sources: Collection[str]) -> tuple[str, Any]:
    """Read one file of a library: what it tells of, and what it tells."""
    if path.name in FILES:
        return path.name, read_as(path, FILES[path.name], sources)
    sort = _sort_of(path, table_from_toml(text_of_file(path), name=path.name))
    return sort, read_as(path, FOLDERS[sort], sources)


def read_as(
    path: Path, kind: type[Kind], sources: Collection[str], *, name: str = ""
) -> Kind:
    """Read a file as one kind; report all its faults at once, with their lines."""
    text, name = text_of_file(path), name or path.name
    table = table_from_toml(text, name=name)
    faults: list[Said] = []
    read = partial(kind_from_table, table, kind, name=name, sources=sources)
    whole = gathered(read, faults)
    faults += [] if whole is None else sense_faults(whole, name)
    if isinstance(whole, Technique):
        faults += technique_faults(whole, sources, name)
    if faults or whole is None:
        lines = lines_of(text)
        faults.sort(key=lambda fault: _line(fault, lines) or LAST)
        raise ArbusculaError(*(_placed(fault, lines) for fault in faults))
    return whole


def _placed(fault: Said, lines: Mapping[str, int]) -> Said:
    """Return a fault that says its line as well, if it has one."""
    line = _line(fault, lines)
    if line is None:
        return fault
    place = f"{fault.figures['file']}, line {line}"
    return replace(fault, figures={**fault.figures, "file": place})


def _line(fault: Said, lines: Mapping[str, int]) -> int | None:
    return line_at(lines, str(fault.figures.get("key", "")))


def _sort_of(path: Path, keys: Collection[str]) -> str:
    """Return the folder a file belongs in: the one it is in, or as its keys say."""
    folder = path.resolve().parent.name
    if folder in FOLDERS:
        return folder
    named = {sort: {f.name for f in fields(kind)} for sort, kind in FOLDERS.items()}
    fitting = {sort: len(names & {*keys}) for sort, names in named.items()}
    most = max(fitting.values())
    best = [sort for sort, n in fitting.items() if n == most]
    if len(best) > 1 or most == 0:  # none fits better than another
        figures = {"file": path.name, "known": ", ".join(FOLDERS)}
        raise ArbusculaError(Said("entry.no_kind", figures))
    return best[0]

"""Entry: one file of a library of the grower's own, known by its folder or its keys."""

from collections.abc import Collection, Mapping
from dataclasses import fields
from pathlib import Path
from typing import Final, TypeAlias

from arbuscula.catalog.techniques import technique_faults
from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.kinds.species import Species
from arbuscula.kinds.substrate import Substrate
from arbuscula.kinds.technique import Technique
from arbuscula.strict.kinds import kind_from_table, table_from_toml
from arbuscula.strict.text import text_of_file

Entry: TypeAlias = Species | Substrate | Technique
FOLDERS: Final[Mapping[str, type[Entry]]] = {
    "species": Species,
    "substrates": Substrate,
    "techniques": Technique,
}
KINDS: Final = (*FOLDERS.values(),)


def read_entry(path: Path, sources: Collection[str]) -> Entry:
    """Read one species, substrate or technique; report all its faults at once."""
    table = table_from_toml(text_of_file(path), name=path.name)
    kind = _kind_of(path, table)
    whole = kind_from_table(table, kind, name=path.name, sources=sources)
    if not isinstance(whole, Technique):
        return whole
    if faults := [*technique_faults(whole, sources, path.name)]:
        raise ArbusculaError(*faults)
    return whole


def _kind_of(path: Path, keys: Collection[str]) -> type[Entry]:
    folder = path.resolve().parent.name
    if folder in FOLDERS:
        return FOLDERS[folder]
    fitting = {kind: len({f.name for f in fields(kind)} & {*keys}) for kind in KINDS}
    best, second, *_ = sorted(fitting.values(), reverse=True)
    if best == second:  # no kind fits better than another
        figures = {"file": path.name, "known": ", ".join(FOLDERS)}
        raise ArbusculaError(Said("entry.no_kind", figures))
    return max(fitting, key=lambda kind: fitting[kind])

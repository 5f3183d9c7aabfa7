"""Entry: one file of a library of the grower's own, known by its folder or its keys."""

from collections.abc import Collection, Mapping
from dataclasses import fields
from pathlib import Path
from typing import Final

from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.kinds.species import Species
from arbuscula.kinds.substrate import Substrate
from arbuscula.strict.kinds import kind_from_table, table_from_toml
from arbuscula.strict.text import text_of_file

FOLDERS: Final[Mapping[str, type[Species | Substrate]]] = {
    "species": Species,
    "substrates": Substrate,
}


def read_entry(path: Path, sources: Collection[str]) -> Species | Substrate:
    """Read one species or one substrate; report all its faults at once."""
    table = table_from_toml(text_of_file(path), name=path.name)
    kind = _kind_of(path, table)
    return kind_from_table(table, kind, name=path.name, sources=sources)


def _kind_of(path: Path, keys: Collection[str]) -> type[Species | Substrate]:
    folder = path.resolve().parent.name
    if folder in FOLDERS:
        return FOLDERS[folder]
    fitting = {
        len({f.name for f in fields(kind)} & {*keys}): kind for kind in FOLDERS.values()
    }
    if len(fitting) < len(FOLDERS):  # no kind fits better than another
        figures = {"file": path.name, "known": ", ".join(FOLDERS)}
        raise ArbusculaError(Said("entry.no_kind", figures))
    return fitting[max(fitting)]

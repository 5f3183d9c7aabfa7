"""Case: one pot's file with its tables, read strictly and found to fit."""

from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from typing import Final

import numpy as np
from numpy.typing import NDArray

from arbuscula.catalog.fit import library_faults, likely_g, pot_faults
from arbuscula.kinds.case import DrydownCase, Waterings, Weights
from arbuscula.kinds.library import Library
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.science.container import volume_ml
from arbuscula.strict.columns import ROW, TIME, Column, Table, table_from_csv
from arbuscula.strict.faults import gathered
from arbuscula.strict.kinds import kind_from_toml
from arbuscula.strict.quote import plain_number
from arbuscula.strict.text import text_of_file

MOST_BYTES: Final = 1_000_000  # of a case; its tables may be larger
MASS: Final = Column(name="mass_g", low=0.001, high=2_000_000)
GIVEN: Final = Column(name="given_ml", low=0, high=1_000_000, empty=np.inf)


@dataclass(frozen=True, slots=True, kw_only=True)
class CaseFolder:
    """A case, and its own tables; the weather is read by its room."""

    case: DrydownCase
    weather: Path
    weights: Weights | None
    waterings: Waterings | None


def read_case(path: Path) -> DrydownCase:
    """Read the file of a case alone; all its faults are told at once."""
    text = text_of_file(path, most_bytes=MOST_BYTES)
    return kind_from_toml(text, DrydownCase, name=path.name)


def read_folder(path: Path, case: DrydownCase, library: Library) -> CaseFolder:
    """Read a case's tables and see whether all fits; tell all faults at once."""
    folder, files = path.parent, case.files
    faults = [
        *pot_faults(case.pot, path.name),
        *library_faults(case.species, case.mix, library, path.name),
    ]
    weights = waterings = None
    if files.weights is not None:
        told = folder / files.weights
        weights = gathered(lambda: _weights(told, case.pot), faults)
    if files.waterings is not None:
        given = folder / files.waterings
        waterings = gathered(lambda: _waterings(given), faults)
    if faults:
        raise ArbusculaError(*faults)
    return CaseFolder(
        case=case,
        weather=folder / files.weather,
        weights=weights,
        waterings=waterings,
    )


def _weights(path: Path, pot: Pot) -> Weights:
    table = table_from_csv(text_of_file(path), name=path.name, columns=[MASS])
    faults = [*_odd_weights(table, pot, path.name)]
    if faults:
        raise ArbusculaError(*faults)
    weighed = np.isfinite(table["mass_g"])
    return Weights(at_s=table[TIME][weighed], mass_g=table["mass_g"][weighed])


def _odd_weights(table: Table, pot: Pot, name: str) -> Iterator[Said]:
    mass_g, tare_g = table["mass_g"], pot.tare_g or 0.0
    if not np.isfinite(mass_g).any():
        yield Said("table.empty_column", {"file": name, "column": "mass_g"})
    light = mass_g < tare_g
    if light.any():
        figures = _first(table, light, name)
        yield Said("case.below_tare", figures | {"tare": f"{plain_number(tare_g)} g"})
    least_g, most_g = likely_g(pot)
    other = ~light & ((mass_g < least_g) | (mass_g > most_g))
    if other.any():
        likely: dict[str, Figure] = {
            "volume_l": volume_ml(pot) / 1000,
            "allowed": f"{least_g:.0f} to {most_g:.0f} g",
        }
        yield Said("case.another_pot", _first(table, other, name) | likely)


def _first(table: Table, odd: NDArray[np.bool_], name: str) -> dict[str, Figure]:
    """Return the first odd weight, and how many there are."""
    place = int(np.flatnonzero(odd)[0])
    return {
        "file": name,
        "row": f"{table[ROW][place]:.0f}",
        "found": f"{plain_number(table['mass_g'][place])} g",
        "rows": f"{odd.sum()}",
    }


def _waterings(path: Path) -> Waterings:
    table = table_from_csv(text_of_file(path), name=path.name, columns=[GIVEN])
    return Waterings(at_s=table[TIME], given_ml=table["given_ml"])

"""Fit: whether words name what the library has, and whether a pot can be."""

from collections.abc import Iterable, Iterator, Mapping
from typing import Final

from arbuscula.kinds.library import Library
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.said import Figure, Said
from arbuscula.kinds.species import Species
from arbuscula.kinds.substrate import MixPart
from arbuscula.science.container import volume_ml
from arbuscula.strict.near import near_names
from arbuscula.strict.quote import plain

MOST_SHARE: Final = 1e6
KNOWN_N: Final = 12  # names in one sentence
LEAST_G_ML: Final = 0.03  # of the soil's volume
MOST_G_ML: Final = 10.0
SMALL_TREE_G: Final = 1000.0


def library_faults(
    species: str, mix: Mapping[str, float | MixPart], library: Library, name: str
) -> Iterator[Said]:
    """Yield what the library does not know of, with the nearest names."""
    yield from species_faults(species, library, name)
    yield from mix_faults(mix, library, name)


def species_faults(species: str, library: Library, name: str) -> Iterator[Said]:
    """Yield the fault of a species that the library lacks."""
    if species not in library.species:
        names = {n: key for key, s in library.species.items() for n in names_of(key, s)}
        yield _unknown("library.unknown_species", species, names, name)


def glazing_faults(glazing: str, library: Library, name: str) -> Iterator[Said]:
    """Yield the fault of panes that the library lacks."""
    if glazing not in library.glazings:
        called = library.glazings.items()
        names = {n: key for key, panes in called for n in (key, *panes.names)}
        yield _unknown("library.unknown_glazing", glazing, names, name)


def mix_faults(
    mix: Mapping[str, float | MixPart], library: Library, name: str
) -> Iterator[Said]:
    """Yield what is wrong with a mix: nothing in it, or nothing known."""
    known = {key: key for key in library.substrates}
    for key in mix:
        if key not in known:
            yield _unknown("library.unknown_substrate", key, known, name)
    shares = {k: p.share if isinstance(p, MixPart) else p for k, p in mix.items()}
    odd = {key: share for key, share in shares.items() if not 0 <= share <= MOST_SHARE}
    for key, share in odd.items():
        found = f"{share:.12g}"
        figures: dict[str, Figure] = {"file": name, "name": plain(key), "found": found}
        yield Said("mix.share", figures)
    if not odd and not any(shares.values()):
        yield Said("mix.nothing", {"file": name, "known": _listed(known)})


def names_of(key: str, species: Species) -> tuple[str, ...]:
    """Return all that a species is called."""
    return (key, species.latin, *species.names)


def _unknown(message_id: str, found: str, names: Mapping[str, str], name: str) -> Said:
    """Return the fault of a name that the library lacks, with those it may mean."""
    near = [names[n] for n in near_names(found, names)] or names.values()
    figures = {"file": name, "found": plain(found), "near": _listed(near)}
    return Said(message_id, figures)


def _listed(names: Iterable[str]) -> str:
    return ", ".join([*dict.fromkeys(names)][:KNOWN_N])


def pot_faults(pot: Pot, name: str) -> Iterator[Said]:
    """Yield what a pot of this shape still lacks."""
    needed = ["diameter_mm"] if pot.shape == "round" else ["length_mm", "width_mm"]
    for key in needed:
        if getattr(pot, key) is None:
            yield Said("pot.lacks", {"file": name, "shape": pot.shape, "key": key})


def likely_g(pot: Pot) -> tuple[float, float]:
    """Return what a potted tree may weigh: no typed unit or size is far off.

    Dry peat is the lightest soil; wet gravel, walls and a stout trunk weigh the
    most. The factors are wide (practice, no source).
    """
    soil_ml, tare_g = volume_ml(pot), pot.tare_g or 0.0
    return tare_g + LEAST_G_ML * soil_ml, tare_g + MOST_G_ML * soil_ml + SMALL_TREE_G

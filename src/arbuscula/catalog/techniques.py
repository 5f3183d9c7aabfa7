"""Techniques: ours and the grower's own, each a file; the own ones go over ours."""

from collections.abc import Collection, Iterable, Iterator, Mapping
from functools import partial
from pathlib import Path
from typing import Final, get_args

from arbuscula.kinds.events import KINDS
from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.kinds.technique import NEVER, Habit, Phase, Strain, Technique
from arbuscula.kinds.tree import Crown
from arbuscula.strict.faults import gathered
from arbuscula.strict.kinds import kind_from_toml
from arbuscula.strict.near import near_names
from arbuscula.strict.quote import plain
from arbuscula.strict.text import text_of_file

ANY: Final = "any"  # species, whatever their group


def read_techniques(
    folders: Iterable[Path],
    sources: Collection[str],
    groups: Mapping[str, Habit],
    faults: list[Said],
) -> dict[str, Technique]:
    """Read the techniques of some folders; of one name the last one holds."""
    paths = {path.stem: path for f in folders for path in sorted(f.glob("*.toml"))}
    read: dict[str, Technique] = {}
    for key, path in paths.items():
        one = gathered(partial(read_technique, path, sources, groups), faults)
        if one is not None:
            read[key] = one
    return read


def read_technique(
    path: Path, sources: Collection[str], groups: Collection[str]
) -> Technique:
    """Read one technique; report all its faults at once."""
    text = text_of_file(path)
    whole = kind_from_toml(text, Technique, name=path.name, sources=sources)
    faults = [*technique_faults(whole, sources, path.name)]
    known = [*groups, ANY]
    for terms in whole.terms:
        faults += _unknown(path.name, "groups", terms.groups, known)
    if faults:
        raise ArbusculaError(*faults)
    return whole


def technique_faults(
    technique: Technique, sources: Collection[str], name: str
) -> Iterator[Said]:
    """Yield each word of a technique that means nothing here."""
    told = technique.recorded
    yield from _unknown(name, "source", [technique.source], sources)
    yield from _unknown(name, "recorded.kind", [told.kind] if told else [], KINDS)
    yield from _unknown(name, "work_min", technique.work_min or (), get_args(Crown))
    for terms in technique.terms:
        yield from _unknown(name, "terms.source", [terms.source or "growers"], sources)
        yield from _unknown(
            name, "terms.never", [terms.never] * bool(terms.never), NEVER
        )
        yield from _unknown(name, "terms.rest_d", terms.rest_d or (), [*Strain])
        for phased in ("keep_leaves_n", "dose_frac", "cautions_in"):
            said = getattr(terms, phased) or ()
            yield from _unknown(name, f"terms.{phased}", said, [*Phase])


def _unknown(
    name: str, key: str, found: Iterable[str], known: Collection[str]
) -> Iterator[Said]:
    for word in found:
        if word not in known:
            near = ", ".join(near_names(word, known) or sorted(known))
            figures = {"file": name, "key": key, "found": plain(word), "allowed": near}
            yield Said("file.fault", figures)

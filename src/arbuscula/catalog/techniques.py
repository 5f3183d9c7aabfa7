"""Techniques: whether their words mean anything here."""

from collections.abc import Collection, Iterable, Iterator
from typing import Final, get_args

from arbuscula.kinds.events import KINDS
from arbuscula.kinds.said import Said
from arbuscula.kinds.technique import NEVER, Phase, Strain, Technique
from arbuscula.kinds.tree import Crown
from arbuscula.strict.near import near_names
from arbuscula.strict.quote import plain

ANY: Final = "any"  # species, whatever their group


def technique_group_faults(
    technique: Technique, groups: Collection[str], name: str
) -> Iterator[Said]:
    """Yield each group of trees that a technique names and nobody knows."""
    for terms in technique.terms:
        yield from _unknown(name, "groups", terms.groups, [*groups, ANY])


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

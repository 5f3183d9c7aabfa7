"""Weather choice: which sources a yard asks, in what order, and how each is reached.

The order is the yard's and stands in the book; addresses, contacts and keys
stand in a file beside it that nobody else may read.
"""

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass, fields, replace
from functools import partial
from pathlib import Path
from typing import Final, Literal

from arbuscula.desk import Desk
from arbuscula.desk.names import Known, Meant, known_from, yard_meant
from arbuscula.desk.private import keep_private, private_settings
from arbuscula.desk.writing import Drafted, event_of, written
from arbuscula.kinds.events import Sort
from arbuscula.kinds.forecast import Reach, Source
from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.ledger.book import all_events
from arbuscula.ledger.lines import as_json
from arbuscula.strict.near import near_names
from arbuscula.strict.quote import plain
from arbuscula.strict.written import Plain
from arbuscula.weather.folder import PAGES
from arbuscula.weather.sources import FORECASTS, OFFERED, PASTS, source_of
from arbuscula.weather.station import station_map

FILE: Final = "weather.toml"
EXAMPLES: Final = {  # enough to make any source, to hear its terms
    "met-norway": Reach(contact="somebody@example.org"),
    "folder": Reach(place="wx", how=station_map(["Out=air_temperature_c"])),
}

Reaches = dict[str, dict[str, Reach]]  # by yard and source
Order = Callable[[Sequence[str]], Sequence[str]]


@dataclass(frozen=True, slots=True, kw_only=True)
class Choice:
    """One source: what it tells, on what terms, and whether a yard asks it."""

    source: str
    tells: Literal["forecast", "past", "station"]
    order_n: int | None  # 1 is trusted most; None: not chosen
    terms: Said
    attribution: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Choices:
    """The answer: the sources there are, those of the yard first, in their order."""

    schema: Literal["arbuscula.weather_sources/1"] = "arbuscula.weather_sources/1"
    yard: str
    sources: tuple[Choice, ...]
    named: str | None = None  # the one that was just chosen or taken away


def weather_choices(desk: Desk, *, yard: str | None = None) -> Choices:
    """Say which sources there are, and which of them a yard asks."""
    known = known_from(all_events(desk.ledger()))
    key = yard_meant(known, yard)
    return _choices(key, known.yards[key].weather or ())


def choose_weather(
    desk: Desk,
    name: str,
    reach: Reach,
    *,
    yard: str | None = None,
    is_first: bool = False,
) -> Choices:
    """Let a yard ask a source from now on, or reach it in another way."""
    source_of(name, reach)  # refuses what cannot be
    key = yard_meant(known_from(all_events(desk.ledger())), yard)
    table = reaches(desk)
    table.setdefault(key, {})[name] = reach
    _keep(desk, table)

    def order(before: Sequence[str]) -> Sequence[str]:
        others = [other for other in before if other != name]
        if is_first:
            return [name, *others]
        return before if name in before else [*others, name]

    return replace(_ordered(desk, key, order), named=name)


def drop_weather(desk: Desk, name: str, *, yard: str | None = None) -> Choices:
    """Let a yard no longer ask a source; what it told stays in the archive."""
    key = yard_meant(known_from(all_events(desk.ledger())), yard)

    def order(before: Sequence[str]) -> Sequence[str]:
        _refuse_unchosen([name], before)
        return [other for other in before if other != name]

    answer = _ordered(desk, key, order)
    table = reaches(desk)
    table.get(key, {}).pop(name, None)
    _keep(desk, table)
    return replace(answer, named=name)


def prefer_weather(
    desk: Desk, names: Sequence[str], *, yard: str | None = None
) -> Choices:
    """Let a yard trust these sources in this order, and the others after them."""
    key = yard_meant(known_from(all_events(desk.ledger())), yard)

    def order(before: Sequence[str]) -> Sequence[str]:
        _refuse_unchosen(names, before)
        return [*dict.fromkeys((*names, *before))]

    return _ordered(desk, key, order)


def reach_of(*, columns: Sequence[str] = (), zone: str = "", **said: str) -> Reach:
    """Return how a source is reached, with the map of a station where one is told."""
    how = station_map(columns, zone=zone) if columns else None
    reach = Reach(how=how, **said)
    if not reach.place or reach.place.startswith(PAGES):
        return reach
    return replace(reach, place=str(Path(reach.place).absolute()))


def reaches(desk: Desk) -> Reaches:
    """Return how the sources of every yard are reached."""
    kind = dict[str, dict[str, Reach]]
    return private_settings(desk.home / FILE, kind) or {}


def _keep(desk: Desk, table: Mapping[str, Mapping[str, Reach]]) -> None:
    usual = as_json(Reach())
    told: dict[str, Plain] = {
        yard: {name: _said(reach, usual) for name, reach in sources.items()}
        for yard, sources in table.items()
        if sources
    }
    keep_private(desk.home / FILE, told)


def _said(reach: Reach, usual: object) -> dict[str, Plain]:
    """Return what was said of a source, without what is as usual."""
    said = {f.name: as_json(getattr(reach, f.name)) for f in fields(reach)}
    before = usual if isinstance(usual, dict) else {}
    return {
        key: cell  # type: ignore[misc] # JSON without None is plain
        for key, cell in said.items()
        if cell is not None and cell != before.get(key)
    }


def _refuse_unchosen(names: Sequence[str], chosen: Sequence[str]) -> None:
    faults = [
        Said("weather.not_chosen", _near(name, chosen))
        for name in names
        if name not in chosen
    ]
    if faults:
        raise ArbusculaError(*faults)


def _near(name: str, chosen: Sequence[str]) -> dict[str, Figure]:
    near = ", ".join(near_names(name, chosen) or chosen) or "none"
    return {"found": plain(name), "near": near}


def _ordered(desk: Desk, key: str, order: Order) -> Choices:
    return written(desk, partial(_draft, desk, key, order))


def _draft(
    desk: Desk,
    key: str,
    order: Order,
    known: Known,
) -> Drafted[Choices]:
    before = known.yards[key].weather or ()
    after = tuple(order(before))
    answer = _choices(key, after)
    if after == before:
        return answer, []
    facts = replace(known.yards[key], weather=after)
    meant = Meant(Sort.YARD, key)
    return answer, [event_of(desk, facts, meant, happened=desk.clock())]


def _choices(key: str, chosen: Sequence[str]) -> Choices:
    names = [*chosen, *(name for name in OFFERED if name not in chosen)]
    return Choices(
        yard=key,
        sources=tuple(_choice(name, chosen) for name in names if name in OFFERED),
    )


def _choice(name: str, chosen: Sequence[str]) -> Choice:
    example: Source = source_of(name, EXAMPLES.get(name, Reach()))
    return Choice(
        source=name,
        tells=_tells(name),
        order_n=chosen.index(name) + 1 if name in chosen else None,
        terms=example.terms,
        attribution=example.attribution,
    )


def _tells(name: str) -> Literal["forecast", "past", "station"]:
    if name in FORECASTS:
        return "forecast"
    return "past" if name in PASTS else "station"

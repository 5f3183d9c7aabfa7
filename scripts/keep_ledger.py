"""Keep a ledger of a release, so that later ones are held to read it alike.

`python -m scripts.keep_ledger tests/ledgers/0.1` writes each book as lines, and
beside it what stood in it at the end. Run it once a release, before it goes out,
and never again for that release. All of it is invented.
"""

import json
import sys
from collections.abc import Iterator, Mapping
from dataclasses import MISSING, fields, is_dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from enum import StrEnum
from pathlib import Path
from types import NoneType, UnionType
from typing import (
    Annotated,
    Any,
    Final,
    Literal,
    Union,
    get_args,
    get_origin,
    get_type_hints,
)

from arbuscula.kinds.events import (
    FINDINGS,
    KIND_OF,
    KINDS,
    Checked,
    Corrected,
    Died,
    Divided,
    Event,
    Facts,
    Found,
    How,
    IntoHospital,
    Joined,
    LabelsExchanged,
    LayeredOff,
    Noted,
    Preferred,
    Reached,
    Reading,
    Repotted,
    Returned,
    Sent,
    SetDown,
    SlipPotted,
    Sold,
    Sort,
    Watered,
    Weighed,
)
from arbuscula.kinds.place import Bench, Exposure, Yard
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.substrate import MixPart
from arbuscula.kinds.supplies import WaterSource
from arbuscula.kinds.tree import Group, Tree
from arbuscula.ledger.book import Ledger, append, events_after, head
from arbuscula.ledger.exchange import book_lines
from arbuscula.ledger.lines import as_json
from arbuscula.ledger.store.engine import engine_at
from arbuscula.state.book import book_at

BEGUN: Final = datetime(2025, 3, 1, 7, 30, tzinfo=UTC)
POT: Final = Pot(shape="oval", length_mm=235, width_mm=180, depth_mm=62, taper_frac=0.9)
MIX: Final = {"akadama": 4.0, "pumice": MixPart(share=3.0, grain_mm=4.0)}


def fig(bench: str, place_n: float | None, **said: Any) -> Tree:  # noqa: ANN401
    """Return a fig as a grower describes it."""
    return Tree(species="ficus-microcarpa", bench=bench, place_n=place_n, **said)


# Day, sort, subject, facts; a third of it is written days later.
STORY: Final[tuple[tuple[float, Sort, str, Facts], ...]] = (
    (
        0,
        Sort.YARD,
        "stair",
        Yard(
            name="Stone Stair",
            latitude_deg=45.7,
            longitude_deg=13.8,
            elevation_m=210,
            timezone="Europe/Rome",
            rounds=(time(7), time(19)),
        ),
    ),
    (
        0,
        Sort.BENCH,
        "terrace",
        Bench(yard="stair", name="Terrace", exposure=Exposure.OPEN, order_n=1),
    ),
    (
        0,
        Sort.BENCH,
        "glass",
        Bench(yard="stair", name="Glass", exposure=Exposure.GLASSHOUSE, capacity_n=40),
    ),
    (1, Sort.TREE, "t-1", fig("terrace", 1, label="T1", pot=POT, mix=MIX)),
    (1, Sort.TREE, "t-2", fig("terrace", 2, label="T2", crown="large")),
    (1, Sort.TREE, "t-3", fig("terrace", 3, label="T3", trunk_mm=41.5)),
    (1, Sort.TREE, "t-4", fig("terrace", None, label="T4")),
    (
        1,
        Sort.GROUP,
        "tray",
        Group(species="ficus-benjamina", form="tray", plants_n=24, bench="glass"),
    ),
    (
        2,
        Sort.SOURCE,
        "line",
        WaterSource(name="Drip line", way="drip line", reaches=("glass", "t-4")),
    ),
    (3, Sort.BENCH, "terrace", Watered(reached=Reached(excepted_places_n=(3.0,)))),
    (4, Sort.TREE, "t-1", Checked(how=How.LIFTED, found=Found.HALF)),
    (5, Sort.TREE, "t-1", Weighed(mass_g=2350, standard_error_g=5, drained=True)),
    (6, Sort.TREE, "t-2", LabelsExchanged(other="t-3")),
    (7, Sort.TREE, "t-2", Noted(text="säuft mehr als sonst")),
    (8, Sort.SOURCE, "line", Watered(given_ml=300)),
    (9, Sort.GROUP, "tray", Divided(into=("cutting-1", "cutting-2"), left_n=22)),
    (10, Sort.TREE, "cutting-1", SetDown(bench="terrace", place_n=1.5)),
    (11, Sort.TREE, "t-4", LayeredOff(new="t-4-top")),
    (12, Sort.GROUP, "forest", Joined(parts=("cutting-1", "cutting-2"))),
    (13, Sort.TREE, "t-3", Repotted(mix=MIX, removed_frac=0.25, tied=True)),
    (14, Sort.TREE, "t-3", Preferred(way="drier")),
    (15, Sort.BENCH, "terrace", Watered(given_ml=450, reached=Reached(only=("t-1",)))),
    (16, Sort.TREE, "t-1", Sold(buyer="p-7")),
    (17, Sort.TREE, "t-1", Sent(buyer="p-7", carrier="post", papers=("lot 12",))),
    (60, Sort.TREE, "t-1", Returned(because="too large for the window")),
    (61, Sort.TREE, "t-1", SetDown(bench="glass")),
    (62, Sort.TREE, "t-4-top", IntoHospital(because="yellow")),
    (70, Sort.TREE, "t-4-top", Died(because="frost")),
    (71, Sort.TREE, "t-2", SlipPotted(pot=replace(POT, length_mm=300, width_mm=200))),
    (72, Sort.TREE, "t-4", Corrected(event="stone-stair-0010")),
    (73, Sort.TREE, "t-4", Corrected(event="stone-stair-0027", because="it is dead")),
    (74, Sort.TREE, "t-4", Corrected(event="stone-stair-0030")),
)


def story() -> Iterator[Event]:
    """Yield a nursery's year, in the order in which it was written."""
    told = [
        _event(f"stone-stair-{n:04}", sort, subject, facts, day, late_d=2 * (n % 3))
        for n, (day, sort, subject, facts) in enumerate(STORY)
    ]
    yield from sorted(told, key=lambda event: (event.written, event.id))


def every_kind() -> Iterator[Event]:
    """Yield every kind there is, with as little and as much as it can say."""
    for n, (kind, facts) in enumerate(KINDS.items()):
        sort = Sort(kind.removesuffix(" set")) if kind.endswith(" set") else Sort.TREE
        name = kind.replace(" ", "-")
        if sort is Sort.TREE:
            yield _event(f"{name}-tree", sort, name, fig("bench-set", float(n)), n)
        for part, whole in (("bare", False), ("whole", True)):
            said = made(facts, f"{name}-{part}", whole=whole)
            yield _event(f"{name}-{part}", sort, name, said, n + 0.5 + 0.2 * whole)
    for how, some in FINDINGS.items():
        for found in some:
            facts = Checked(how=how, found=found)
            yield _event(f"{how} {found}", Sort.TREE, "checked", facts, 100)


def _event(
    event_id: str,
    sort: Sort,
    subject: str,
    facts: Facts,
    day: float,
    *,
    late_d: float = 0,
) -> Event:
    happened = BEGUN + timedelta(days=day)
    return Event(
        id=event_id,
        sort=sort,
        subject=subject,
        kind=KIND_OF[type(facts)],
        happened=happened,
        written=happened + timedelta(days=late_d, minutes=1),
        by="p-2",
        facts=facts,
    )


def made(kind: Any, name: str, *, whole: bool) -> Any:  # noqa: ANN401
    """Return a noun with what it needs, or with all that it can say."""
    if kind is Checked:
        return Checked(how=How.SKEWER, found=Found.MOIST)
    if kind is Reading:
        return Reading(quantity="trunk_mm", value=52.5, standard_error=0.5, how="tape")
    hints = get_type_hints(kind, include_extras=True)
    wanted = [f for f in fields(kind) if whole or f.default is MISSING]
    said = {f.name: _thing(hints[f.name], f"{name} {f.name}") for f in wanted}
    return kind(**said)


def _thing(kind: Any, name: str) -> Any:  # noqa: ANN401
    origin, parts = get_origin(kind), get_args(kind)
    if origin is Annotated:
        low, high = parts[1].low, parts[1].high
        return type(_thing(parts[0], name))(min(max(low, 12.5), high))
    if origin is Literal:
        return parts[-1]
    if origin in (UnionType, Union):
        return _thing(next(part for part in parts if part is not NoneType), name)
    if origin is tuple:
        return (_thing(parts[0], f"{name} 1"),)
    if isinstance(origin, type) and issubclass(origin, Mapping):
        return {"akadama": 1.5, "pumice": _thing(parts[1], name)}
    if is_dataclass(kind):
        return made(kind, name, whole=True)
    if issubclass(kind, StrEnum):
        return [*kind][-1]
    return PLAIN.get(kind, f"ö {name}")


PLAIN: Final = {
    bool: True,
    int: 3,
    float: 2.5,
    date: date(2026, 2, 28),
    time: time(6, 45),
}


def standing(ledger: Ledger) -> Any:  # noqa: ANN401
    """Return what stands in a book at the end: nouns, benches, lives."""
    book = book_at(events_after(ledger, 0))
    lives = {name: [e.id for e in life] for name, life in book.lives.items()}
    return {
        "kept": as_json(book.kept),
        "benches": as_json(book.benches),
        "lives": lives,
    }


BOOKS: Final = {"stone-stair": story, "every-kind": every_kind}


def main(folder: Path) -> None:
    """Write each book and what stands in it."""
    folder.mkdir(parents=True, exist_ok=True)
    for name, told in BOOKS.items():
        ledger = Ledger(engine_at("sqlite://"))
        append(ledger, *told())
        lines = "".join(f"{line}\n" for line in book_lines(ledger, head(ledger)))
        (folder / f"{name}.jsonl").write_text(lines, encoding="ascii")
        expected = json.dumps(standing(ledger), indent=1, sort_keys=True)
        (folder / f"{name}.json").write_text(expected + "\n", encoding="ascii")
        print(f"{name}: {head(ledger).position_n} events")
        ledger.engine.dispose()


if __name__ == "__main__":
    main(Path(sys.argv[1]))

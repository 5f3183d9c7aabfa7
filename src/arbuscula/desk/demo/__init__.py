"""Demo: an invented nursery of two years, made by the desk's own verbs, on a day.

The same day makes the same book again. It lies in a folder of its own and nobody
else's book is ever touched.
"""

from collections.abc import Callable, Iterable, Iterator
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from itertools import count, groupby
from pathlib import Path
from typing import Final, Literal
from zoneinfo import ZoneInfo

from arbuscula.desk import Desk
from arbuscula.desk.bench import BenchWish, add_bench
from arbuscula.desk.demo.made_weather import (
    Coming,
    batches_of,
    days_of,
    made_weather,
    turned,
)
from arbuscula.desk.demo.nursery import (
    BENCHES,
    BUYERS,
    BUYERS_TOWNS,
    CAPACITY_N,
    PLANTS,
    TOWN,
    YARD,
    Began,
)
from arbuscula.desk.demo.years import YEARS_D, told
from arbuscula.desk.fresh import scratch, tree_to_disk
from arbuscula.desk.person import add_person
from arbuscula.desk.record import RecordWish, record_all
from arbuscula.desk.today import Today, today
from arbuscula.desk.tree import TreeWish, add_group, add_tree
from arbuscula.desk.yard import add_yard
from arbuscula.kinds.place import Yard
from arbuscula.kinds.weather import Spot
from arbuscula.ledger.book import position
from arbuscula.weather.archive import add_batch

ZONE: Final = "Europe/Rome"
ROUND: Final = time(7, 30)
BOOK: Final = "book.db"
AT_NOON: Final = time(12)
NAMING: Final = "divided"


@dataclass(frozen=True, slots=True, kw_only=True)
class Demo:
    """The answer: the morning's round of a nursery that does not exist."""

    schema: Literal["arbuscula.demo/1"] = "arbuscula.demo/1"
    home: str  # of its book; go on there
    at: datetime
    made: bool  # now; else it was there from before
    events_n: int
    trees_n: int  # and groups
    today: Today


def demo(
    desk_at: Callable[[Path], Desk],
    folder: Path,
    *,
    on: date | None,
    now: datetime,
    coming: Coming | None = None,
) -> Demo:
    """Make the nursery as it stood on the morning of a day, and say the round.

    What comes may be made hard: a cold night, or a storm.
    """
    on = on or now.astimezone(ZoneInfo(ZONE)).date()
    home = folder / (f"stone-stair-{on}" + (f"-{coming}" if coming else ""))
    made = not (home / BOOK).exists()
    if made:
        folder.mkdir(mode=0o700, parents=True, exist_ok=True)
        _make(desk_at, home, on, coming)
    at = _morning(on)
    desk = replace(desk_at(home), clock=lambda: at)
    answer = today(desk)
    return Demo(
        home=str(home),
        at=at,
        made=made,
        events_n=position(desk.ledger()),
        trees_n=sum(len(bench.trees) for bench in answer.benches),
        today=answer,
    )


def _morning(on: date) -> datetime:
    return datetime.combine(on, ROUND, tzinfo=ZoneInfo(ZONE))


def _make(
    desk_at: Callable[[Path], Desk], home: Path, on: date, coming: Coming | None
) -> None:
    """Write the whole book aside; it takes its place once it is whole."""
    with scratch(home) as aside:
        begun = aside / home.name
        desk = desk_at(begun)
        numbers = count(1)
        desk = replace(desk, new_id=lambda: f"stair-{next(numbers):05d}")
        _write(desk, on, coming)
        desk.ledger().engine.dispose()
        tree_to_disk(begun)
        begun.rename(home)


def _write(desk: Desk, on: date, coming: Coming | None) -> None:
    begins, at = on - timedelta(days=YEARS_D), _morning(on)
    first = _clocked(desk, datetime.combine(begins, AT_NOON, tzinfo=UTC))
    yard = _set_up(first)
    spot = Spot(
        latitude_deg=yard.latitude_deg,
        longitude_deg=yard.longitude_deg,
        elevation_m=yard.elevation_m or 0.0,
    )
    midnight = datetime.combine(begins, time(0), tzinfo=UTC)
    rows = made_weather(desk.world(), spot, midnight, at)
    for month in _by_month(told(begins, on, days_of(rows))):
        record_all(_clocked(desk, min(_end_of(month), at)), month)
    rows = turned(rows, at, coming) if coming else rows
    for batch in batches_of(rows, yard.name, at):
        add_batch(desk.archive(), batch)


def _clocked(desk: Desk, at: datetime) -> Desk:
    return replace(desk, clock=lambda: at)


def _set_up(desk: Desk) -> Yard:
    """Set up yard, benches and plants as a grower would."""
    yard = add_yard(desk, YARD, TOWN).yard
    for n, (bench, said) in enumerate(BENCHES.items(), 1):
        order = {"order_n": f"{n}", "capacity_n": f"{CAPACITY_N[bench]}"}
        add_bench(desk, BenchWish(name=bench, said={**said, **order}))
    for buyer, town in zip(BUYERS, BUYERS_TOWNS, strict=True):
        add_person(desk, buyer, "buyer", contact=town)
    for plant in PLANTS:
        (add_group if plant.form else add_tree)(desk, _wish(plant))
    return yard


def _wish(plant: Began) -> TreeWish:
    said = {
        "species": plant.species,
        "pot": plant.pot,
        "mix": plant.mix,
        "crown": plant.crown,
        "form": plant.form,
        "plants_n": plant.plants_n and f"{plant.plants_n}",
    }
    return TreeWish(
        bench=plant.bench,
        label=plant.label,
        said={key: words for key, words in said.items() if words},
        note=plant.note or None,
    )


def _by_month(wishes: Iterable[RecordWish]) -> Iterator[list[RecordWish]]:
    """Yield what was written down at the end of each month, or when parts got names."""
    for _, month in groupby(wishes, key=lambda wish: (wish.at or "")[:7]):
        batch: list[RecordWish] = []
        for wish in month:
            batch.append(wish)
            if wish.words[0] == NAMING:
                yield batch
                batch = []
        if batch:
            yield batch


def _end_of(month: list[RecordWish]) -> datetime:
    """Return the evening after the last of these, on any clock of Europe."""
    last = date.fromisoformat((month[-1].at or "")[:10])
    return datetime.combine(last, time(22), tzinfo=UTC)

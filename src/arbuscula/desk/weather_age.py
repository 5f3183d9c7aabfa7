"""Weather age: the newest word of every source, and what earlier answers rested on."""

from dataclasses import dataclass
from datetime import date, datetime, timedelta
from typing import Final, Literal
from zoneinfo import ZoneInfo

from arbuscula.desk import Desk
from arbuscula.desk.grounds import Ground, grounds_in
from arbuscula.desk.names import known_from, yard_meant
from arbuscula.kinds.forecast import Asked, Kept, WeatherSort
from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.ledger.book import all_events
from arbuscula.strict.quote import plain
from arbuscula.units import HOUR_S
from arbuscula.weather.archive import askings, batches

DAYS_N: Final = 2  # of history, today and yesterday


@dataclass(frozen=True, slots=True, kw_only=True)
class SourceAge:
    """One source: when it was last asked, and what it told last."""

    source: str
    order_n: int | None  # None: not asked any more, or one's own
    asked: datetime | None
    outcome: str | None  # of that asking: told, unchanged, failed
    because: str
    sort: str | None  # of what it told last
    issued: datetime | None
    age_h: float | None
    reaches_to: datetime | None
    members_n: int
    attribution: str


@dataclass(frozen=True, slots=True, kw_only=True)
class WeatherAge:
    """The answer: how old everybody's word is."""

    schema: Literal["arbuscula.weather_age/1"] = "arbuscula.weather_age/1"
    yard: str
    newest: SourceAge | None  # of those that forecast
    sources: tuple[SourceAge, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Batched:
    """A batch that an answer rested on; None: the archive has it no more."""

    position_n: int
    kept: Kept | None


@dataclass(frozen=True, slots=True, kw_only=True)
class GroundTold:
    """One answer, what it rested on, and the batches of that."""

    ground: Ground
    batches: tuple[Batched, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class WeatherHistory:
    """The answer: what the answers of some days rested on."""

    schema: Literal["arbuscula.weather_history/1"] = "arbuscula.weather_history/1"
    yard: str
    from_: date
    to: date
    answers: tuple[GroundTold, ...]


def weather_age(desk: Desk, *, yard: str | None = None) -> WeatherAge:
    """Say what the newest forecast of a yard is, from whom, and how old."""
    known = known_from(all_events(desk.ledger()))
    key = yard_meant(known, yard)
    noun, now = known.yards[key], desk.clock()
    chosen = noun.weather or ()
    told = {kept.source: kept for kept in batches(desk.archive(), key)}  # the last
    asked = {each.source: each for each in askings(desk.archive(), key)}
    names = dict.fromkeys((*chosen, *sorted({*told, *asked})))
    zone = ZoneInfo(noun.timezone)
    ages = tuple(
        _age(name, chosen, asked.get(name), told.get(name), now.astimezone(zone))
        for name in names
    )
    return WeatherAge(yard=key, newest=_newest(ages), sources=ages)


def _age(
    name: str,
    chosen: tuple[str, ...],
    asked: Asked | None,
    kept: Kept | None,
    now: datetime,
) -> SourceAge:
    def at(moment_s: float) -> datetime:
        return datetime.fromtimestamp(moment_s, now.tzinfo)

    return SourceAge(
        source=name,
        order_n=chosen.index(name) + 1 if name in chosen else None,
        asked=at(asked.at_s) if asked else None,
        outcome=asked.outcome if asked else None,
        because=asked.because if asked else "",
        sort=kept.sort.value if kept else None,
        issued=at(kept.issued_s) if kept else None,
        age_h=(now.timestamp() - kept.issued_s) / HOUR_S if kept else None,
        reaches_to=at(kept.until_s) if kept else None,
        members_n=kept.members_n if kept else 0,
        attribution=kept.attribution if kept else "",
    )


def _newest(ages: tuple[SourceAge, ...]) -> SourceAge | None:
    told = [age for age in ages if age.sort == WeatherSort.FORECAST]
    return min(told, key=lambda age: age.age_h or 0.0, default=None)


def weather_history(
    desk: Desk, *, yard: str | None = None, on: str | None = None
) -> WeatherHistory:
    """Say what the answers of a day rested on; without one, of yesterday and today."""
    known = known_from(all_events(desk.ledger()))
    key = yard_meant(known, yard)
    zone = ZoneInfo(known.yards[key].timezone)
    today = desk.clock().astimezone(zone).date()
    first = today - timedelta(days=DAYS_N - 1) if on is None else _day(on)
    last = today if on is None else first
    begins, ends = (
        datetime(day.year, day.month, day.day, tzinfo=zone).timestamp()
        for day in (first, last + timedelta(days=1))
    )
    grounds = grounds_in(desk.home, key, zone, from_s=begins, until_s=ends)
    kept = {each.position_n: each for each in batches(desk.archive(), key)}
    return WeatherHistory(
        yard=key,
        from_=first,
        to=last,
        answers=tuple(_told(ground, kept) for ground in grounds),
    )


def _told(ground: Ground, kept: dict[int, Kept]) -> GroundTold:
    return GroundTold(
        ground=ground,
        batches=tuple(Batched(position_n=n, kept=kept.get(n)) for n in ground.used),
    )


def _day(words: str) -> date:
    try:
        return date.fromisoformat(words)
    except ValueError:
        raise ArbusculaError(Said("time.not_read", {"found": plain(words)})) from None

"""Views: what the followed trees tell, put as rules and rounds want it."""

from collections.abc import Iterator, Mapping, Sequence
from datetime import datetime, timedelta, tzinfo
from typing import Final

import numpy as np
from numpy.typing import NDArray

from arbuscula.desk import Desk
from arbuscula.desk.followed import Followed
from arbuscula.kinds.events import (
    Checked,
    Defoliated,
    Event,
    Found,
    How,
    IntoHospital,
    OutOfHospital,
    Repotted,
    Watered,
    Weighed,
)
from arbuscula.kinds.round import NightView, Rounds, TreeView, When
from arbuscula.kinds.said import Said
from arbuscula.kinds.species import Species
from arbuscula.kinds.values import Spread
from arbuscula.kinds.weather import Row, WeatherRows
from arbuscula.microclimate.shelter import rows_on_bench
from arbuscula.science.light import sun_light_mol_m2_d
from arbuscula.state.ensemble import Grid
from arbuscula.state.outlook import (
    Lines,
    Outlook,
    chance_before,
    once_soaked,
    outlook,
    tenths_h,
)
from arbuscula.units import mj_m2_d_from_w_m2

HOUR_S: Final = 3600
RESTS: Final = timedelta(days=42)  # after defoliation or root work; practice, no source
COLD_OVER: Final = timedelta(hours=72)
DARK_MOL_M2_D: Final = 2.0  # assumed: below it a fig is kept, not grown
ODD_LEAST, ODD_MOST = 0.35, 3.0  # of the usual demand, assumed
DRY: Final = (Found.DRY, Found.LIGHT)


def lines_of(desk: Desk, now: Followed) -> Lines:
    """Return how dry each tree may become, by its species."""
    library = desk.library()
    thirst = [
        library.species[now.replay.nouns[key].species].thirst
        for key in now.replay.trees.keys
    ]
    return Lines(
        due_frac=np.array([t.due_below_frac.value for t in thirst]),
        late_frac=np.array([t.late_below_frac.value for t in thirst]),
    )


def looked_ahead(desk: Desk, now: Followed, *, soaked: bool, hours_n: int) -> Outlook:
    """Carry the trees on: as they are, or as they would be once watered."""
    trees = once_soaked(now.replay.trees) if soaked else now.replay.trees
    return outlook(
        trees,
        now.pull,
        lines_of(desk, now),
        desk.library().demand.unknown,
        until_h=trees.at_h + hours_n,
    )


def tree_views(
    desk: Desk, now: Followed, ahead: Outlook, rounds: Rounds, at: datetime
) -> Iterator[TreeView]:
    """Yield every tree as rules see it, in the order in which it is followed."""
    next_h = rounds.next.timestamp() / HOUR_S
    due_now = np.sum(ahead.share * (ahead.due_h <= ahead.at_h), axis=0)
    due_next = chance_before(ahead.due_h, ahead.share, next_h)
    late_next = chance_before(ahead.late_h, ahead.share, next_h)
    due, late = (tenths_h(h, ahead.share) for h in (ahead.due_h, ahead.late_h))
    for place, key in enumerate(now.replay.trees.keys):
        life = now.yarded.book.lives.get(key, ())
        yield TreeView(
            key=key,
            due_now_frac=float(due_now[place]),
            due_next_frac=float(due_next[place]),
            late_next_frac=float(late_next[place]),
            due=when_of(due[:, place], at.tzinfo),
            late=when_of(late[:, place], at.tzinfo),
            looked=_looked(life),
            found_dry=_found_dry(life),
            by_hand_only=tuple(_by_hand_only(desk, now, place, life, at)),
            water_ml=_water_ml(now, place, ahead.share[:, place], life),
        )


def when_of(hours: Row, zone: tzinfo | None) -> When:
    """Return three hours since 1970 as moments; infinity is past what is seen."""
    low, middle, high = (
        datetime.fromtimestamp(round(float(h) * HOUR_S), zone)
        if np.isfinite(h)
        else None
        for h in hours
    )
    return When(p10=low, p50=middle, p90=high)


def _moist_checks(life: Sequence[Event]) -> list[tuple[Event, Checked]]:
    return [
        (event, event.facts)
        for event in life
        if isinstance(event.facts, Checked) and event.facts.how != How.SEEN
    ]


def _looked(life: Sequence[Event]) -> datetime | None:
    seen = [e.happened for e, _ in _moist_checks(life)]
    seen += [e.happened for e in life if isinstance(e.facts, Weighed | Watered)]
    return max(seen, default=None)


def _found_dry(life: Sequence[Event]) -> bool:
    checks = _moist_checks(life)
    watered = [e.happened for e in life if isinstance(e.facts, Watered)]
    if not checks:
        return False
    last, facts = checks[-1]
    return facts.found in DRY and last.happened >= max(watered, default=last.happened)


def _water_ml(
    now: Followed, place: int, share: Row, life: Sequence[Event]
) -> Spread | None:
    """Return what fills the pot; nothing where it was never weighed."""
    if not any(isinstance(e.facts, Weighed) for e in life):
        return None
    trees = now.replay.trees
    room_ml = np.asarray(trees.members.ball.capacity_ml)[:, place]
    room_ml = room_ml - np.asarray(trees.water.water_ml)[:, place]
    low, middle, high = tenths_h(room_ml[:, np.newaxis], share[:, np.newaxis])[:, 0]
    return Spread(p10=float(low), p50=float(middle), p90=float(high))


def _by_hand_only(
    desk: Desk, now: Followed, place: int, life: Sequence[Event], at: datetime
) -> Iterator[Said]:
    """Yield why a tree is never watered by inference."""
    key = now.replay.trees.keys[place]
    stays = [e for e in life if isinstance(e.facts, IntoHospital | OutOfHospital)]
    if stays and isinstance(stays[-1].facts, IntoHospital):
        yield Said("care.hospital", {"since": stays[-1].happened})
    for event in life:
        if at - event.happened > RESTS:
            continue
        if isinstance(event.facts, Defoliated):
            yield Said("care.defoliated", {"since": event.happened})
        if isinstance(event.facts, Repotted) and event.facts.removed_frac:
            yield Said("care.roots_cut", {"since": event.happened})
    noun = now.replay.nouns[key]
    species = desk.library().species[noun.species]
    yield from _slow(desk, now, noun.bench or "", species)
    yield from _odd(now, place)


def _slow(desk: Desk, now: Followed, bench: str, species: Species) -> Iterator[Said]:
    """Yield that it is too cold or too dark to drink as in growth."""
    if bench not in now.yarded.benches:
        return
    rows = _recent(desk, now, bench)
    mean_c = float(np.mean(rows.air_temperature_c))
    if mean_c < species.warmth.base_c.value:
        yield Said("care.cold", {"mean_c": mean_c})
    mean_w_m2 = float(np.mean(rows.shortwave_w_m2))
    light = float(sun_light_mol_m2_d(mj_m2_d_from_w_m2(mean_w_m2)))
    if light < DARK_MOL_M2_D:
        yield Said("care.dark", {"light_mol_m2_d": light})


def _recent(desk: Desk, now: Followed, bench: str) -> WeatherRows:
    """Return the last days' weather on a bench, as far as it was asked for."""
    rows, now_s = now.weather.rows, now.replay.trees.at_h * HOUR_S
    recent = (rows.from_s < now_s) & (rows.from_s >= now_s - COLD_OVER.total_seconds())
    some = hours_of(rows, recent if recent.any() else rows.from_s >= now_s)
    place = now.yarded.benches[bench]
    return rows_on_bench(some, place, desk.library().shelters[place.exposure])


def hours_of(rows: WeatherRows, which: NDArray[np.bool_]) -> WeatherRows:
    """Return some hours of rows that have members first."""
    return WeatherRows(
        from_s=rows.from_s[which],
        until_s=rows.until_s[which],
        air_temperature_c=rows.air_temperature_c[..., which],
        relative_humidity_frac=rows.relative_humidity_frac[..., which],
        wind_speed_2m_m_s=rows.wind_speed_2m_m_s[..., which],
        rain_mm=rows.rain_mm[..., which],
        shortwave_w_m2=rows.shortwave_w_m2[..., which],
    )


def _odd(now: Followed, place: int) -> Iterator[Said]:
    ratio = float(np.median(now.replay.trees.members.demand_ratio[:, place]))
    if not ODD_LEAST <= ratio <= ODD_MOST:
        yield Said("care.odd", {"demand_ratio": ratio})


def night_views(desk: Desk, now: Followed, until: datetime) -> Iterator[NightView]:
    """Yield the coming night at every tree that stands outdoors."""
    rows, library = now.weather.rows, desk.library()
    now_s, until_s = now.replay.trees.at_h * HOUR_S, until.timestamp()
    night = hours_of(rows, (rows.until_s > now_s) & (rows.from_s < until_s))
    lows: dict[str, Grid] = {}
    for key in now.replay.trees.keys:
        noun = now.replay.nouns[key]
        bench = now.yarded.benches.get(noun.bench or "")
        if bench is None or not library.shelters[bench.exposure].outdoors:
            continue
        if noun.bench not in lows:
            here = rows_on_bench(night, bench, library.shelters[bench.exposure])
            lows[noun.bench or ""] = np.min(here.air_temperature_c, axis=-1)
        low_c, warmth = lows[noun.bench or ""], library.species[noun.species].warmth
        p10, p50, p90 = np.quantile(low_c, (0.1, 0.5, 0.9))
        yield NightView(
            key=key,
            warn_below_c=warmth.warn_below_c.value,
            damage_below_c=warmth.damage_below_c.value,
            warn_frac=float(np.mean(low_c < warmth.warn_below_c.value)),
            damage_frac=float(np.mean(low_c < warmth.damage_below_c.value)),
            low_c=Spread(p10=float(p10), p50=float(p50), p90=float(p90)),
        )


def watered_now(
    desk: Desk, now: Followed, *, hours_n: int, zone: tzinfo | None
) -> Mapping[str, When]:
    """Return when each tree would be late if it were watered now."""
    ahead = looked_ahead(desk, now, soaked=True, hours_n=hours_n)
    late = tenths_h(ahead.late_h, ahead.share)
    keys = now.replay.trees.keys
    return {key: when_of(late[:, place], zone) for place, key in enumerate(keys)}

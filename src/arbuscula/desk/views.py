"""Views: what the followed trees tell, put as rules and rounds want it."""

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta, tzinfo
from typing import Final

import numpy as np
from numpy.typing import NDArray

from arbuscula.desk import Desk
from arbuscula.desk.followed import Followed, Yarded
from arbuscula.kinds.events import (
    Checked,
    Defoliated,
    Event,
    Found,
    How,
    IntoHospital,
    OutOfHospital,
    Preferred,
    Repotted,
    Watered,
    Weighed,
)
from arbuscula.kinds.round import Rounds, TreeView, When
from arbuscula.kinds.said import Said
from arbuscula.kinds.species import Species
from arbuscula.kinds.values import Spread
from arbuscula.kinds.weather import Row, WeatherRows
from arbuscula.microclimate.alike import as_met
from arbuscula.microclimate.felt import outside_of
from arbuscula.microclimate.shelter import rows_felt
from arbuscula.science.light import sun_light_mol_m2_d
from arbuscula.state.ensemble import Grid
from arbuscula.state.learning.choice import check_first
from arbuscula.state.learning.shared import STRUCTURES, dryness_ln
from arbuscula.state.outlook import (
    Lines,
    Outlook,
    chance_before,
    once_soaked,
    outlook,
    tenths_h,
)
from arbuscula.state.trees import Trees, left_frac, shares_of
from arbuscula.units import HOUR_S, mj_m2_d_from_w_m2

STILL_KNOWN: Final = timedelta(days=3)  # after a look; practice, no source
LEAST_STAKE: Final = 0.02
RESTS: Final = timedelta(days=42)  # after defoliation or root work; practice, no source
COLD_OVER: Final = timedelta(hours=72)
ODD_LEAST, ODD_MOST = 0.35, 3.0  # of the usual demand, assumed
ODD_SD: Final = 3.0
DRY: Final = (Found.DRY, Found.LIGHT)


def lines_of(desk: Desk, now: Followed) -> Lines:
    """Return how dry each tree may become, by its species."""
    library, keys = desk.library(), now.replay.trees.keys
    step_frac = library.demand.ball.preference_frac.value
    thirst = [library.species[now.replay.nouns[key].species].thirst for key in keys]
    moved = step_frac * np.array([preference_of(now, key) for key in keys])
    return Lines(
        due_frac=np.array([t.due_below_frac.value for t in thirst]) + moved,
        late_frac=np.array([t.late_below_frac.value for t in thirst]) + moved / 2,
    )


def preference_of(now: Followed, key: str) -> int:
    """Return 1 where the grower keeps a tree wetter than usual, -1 where drier."""
    ways = {"wetter": 1, "drier": -1, "as usual": 0}
    said = [
        event.facts.way
        for event in now.yarded.book.lives.get(key, ())
        if isinstance(event.facts, Preferred)
    ]
    return ways[said[-1]] if said else 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Lately:
    """How it was on a bench in the last days."""

    mean_c: float
    light_mol_m2_d: float


@dataclass(frozen=True, slots=True, kw_only=True)
class Ahead:
    """What lies ahead: out of each tree's own evidence, and out of everybody's."""

    own: Outlook
    taught: Outlook


def looked_ahead(desk: Desk, now: Followed, *, hours_n: int) -> Ahead:
    """Carry the trees on as they are."""
    own = _outlook(desk, now, now.replay.trees, hours_n)
    if now.belief is None:
        return Ahead(own=own, taught=own)
    return Ahead(own=own, taught=_outlook(desk, now, now.taught, hours_n))


def _outlook(desk: Desk, now: Followed, trees: Trees, hours_n: int) -> Outlook:
    return outlook(
        trees,
        now.pull,
        lines_of(desk, now),
        desk.library().demand.unknown,
        until_h=trees.at_h + hours_n,
        carry=now.carry,
    )


def tree_views(
    desk: Desk, now: Followed, ahead: Ahead, rounds: Rounds, at: datetime
) -> Iterator[TreeView]:
    """Yield every tree as rules see it, in the order in which it is followed."""
    own, taught = (_chances(outlook, rounds) for outlook in (ahead.own, ahead.taught))
    counted = outlooks_of(now, ahead, rounds, at)
    lately = _lately(desk, now)
    ratios = np.median(now.replay.trees.members.demand_ratio, axis=0).tolist()
    for place, (key, counts) in enumerate(
        zip(now.replay.trees.keys, counted, strict=True)
    ):
        life = now.yarded.book.lives.get(key, ())
        looked = _looked(life)
        seen = taught if counts is ahead.taught else own
        yield TreeView(
            key=key,
            due_now_frac=float(seen.due_now[place]),
            due_next_frac=float(seen.due_next[place]),
            late_next_frac=float(seen.late_next[place]),
            due=when_of(seen.due_h[:, place], at.tzinfo),
            late=when_of(seen.late_h[:, place], at.tzinfo),
            looked=looked and looked.astimezone(at.tzinfo),
            found_dry=_found_dry(life),
            by_hand_only=(
                *_by_hand_only(desk, now, key, life, at, lately),
                *_odd(now, place, ratios[place]),
            ),
            water_ml=_water_ml(now, place, counts.share[:, place], life),
        )


def outlooks_of(
    now: Followed, ahead: Ahead, rounds: Rounds, at: datetime
) -> Iterator[Outlook]:
    """Yield the outlook that counts for each tree, in the order of the trees.

    What others teach may raise a warning on a tree; it silences none that
    nobody has touched for some days.
    """
    next_h = rounds.next.timestamp() / HOUR_S
    own, taught = (
        chance_before(outlook.due_h, outlook.share, next_h)
        for outlook in (ahead.own, ahead.taught)
    )
    for place, key in enumerate(now.replay.trees.keys):
        looked = _looked(now.yarded.book.lives.get(key, ()))
        touched = looked is not None and at - looked <= STILL_KNOWN
        worse = taught[place] >= own[place]
        yield ahead.taught if touched or worse else ahead.own


@dataclass(frozen=True, slots=True, kw_only=True)
class _Chances:
    """One outlook as chances and tenths, tree by tree."""

    due_now: Row
    due_next: Row
    late_next: Row
    due_h: Grid
    late_h: Grid


def _chances(outlook: Outlook, rounds: Rounds) -> _Chances:
    share, next_h = outlook.share, rounds.next.timestamp() / HOUR_S
    return _Chances(
        due_now=np.sum(share * (outlook.due_h <= outlook.at_h), axis=0),
        due_next=chance_before(outlook.due_h, share, next_h),
        late_next=chance_before(outlook.late_h, share, next_h),
        due_h=tenths_h(outlook.due_h, share),
        late_h=tenths_h(outlook.late_h, share),
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
    desk: Desk,
    now: Followed,
    key: str,
    life: Sequence[Event],
    at: datetime,
    lately: Mapping[str, Lately],
) -> Iterator[Said]:
    """Yield why a tree is never watered by inference."""
    stays = [e for e in life if isinstance(e.facts, IntoHospital | OutOfHospital)]
    if stays and isinstance(stays[-1].facts, IntoHospital):
        yield Said("care.hospital", {"since": stays[-1].happened.astimezone(at.tzinfo)})
    for event in life:
        if at - event.happened > RESTS:
            continue
        since = event.happened.astimezone(at.tzinfo)
        if isinstance(event.facts, Defoliated):
            yield Said("care.defoliated", {"since": since})
        if isinstance(event.facts, Repotted) and event.facts.removed_frac:
            yield Said("care.roots_cut", {"since": since})
    noun = now.replay.nouns[key]
    species = desk.library().species[noun.species]
    if (noun.bench or "") in lately:
        yield from _slow(desk, lately[noun.bench or ""], species)


def _slow(desk: Desk, lately: Lately, species: Species) -> Iterator[Said]:
    """Yield that it is too cold or too dark to drink as in growth."""
    if lately.mean_c < species.warmth.base_c.value:
        yield Said("care.cold", {"mean_c": lately.mean_c})
    if lately.light_mol_m2_d < desk.library().benches.fig.by_hand_below_mol_m2_d.value:
        yield Said("care.dark", {"light_mol_m2_d": lately.light_mol_m2_d})


def _lately(desk: Desk, now: Followed) -> dict[str, Lately]:
    """Return how warm and light each bench was in the last days, or will be."""
    rows, now_s = now.weather.rows, now.replay.trees.at_h * HOUR_S
    recent = (rows.from_s < now_s) & (rows.from_s >= now_s - COLD_OVER.total_seconds())
    some = hours_of(rows, recent if recent.any() else rows.from_s >= now_s)
    felt = rows_on_benches(desk, now.yarded, now.yarded.benches, some)
    return {bench: _mean_of(there) for bench, there in felt.items()}


def _mean_of(there: WeatherRows) -> Lately:
    mean_mj_m2_d = mj_m2_d_from_w_m2(float(np.mean(there.shortwave_w_m2)))
    return Lately(
        mean_c=float(np.mean(there.air_temperature_c)),
        light_mol_m2_d=float(sun_light_mol_m2_d(mean_mj_m2_d)),
    )


def rows_on_benches(
    desk: Desk, yarded: Yarded, keys: Iterable[str], rows: WeatherRows
) -> dict[str, WeatherRows]:
    """Return some hours of weather as they come to benches; alike ones share them."""
    outside, shelters = outside_of(rows, yarded.spot), desk.library().shelters
    met = as_met(yarded.benches, keys)
    felt = {
        bench: rows_felt(outside, bench, shelters[bench.exposure])
        for bench in set(met.values())
    }
    return {key: felt[bench] for key, bench in met.items()}


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


def _odd(now: Followed, place: int, demand_ratio: float) -> Iterator[Said]:
    """Yield that it drinks unlike itself or unlike its neighbours."""
    if now.belief is not None and now.belief.odd[place] < -ODD_SD:
        yield Said("care.unlike", {"odd_n": float(-now.belief.odd[place])})
    if not ODD_LEAST <= demand_ratio <= ODD_MOST:
        yield Said("care.odd", {"demand_ratio": demand_ratio})


def watered_now(
    desk: Desk, now: Followed, *, hours_n: int, zone: tzinfo | None
) -> Mapping[str, When]:
    """Return when each tree would be late if it were watered now."""
    ahead = _outlook(desk, now, once_soaked(now.taught), hours_n)
    late = tenths_h(ahead.late_h, ahead.share)
    keys = now.replay.trees.keys
    return {key: when_of(late[:, place], zone) for place, key in enumerate(keys)}


def lift_first(
    desk: Desk, now: Followed, views: Sequence[TreeView], *, most_n: int
) -> list[str]:
    """Return the trees whose lifting would teach most where most is at stake."""
    trees, library = now.taught, desk.library()
    if not views or most_n < 1:
        return []
    mixes = [",".join(sorted(now.replay.nouns[key].mix or ())) for key in trees.keys]
    even = np.full(len(STRUCTURES), 1 / len(STRUCTURES))
    stakes = np.array([v.due_next_frac * (1 - v.due_next_frac) for v in views])
    places = check_first(
        dryness_ln(trees.members),
        shares_of(trees),
        1 - left_frac(trees),
        stakes,
        library.checks["lifted"],
        alike=even if now.belief is None else now.belief.alike,
        benches=trees.bench_keys,
        mixes=mixes,
        most_n=most_n,
    )
    return [trees.keys[place] for place in places if stakes[place] > LEAST_STAKE]

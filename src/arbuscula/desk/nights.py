"""Nights: the coming night at every tree that feels it, leaves and roots."""

from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from datetime import datetime
from typing import Final, TypeAlias

import numpy as np
from numpy.typing import NDArray

from arbuscula.desk import Desk
from arbuscula.desk.followed import Followed
from arbuscula.desk.local import on_bench as as_read_there
from arbuscula.desk.views import hours_of, rows_on_benches
from arbuscula.kinds.place import Bench, Exposure
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.round import NightView
from arbuscula.kinds.species import Warmth
from arbuscula.kinds.values import Spread, Value
from arbuscula.kinds.weather import Row, WeatherRows
from arbuscula.microclimate.alike import as_met
from arbuscula.microclimate.root_ball import Balls, RootBall, root_ball
from arbuscula.science.container import volume_ml
from arbuscula.state.ensemble import TENTHS
from arbuscula.state.replay import pot_of
from arbuscula.units import HOUR_S

LEAD_H: Final = 72  # what balls and ground remember
CLEAR_SKY_K: Final = 3.0  # by which a ball may fall under the air
WET_STEP_FRAC: Final = 0.1  # balls as wet as this are taken as alike
WETTEST_FRAC: Final = 0.9
ROOFS: Final = (Exposure.GLASSHOUSE, Exposure.COLD_FRAME, Exposure.SHELTER_FLOOR)
FROZEN_FRAC: Final = 0.99
BallsOf: TypeAlias = tuple[RootBall, Mapping[str, int]]  # and each tree's place


def night_views(
    desk: Desk,
    now: Followed,
    from_: datetime,
    until: datetime,
    *,
    who: Mapping[str, Sequence[str]] | None = None,
) -> Iterator[NightView]:
    """Yield a night at every tree that feels it, or at others as if they did."""
    who = who or in_the_cold(desk, now)
    library, nouns = desk.library(), now.replay.nouns
    there = on_benches(desk, now, who, from_, until)
    cold = {b: keys for b, keys in who.items() if _is_cold(desk, now, keys, there[b])}
    balls = balls_on(desk, now, cold, from_, until)
    for bench_key, keys in who.items():
        air_c = there[bench_key].air_temperature_c
        ball, places = balls.get(bench_key, (None, {}))
        made: dict[tuple[str, int], NightView] = {}  # those alike are looked at once
        for key in keys:
            alike = nouns[key].species, places.get(key, 0)
            if alike not in made:
                warmth = library.species[alike[0]].warmth
                made[alike] = _view(key, warmth, air_c, ball, alike[1])
            yield replace(made[alike], key=key)


def in_the_cold(desk: Desk, now: Followed) -> dict[str, list[str]]:
    """Return who stands on each bench that feels the night: under the sky first."""
    return outdoors(desk, now) | _standing_on(now, unheated(now.yarded.benches))


def _is_cold(
    desk: Desk, now: Followed, keys: Sequence[str], there: WeatherRows
) -> bool:
    """Return whether roots may come to harm, so that their balls must be looked at."""
    nouns, species = now.replay.nouns, desk.library().species
    lines = [species[s].warmth.roots_below_c for s in {nouns[k].species for k in keys}]
    lines_c = [line.value for line in lines if line]
    coldest_c = float(np.min(there.air_temperature_c)) - CLEAR_SKY_K
    return coldest_c < max(lines_c, default=-np.inf)


def outdoors(desk: Desk, now: Followed) -> dict[str, list[str]]:
    """Return who stands on each bench under the sky, as they are followed."""
    return _standing_on(now, under_sky(desk, now.yarded.benches))


def under_sky(desk: Desk, benches: Mapping[str, Bench]) -> set[str]:
    """Return which benches stand outdoors, whatever is above them."""
    shelters = desk.library().shelters
    return {k for k, bench in benches.items() if shelters[bench.exposure].outdoors}


def unheated(benches: Mapping[str, Bench]) -> set[str]:
    """Return which benches have a roof and no heater: frost comes in, later."""
    return {
        k for k, b in benches.items() if b.exposure in ROOFS and b.heat_to_c is None
    }


def _standing_on(now: Followed, benches: Collection[str]) -> dict[str, list[str]]:
    found: dict[str, list[str]] = {}
    for key in now.replay.trees.keys:
        bench_key = now.replay.nouns[key].bench or ""
        if bench_key in benches:
            found.setdefault(bench_key, []).append(key)
    return found


def on_bench(
    desk: Desk, now: Followed, bench_key: str, from_: datetime, until: datetime
) -> WeatherRows:
    """Return the weather on one bench between two moments, members first."""
    return on_benches(desk, now, [bench_key], from_, until)[bench_key]


def on_benches(
    desk: Desk, now: Followed, keys: Iterable[str], from_: datetime, until: datetime
) -> dict[str, WeatherRows]:
    """Return the weather on benches between two moments, members first."""
    from_s, until_s, yard = from_.timestamp(), until.timestamp(), now.yarded.yard
    lead_s = from_s - LEAD_H * HOUR_S  # what a house remembers
    rows = hours_between(now.weather.rows, lead_s, until_s)
    felt = rows_on_benches(desk, now.yarded, keys, rows)
    return {
        key: hours_between(as_read_there(there, now.local, key, yard), from_s, until_s)
        for key, there in felt.items()
    }


def hours_between(rows: WeatherRows, from_s: float, until_s: float) -> WeatherRows:
    """Return the hours of rows between two moments."""
    return hours_of(rows, _after(rows, from_s) & (rows.from_s < until_s))


def _after(rows: WeatherRows, from_s: float) -> NDArray[np.bool_]:
    """Return which hours lie ahead: one that is half over is not."""
    return (rows.from_s + rows.until_s) / 2 > from_s


def balls_on(
    desk: Desk,
    now: Followed,
    who: Mapping[str, Sequence[str]],
    from_: datetime,
    until: datetime,
) -> dict[str, BallsOf]:
    """Return how warm root balls are on benches, and whose each is.

    Pots of one size that are as wet, on benches that are alike, are made once.
    """
    met, found = as_met(now.yarded.benches, who), dict[str, BallsOf]()
    for bench in set(met.values()):
        here = [key for key in who if met[key] == bench]
        keys = [key for bench_key in here for key in who[bench_key]]
        found |= dict.fromkeys(here, _balls_of(desk, now, bench, keys, from_, until))
    return found


def _balls_of(
    desk: Desk,
    now: Followed,
    bench: Bench,
    keys: Sequence[str],
    from_: datetime,
    until: datetime,
) -> BallsOf:
    library = desk.library()
    some = list(_pots_and_water(desk, now, keys))
    alike = list(dict.fromkeys(some))
    lead_s, until_s = from_.timestamp() - LEAD_H * HOUR_S, until.timestamp()
    rows = hours_between(now.weather.rows, lead_s, until_s)
    told = root_ball(
        rows,
        now.yarded.spot,
        bench,
        library,
        Balls(
            pots=tuple(pot for pot, _ in alike),
            water_frac=np.array([water for _, water in alike]),
        ),
    )
    at = {one: place for place, one in enumerate(alike)}
    hours = _after(rows, from_.timestamp())
    balls = RootBall(
        temperature_c=told.temperature_c[..., hours],
        frozen_frac=told.frozen_frac[..., hours],
    )
    return balls, {key: at[one] for key, one in zip(keys, some, strict=True)}


def _pots_and_water(
    desk: Desk, now: Followed, keys: Sequence[str]
) -> Iterator[tuple[Pot, float]]:
    """Yield each tree's pot, as known or guessed, and how wet its ball is by now."""
    for key in keys:
        pot = pot_of(now.replay.nouns[key], desk.library())
        steps = round(now.held_ml[key] / volume_ml(pot) / WET_STEP_FRAC)
        yield pot, min(max(steps * WET_STEP_FRAC, WET_STEP_FRAC), WETTEST_FRAC)


def _view(
    key: str, warmth: Warmth, air_c: Row, balls: RootBall | None, place: int
) -> NightView:
    low_c = np.min(air_c, axis=-1)
    floor_c, damage_c = warmth.warn_below_c.value, warmth.damage_below_c.value
    line, roots_c = warmth.roots_below_c, _roots_low_c(balls, place)
    return NightView(
        key=key,
        warn_below_c=floor_c,
        damage_below_c=damage_c,
        warn_frac=float(np.mean(low_c < floor_c)),
        damage_frac=float(np.mean(low_c < damage_c)),
        low_c=spread_of(low_c),
        below_h=spread_of(np.sum(air_c < floor_c, axis=-1)),
        roots_below_c=line.value if line else None,
        roots_low_c=None if roots_c is None else float(np.median(roots_c)),
        roots_frac=_share_under(roots_c, line),
        frozen_frac=_frozen_frac(balls, place),
    )


def _roots_low_c(balls: RootBall | None, place: int) -> Row | None:
    return None if balls is None else balls.temperature_c[:, place].min(axis=-1)


def _share_under(roots_c: Row | None, line: Value | None) -> float:
    if roots_c is None or line is None:
        return 0.0
    return float(np.mean(roots_c < line.value))


def _frozen_frac(balls: RootBall | None, place: int) -> float:
    if balls is None:
        return 0.0
    most = balls.frozen_frac[:, place].max(axis=-1)
    return float(np.mean(most >= FROZEN_FRAC))


def spread_of(members: Row) -> Spread:
    """Return what members say: one in ten below, the middle, one in ten above."""
    low, middle, high = (float(q) for q in np.quantile(members, TENTHS))
    return Spread(p10=low, p50=middle, p90=high)

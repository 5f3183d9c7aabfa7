"""Alarms: what wind, showers, heat and sun on ice may do before tomorrow is over."""

from collections.abc import Callable, Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from math import erf, sqrt
from typing import Final, Literal, TypeAlias

import numpy as np

from arbuscula.desk import Desk
from arbuscula.desk.followed import Followed
from arbuscula.desk.nights import BallsOf, balls_on, on_benches, outdoors, spread_of
from arbuscula.desk.sheltering import masses_kg
from arbuscula.kinds.moving import WindFigures
from arbuscula.kinds.place import Bench, Exposure
from arbuscula.kinds.round import SunView, WindView
from arbuscula.kinds.said import Said
from arbuscula.kinds.weather import Row, WeatherRows
from arbuscula.microclimate.tipping import tipping_gust_m_s
from arbuscula.rules.roots import hot_roots, ice_in_sun
from arbuscula.rules.storm import may_hail
from arbuscula.rules.wind import against_wind
from arbuscula.state.replay import pot_of

Sort: TypeAlias = Literal["wind", "hail", "heat", "ice"]
Who: TypeAlias = Mapping[str, Sequence[str]]  # trees by bench
There: TypeAlias = Mapping[str, WeatherRows]  # the weather by bench
AHEAD: Final = timedelta(hours=36)
WARM_DAY_C: Final = 20.0  # no pot is asked about on a cooler one
ICY_C: Final = 0.0
SUNNY: Final = (Exposure.GLASSHOUSE, Exposure.COLD_FRAME)  # and all under the sky
SELDOM_SD: Final = -2.5  # not worth counting


@dataclass(frozen=True, slots=True, kw_only=True)
class Danger:
    """One danger on one bench, whom it meets, and what helps."""

    sort: Sort
    bench: str
    name: str
    trees: tuple[str, ...]  # labels
    do: Said  # as it is for the first of them, who is worst off
    from_: datetime
    until: datetime


def dangers(
    desk: Desk, now: Followed, at: datetime, sheltered: Collection[str]
) -> Iterator[Danger]:
    """Yield what threatens until tomorrow evening, the most pressing first.

    Those that come in for the night have nothing to fear from ice in the morning.
    """
    out, in_sun = outdoors(desk, now), _in_sun(desk, now)
    there = on_benches(desk, now, in_sun, at, at + AHEAD)
    yield from _wind(desk, now, out, there, at)
    yield from _hail(desk, now, out, there, at)
    yield from _roots(desk, now, in_sun, there, at, sheltered)


def _danger(
    now: Followed,
    sort: Sort,
    bench_key: str,
    found: Sequence[tuple[str, Said]],
    at: datetime,
) -> Danger:
    nouns = now.yarded.nouns
    return Danger(
        sort=sort,
        bench=bench_key,
        name=now.yarded.benches[bench_key].name,
        trees=tuple(nouns[key].label or key for key, _ in found),
        do=found[0][1],
        from_=at,
        until=at + AHEAD,
    )


# Wind


def _wind(
    desk: Desk, now: Followed, out: Who, there: There, at: datetime
) -> Iterator[Danger]:
    """Yield, bench by bench, whom to tie and whom to set on the ground."""
    figures, mass_kg = desk.library().moving.wind, masses_kg(now)
    for bench_key, keys in out.items():
        wind_m_s = np.atleast_2d(there[bench_key].wind_speed_2m_m_s)
        hour_m_s = np.max(wind_m_s, axis=-1)
        gusts_m_s = figures.gust_ratio.value * hour_m_s
        views = list(_wind_views(desk, now, keys, mass_kg, gusts_m_s))
        views.sort(key=lambda view: -view.tips_frac)
        told = [(view.key, against_wind(view, figures)) for view in views]
        for message_id in ("wind.tie", "wind.ground"):
            some = [(k, said) for k, said in told if said is not None]
            some = [(k, said) for k, said in some if said.message_id == message_id]
            if some:
                yield _danger(now, "wind", bench_key, some, at)


def _wind_views(
    desk: Desk,
    now: Followed,
    keys: Sequence[str],
    mass_kg: Mapping[str, float],
    gusts_m_s: Row,
) -> Iterator[WindView]:
    """Yield the coming wind at every tree of a bench."""
    library, nouns = desk.library(), now.yarded.nouns
    figures, gust_m_s = library.moving.wind, spread_of(gusts_m_s)
    tips_m_s = np.array(
        [
            tipping_gust_m_s(noun, pot_of(noun, library), figures, mass_kg=mass_kg[key])
            for key, noun in ((key, nouns[key]) for key in keys)
        ]
    )
    below_m_s = figures.ground_ratio.value * gusts_m_s
    tips_frac = _tips_frac(gusts_m_s, tips_m_s, figures)
    on_ground_frac = _tips_frac(below_m_s, tips_m_s, figures)
    for n, key in enumerate(keys):
        yield WindView(
            key=key,
            tips_m_s=float(tips_m_s[n]),
            gust_m_s=gust_m_s,
            tips_frac=float(tips_frac[n]),
            tips_on_ground_frac=float(on_ground_frac[n]),
        )


def _tips_frac(gusts_m_s: Row, tips_m_s: Row, figures: WindFigures) -> Row:
    """Return the chance that each tips; by how much the wind may be off is in it."""
    ratio = np.maximum(gusts_m_s, 1e-3) / tips_m_s[:, np.newaxis]
    over = np.log(ratio) / figures.tips_ln.value
    counts = np.max(over, axis=-1) >= SELDOM_SD
    chance = np.zeros(tips_m_s.size)
    chance[counts] = np.mean(_share_under(over[counts]), axis=-1)
    return chance


def _share_under(sd: Row) -> Row:
    """Return how much of a normal spread lies under so many standard deviations."""
    return np.array([0.5 * (1 + erf(n / sqrt(2))) for n in sd.flat]).reshape(sd.shape)


# Showers


def _hail(
    desk: Desk, now: Followed, out: Who, there: There, at: datetime
) -> Iterator[Danger]:
    """Yield that a downpour may bring hail, on benches under nothing at all."""
    figures = desk.library().moving.storm
    for bench_key, keys in out.items():
        if now.yarded.benches[bench_key].exposure is not Exposure.OPEN:
            continue
        warm = there[bench_key].air_temperature_c >= figures.warm_c.value
        pours = there[bench_key].rain_mm >= figures.downpour_mm_h.value
        said = may_hail(float(np.mean(np.any(pours & warm, axis=-1))), figures)
        if said is not None:
            yield _danger(now, "hail", bench_key, [(key, said) for key in keys], at)


# Roots


def _roots(
    desk: Desk,
    now: Followed,
    in_sun: Who,
    there: There,
    at: datetime,
    sheltered: Collection[str],
) -> Iterator[Danger]:
    """Yield pots that grow too hot, and frozen ones on which the sun will stand."""
    figures, lines = desk.library().moving.roots, desk.library().benches.roots
    asked = {b: keys for b, keys in in_sun.items() if _is_asked(there[b])}
    balls = balls_on(desk, now, asked, at, at + AHEAD)
    for bench_key, keys in asked.items():
        views = list(_sun_views(desk, keys, there[bench_key], balls[bench_key]))
        yield from _told(
            now, "heat", bench_key, views, lambda v: hot_roots(v, figures, lines), at
        )
        if not _is_roofed(now.yarded.benches[bench_key]):
            left = [view for view in views if view.key not in sheltered]
            yield from _told(
                now, "ice", bench_key, left, lambda v: ice_in_sun(v, figures), at
            )


def _is_asked(there: WeatherRows) -> bool:
    """Return whether it is warm enough to ask about heat, or cold enough for ice."""
    air_c = np.atleast_2d(there.air_temperature_c)
    return float(np.min(air_c)) <= ICY_C or float(np.max(air_c)) >= WARM_DAY_C


def _told(
    now: Followed,
    sort: Sort,
    bench_key: str,
    views: Sequence[SunView],
    rule: Callable[[SunView], Said | None],
    at: datetime,
) -> Iterator[Danger]:
    found = [(view.key, said) for view in views if (said := rule(view))]
    if found:
        yield _danger(now, sort, bench_key, found, at)


def _in_sun(desk: Desk, now: Followed) -> dict[str, list[str]]:
    """Return who stands under the sky or under glass."""
    found = outdoors(desk, now)
    for key in now.replay.trees.keys:
        bench_key = now.replay.nouns[key].bench or ""
        bench = now.yarded.benches.get(bench_key)
        if bench is not None and bench.exposure in SUNNY:
            found.setdefault(bench_key, []).append(key)
    return found


def _is_roofed(bench: Bench) -> bool:
    return bench.exposure in SUNNY


def _sun_views(
    desk: Desk, keys: Sequence[str], there: WeatherRows, balls_of: BallsOf
) -> Iterator[SunView]:
    lines, figures = desk.library().benches.roots, desk.library().moving.roots
    balls, places = balls_of
    lasts_n = min(round(lines.lasts_h.value), balls.temperature_c.shape[-1])
    sunny = np.atleast_2d(there.shortwave_w_m2) >= figures.sun_w_m2.value
    made: dict[int, SunView] = {}  # those alike are looked at once
    for key in keys:
        place = places[key]
        if place not in made:
            ball_c = balls.temperature_c[:, place]
            windows = np.lib.stride_tricks.sliding_window_view(ball_c, lasts_n, axis=-1)
            high_c = windows.min(axis=-1).max(axis=-1)
            icy = balls.frozen_frac[:, place] >= figures.frozen_frac.value
            made[place] = SunView(
                key=key,
                high_c=float(np.median(high_c)),
                hot_frac=float(np.mean(high_c >= lines.warn_above_c.value)),
                burns_frac=float(np.mean(high_c >= lines.damage_above_c.value)),
                frozen_sun_frac=float(np.mean(np.any(icy & sunny, axis=-1))),
            )
        yield replace(made[place], key=key)

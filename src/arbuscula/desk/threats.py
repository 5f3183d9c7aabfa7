"""Threats: what may come over the trees of a yard, by bench, species and hour."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

import numpy as np
from numpy.typing import NDArray

from arbuscula.desk import Desk
from arbuscula.desk.followed import Yarded, local_of, weather_of
from arbuscula.desk.local import LocalNights, on_bench
from arbuscula.kinds.alarm import Peril, Threat
from arbuscula.kinds.forecast import WeatherSort, YardWeather
from arbuscula.kinds.library import Library
from arbuscula.kinds.moving import WindFigures
from arbuscula.kinds.place import Bench
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.said import Figure
from arbuscula.kinds.weather import Row, WeatherRows
from arbuscula.microclimate.root_ball import Balls, root_ball
from arbuscula.microclimate.shelter import is_described, rows_on_bench
from arbuscula.microclimate.tipping import tipping_gust_m_s, usual_mass_kg
from arbuscula.state.ensemble import normals
from arbuscula.state.replay import Noun, guessed_pot, hour_of
from arbuscula.units import HOUR_S

FRESH_H: Final = 24.0
LEAD_H: Final = 72  # what root balls remember
NOON: Final = time(12)
SOON_FRAC: Final = 0.1  # a chance from which an hour is told as the first
FROST_C: Final = 0.0
DAY: Final = timedelta(days=1)

Bad = NDArray[np.bool_]
Chances = tuple[tuple[datetime, float], ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Span:
    """A night or a day ahead."""

    name: str  # the date it is called by
    begins: datetime
    ends: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """The trees of one species on one bench."""

    bench_key: str
    bench: Bench
    species: str
    nouns: Mapping[str, Noun]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Balls:
    """Root balls on a bench: members, kinds of pot, hours."""

    temperature_c: Row
    frozen_frac: Row  # of the ball's water
    places: Mapping[str, int]  # each tree's pot among them


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ahead:
    """What is asked of, and the weather for it."""

    desk: Desk
    yarded: Yarded
    weather: YardWeather
    local: LocalNights
    at: datetime

    @property
    def library(self) -> Library:
        return self.desk.library()


def threats_to(
    desk: Desk, yarded: Yarded, at: datetime
) -> tuple[tuple[Threat, ...], YardWeather]:
    """Return every peril to every species on every bench, and the weather used.

    What no fresh forecast tells is not made up out of the usual weather: instead
    the night is called unknown.
    """
    at = at.astimezone(ZoneInfo(yarded.yard.timezone))
    nights, days = nights_ahead(at), days_ahead(at)
    last_h = hour_of(max(span.ends for span in (*nights, *days))) + 1
    now_h = hour_of(at)
    local = local_of(desk, yarded, at)
    weather = weather_of(desk, yarded, now_h - LEAD_H, last_h, at, local=local)
    ahead = _Ahead(desk=desk, yarded=yarded, weather=weather, local=local, at=at)
    found = [
        threat
        for standing in standings(yarded)
        for threat in _of_standing(ahead, standing, nights, days)
    ]
    return (*found, *_blind(ahead, nights, found)), weather


def nights_ahead(at: datetime) -> tuple[Span, ...]:
    """Return the nights until tomorrow's noon, each from noon to noon."""
    tomorrow = datetime.combine(at.date() + DAY, NOON, tzinfo=at.tzinfo)
    today = tomorrow - DAY
    if at >= today:
        return (Span(name=f"{at.date()}", begins=at, ends=tomorrow),)
    return (
        Span(name=f"{at.date() - DAY}", begins=at, ends=today),
        Span(name=f"{at.date()}", begins=today, ends=tomorrow),
    )


def days_ahead(at: datetime) -> tuple[Span, ...]:
    """Return what is left of today, and tomorrow."""
    midnight = datetime.combine(at.date() + DAY, time(0), tzinfo=at.tzinfo)
    return (
        Span(name=f"{at.date()}", begins=at, ends=midnight),
        Span(name=f"{midnight.date()}", begins=midnight, ends=midnight + DAY),
    )


def standings(yarded: Yarded) -> Iterator[Standing]:
    """Yield who stands where, bench by bench and species by species."""
    for key, bench in yarded.benches.items():
        here = [n for n in yarded.book.benches.get(key, ()) if n in yarded.nouns]
        for species in sorted({yarded.nouns[name].species for name in here}):
            nouns = {
                name: yarded.nouns[name]
                for name in here
                if yarded.nouns[name].species == species
            }
            yield Standing(bench_key=key, bench=bench, species=species, nouns=nouns)


def is_told(
    weather: YardWeather,
    begins: datetime,
    ends: datetime,
    quantity: str = "air_temperature_c",
) -> bool:
    """Return whether a forecast no older than a day tells all of a time."""
    reach_s = begins.timestamp()
    fresh = [
        (stretch.from_s, stretch.until_s)
        for stretch in weather.stretches
        if stretch.sort is WeatherSort.FORECAST
        if stretch.age_h is not None and stretch.age_h <= FRESH_H
        if quantity in stretch.quantities
    ]
    for from_s, until_s in sorted(fresh):
        if from_s <= reach_s + HOUR_S:
            reach_s = max(reach_s, until_s)
    return reach_s >= ends.timestamp()


def _of_standing(
    ahead: _Ahead, standing: Standing, nights: Sequence[Span], days: Sequence[Span]
) -> Iterator[Threat]:
    shelter = ahead.library.shelters[standing.bench.exposure]
    if not (shelter.outdoors or is_described(standing.bench)):
        return  # a wide guess of a room's warmth is no ground for an alarm
    here = _bench_rows(ahead, standing)
    pots = {
        name: noun.pot or guessed_pot(noun.crown or "medium", ahead.library)
        for name, noun in standing.nouns.items()
    }
    balls = _balls_of(ahead, standing.bench, pots)
    for span in nights:
        if is_told(ahead.weather, span.begins, span.ends):
            yield _cold(ahead, standing, here, span)
            yield from _cold_roots(ahead, standing, balls, span)
    for span in days:
        if is_told(ahead.weather, span.begins, span.ends):
            yield _hot_roots(ahead, standing, balls, span)
        if shelter.outdoors and _is_told_all(ahead, span, "wind_speed_2m_m_s"):
            yield _wind(ahead, standing, here, pots, span)
        if shelter.outdoors and _is_told_all(ahead, span, "rain_mm"):
            yield _rain(ahead, standing, here, span)


def _is_told_all(ahead: _Ahead, span: Span, quantity: str) -> bool:
    return is_told(ahead.weather, span.begins, span.ends, quantity)


def _balls_of(ahead: _Ahead, bench: Bench, pots: Mapping[str, Pot]) -> _Balls:
    """Return root balls by member, kind of pot and hour, and each tree's pot."""
    kinds = [*dict.fromkeys(pots.values())]
    balls = Balls(pots=tuple(kinds))
    found = root_ball(
        ahead.weather.rows, ahead.yarded.spot, bench, ahead.library, balls
    )
    places = {name: kinds.index(pot) for name, pot in pots.items()}
    return _Balls(
        temperature_c=found.temperature_c, frozen_frac=found.frozen_frac, places=places
    )


# One peril each


def _cold(ahead: _Ahead, standing: Standing, here: WeatherRows, span: Span) -> Threat:
    warmth = ahead.library.species[standing.species].warmth
    air_c = np.atleast_2d(here.air_temperature_c)[:, _within(ahead, span)]
    warn_c, damage_c = warmth.warn_below_c.value, warmth.damage_below_c.value
    low_c = air_c.min(axis=1)
    return _threat(
        ahead,
        standing,
        span,
        Peril.COLD,
        past=air_c < warn_c,
        damaged=low_c < damage_c,
        figures={
            "below_c": warn_c,
            "damage_c": damage_c,
            "low_c": float(np.median(low_c)),
        },
    )


def _cold_roots(
    ahead: _Ahead,
    standing: Standing,
    balls: _Balls,
    span: Span,
) -> Iterator[Threat]:
    """Yield that root balls fall to where they must not, if the species has such."""
    line = ahead.library.species[standing.species].warmth.roots_below_c
    if line is None:
        return
    hours = _within(ahead, span)
    hours_c, frost_c = balls.temperature_c[..., hours], min(FROST_C, line.value)
    below = hours_c < line.value
    ice = balls.frozen_frac[..., hours] >= ahead.library.alarms.ice_frac.value
    harmed = ice if frost_c == FROST_C else below  # ice holds a ball at nought
    frozen = harmed.any(axis=-1).mean(axis=0).max()
    low_c = float(np.median(hours_c.min(axis=-1), axis=0).min())
    yield _of_pots(
        ahead,
        standing,
        span,
        Peril.ROOTS,
        past=below,
        places=balls.places,
        damage_frac=float(frozen),
        figures={"below_c": line.value, "damage_c": frost_c, "low_c": low_c},
    )


def _hot_roots(
    ahead: _Ahead,
    standing: Standing,
    balls: _Balls,
    span: Span,
) -> Threat:
    lines = ahead.library.benches.roots
    lasts_n = round(lines.lasts_h.value)
    before = [np.roll(balls.temperature_c, n, axis=-1) for n in range(lasts_n)]
    lasting_c = np.min(before, axis=0)[..., _within(ahead, span)]
    damage_c = lines.damage_above_c.value
    burnt = (lasting_c > damage_c).any(axis=-1).mean(axis=0).max()
    high_c = float(np.median(lasting_c.max(axis=-1), axis=0).max())
    return _of_pots(
        ahead,
        standing,
        span,
        Peril.HEAT,
        past=lasting_c > lines.warn_above_c.value,
        places=balls.places,
        damage_frac=float(burnt),
        figures={
            "above_c": lines.warn_above_c.value,
            "damage_c": damage_c,
            "high_c": high_c,
        },
    )


def _wind(
    ahead: _Ahead,
    standing: Standing,
    here: WeatherRows,
    pots: Mapping[str, Pot],
    span: Span,
) -> Threat:
    figures = ahead.library.moving.wind
    wind_m_s = np.atleast_2d(here.wind_speed_2m_m_s)[:, _within(ahead, span)]
    gust_m_s = figures.gust_ratio.value * wind_m_s
    tips_m_s = {
        name: tipping_gust_m_s(
            noun, pots[name], figures, mass_kg=usual_mass_kg(pots[name], figures)
        )
        for name, noun in standing.nouns.items()
    }
    limits = sorted(set(tips_m_s.values()))
    off = _unsure(figures, gust_m_s.shape[0])
    past = gust_m_s[:, np.newaxis] > np.array(limits)[:, np.newaxis] * off
    return _of_pots(
        ahead,
        standing,
        span,
        Peril.WIND,
        past=past,
        places={name: limits.index(tip) for name, tip in tips_m_s.items()},
        damage_frac=0.0,
        figures={
            "gust_m_s": float(np.median(gust_m_s.max(axis=1))),
            "tips_m_s": limits[0],
        },
    )


def _unsure(figures: WindFigures, members_n: int) -> Row:
    """Return how far each member's tipping gust is off, members first."""
    z = normals("tipping", members_n=members_n)
    return np.exp(figures.tips_ln.value * z)[:, np.newaxis, np.newaxis]


def _rain(ahead: _Ahead, standing: Standing, here: WeatherRows, span: Span) -> Threat:
    figures = ahead.library.alarms
    rain_mm = np.atleast_2d(here.rain_mm)[:, _within(ahead, span)]
    warn_mm, damage_mm = figures.rain_warn_mm.value, figures.rain_damage_mm.value
    most_mm = rain_mm.max(axis=1)
    return _threat(
        ahead,
        standing,
        span,
        Peril.RAIN,
        past=rain_mm > warn_mm,
        damaged=most_mm > damage_mm,
        figures={
            "above_mm": warn_mm,
            "damage_mm": damage_mm,
            "most_mm": float(np.median(most_mm)),
        },
    )


def _blind(
    ahead: _Ahead, nights: Sequence[Span], found: Sequence[Threat]
) -> Iterator[Threat]:
    """Yield that no forecast tells the night, and how bad usual nights may be."""
    outdoors = [
        standing
        for standing in standings(ahead.yarded)
        if ahead.library.shelters[standing.bench.exposure].outdoors
    ]
    told = {threat.when for threat in found if threat.peril is Peril.COLD}
    for span in nights[-1:]:
        if outdoors and span.name not in told:
            usual = [_usual_cold(ahead, standing, span) for standing in outdoors]
            yield Threat(
                peril=Peril.BLIND,
                when=span.name,
                warn_frac=max(usual),
                begins=span.begins,
                figures={"usual_frac": max(usual)},
            )


def _usual_cold(ahead: _Ahead, standing: Standing, span: Span) -> float:
    """Return the chance that a usual night of these weeks is too cold for them."""
    return _cold(ahead, standing, _bench_rows(ahead, standing), span).warn_frac


# What they have in common


def _bench_rows(ahead: _Ahead, standing: Standing) -> WeatherRows:
    """Return the weather on a bench, as its own thermometer has it."""
    shelter = ahead.library.shelters[standing.bench.exposure]
    rows, spot = ahead.weather.rows, ahead.yarded.spot
    here = rows_on_bench(rows, standing.bench, shelter, spot)
    return on_bench(here, ahead.local, standing.bench_key, ahead.yarded.yard)


def _within(ahead: _Ahead, span: Span) -> Bad:
    rows = ahead.weather.rows
    ahead_of_s = max(span.begins.timestamp(), ahead.at.timestamp())
    return (rows.until_s > ahead_of_s) & (rows.from_s < span.ends.timestamp())


def _threat(
    ahead: _Ahead,
    standing: Standing,
    span: Span,
    peril: Peril,
    *,
    past: Bad,
    damaged: Bad,
    figures: Mapping[str, Figure],
) -> Threat:
    """Return a peril that is the same to all of a standing."""
    by_hour = _by_hour(ahead, span, past.mean(axis=0))
    return Threat(
        peril=peril,
        when=span.name,
        bench=standing.bench_key,
        species=standing.species,
        trees=tuple(standing.nouns),
        warn_frac=float(past.any(axis=1).mean()),
        damage_frac=float(damaged.mean()),
        by_hour=by_hour,
        begins=_first(by_hour),
        figures=figures,
    )


def _of_pots(
    ahead: _Ahead,
    standing: Standing,
    span: Span,
    peril: Peril,
    *,
    past: Bad,
    places: Mapping[str, int],
    damage_frac: float,
    figures: Mapping[str, Figure],
) -> Threat:
    """Return a peril that differs from pot to pot: members, pots, hours."""
    by_pot = past.any(axis=-1).mean(axis=0)
    worst = int(by_pot.argmax())
    by_hour = _by_hour(ahead, span, past[:, worst].mean(axis=0))
    return Threat(
        peril=peril,
        when=span.name,
        bench=standing.bench_key,
        species=standing.species,
        trees=tuple(
            name
            for name, place in places.items()
            if by_pot[place] >= min(SOON_FRAC, by_pot[worst])
        ),
        warn_frac=float(by_pot[worst]),
        damage_frac=damage_frac,
        by_hour=by_hour,
        begins=_first(by_hour),
        figures=figures,
    )


def _by_hour(ahead: _Ahead, span: Span, chances: Row) -> Chances:
    hours_s = ahead.weather.rows.from_s[_within(ahead, span)]
    return tuple(
        (datetime.fromtimestamp(float(s), ahead.at.tzinfo), float(frac))
        for s, frac in zip(hours_s, chances, strict=True)
    )


def _first(by_hour: Chances) -> datetime | None:
    """Return the first hour of some chance; else the likeliest, if any is."""
    soon = [hour for hour, frac in by_hour if frac >= SOON_FRAC]
    some = [(frac, hour) for hour, frac in by_hour if frac > 0]
    if soon:
        return soon[0]
    return max(some, key=lambda pair: pair[0])[1] if some else None

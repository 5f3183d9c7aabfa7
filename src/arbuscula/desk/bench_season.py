"""Bench season: when a tree grows on one bench, and when it is warm enough there."""

from dataclasses import dataclass, replace
from datetime import UTC, datetime, timedelta
from typing import Final

import numpy as np

from arbuscula.catalog.spoken import species_from_words
from arbuscula.desk import Desk
from arbuscula.desk.bench_climate import spot_of
from arbuscula.desk.metered import metered
from arbuscula.desk.names import Known, known_from, meant
from arbuscula.desk.season import (
    USUAL,
    WHOLE_YEAR,
    Outdoors,
    Season,
    growing_of,
    grows_of,
    outdoors_of,
    rounded,
    seasons,
)
from arbuscula.desk.windows import Windows
from arbuscula.kinds.events import Sort
from arbuscula.kinds.place import Bench, Yard
from arbuscula.kinds.said import Figure, Said, Sentence
from arbuscula.kinds.season import SeasonFigures
from arbuscula.kinds.species import Warmth
from arbuscula.kinds.weather import Row, WeatherRows
from arbuscula.kinds.world import Curve, Place
from arbuscula.ledger.book import all_events
from arbuscula.microclimate.shelter import rows_on_bench
from arbuscula.science.light import sun_light_mol_m2_d
from arbuscula.science.season import (
    Stretch,
    Which,
    Whole,
    centred_mean_c,
    is_growing,
    last_cold_d,
    stretch_around,
    weekly_cold_frac,
)
from arbuscula.state.ensemble import TENTHS
from arbuscula.units import DAY_H, mj_m2_d_from_w_m2
from arbuscula.weather.usual import usual_weather
from arbuscula.weather.year import DAYS_N, month_means

YEARS_N: Final = 40  # drawn
FIRST: Final = datetime(2025, 1, 1, tzinfo=UTC)  # of any year without a leap day
LEAD: Final = timedelta(days=3)


def season_on_bench(desk: Desk, name: str, *, species: str | None = None) -> Season:
    """Say when a species grows on a bench of the book, and when it may stand there.

    Air and light are those of the bench; the place's own curves give the rest.
    """
    known = known_from(all_events(desk.ledger()))
    key = meant(known, name, Sort.BENCH).name
    bench, yard = known.benches[key], known.yards[known.benches[key].yard]
    kind = species_from_words(species or _usual_there(known, key), desk.library())
    read = metered(
        desk, bench.yard, yard, {key: bench}, known.events, desk.clock()
    ).get(key)
    (of_place,) = seasons(desk, [_place(desk, yard)], species=kind)
    days = _days(desk, yard, read.bench if read else bench)
    warmth, figures = desk.library().species[kind].warmth, desk.library().season
    windows = _windows(days, warmth, figures)
    floor_c = warmth.warn_below_c.value
    growing = growing_of(windows)
    outdoors = outdoors_of(windows, (), floor_c, figures.accepted_frac.value)
    where = Said("season.at_bench", {"bench": bench.name})
    return replace(
        of_place,
        bench=bench.name,
        growing=growing,
        outdoors=outdoors,
        night_min_c=rounded(month_means(days.night_c.mean(axis=0))),
        day_max_c=rounded(month_means(days.day_c.mean(axis=0))),
        dli_mol_m2_d=rounded(month_means(days.light_mol_m2_d)),
        sentence=Sentence((where, _warm(outdoors), grows_of(growing))),
        notes=(Said("season.of_bench", {"bench": bench.name}),),
    )


def _warm(outdoors: Outdoors) -> Said:
    """Return when the usual night there is at or above the floor."""
    from_, until = outdoors.practice.out, outdoors.practice.in_
    floor: dict[str, Figure] = {"floor_c": outdoors.floor_c}
    if from_ is None or until is None:
        return Said("season.warm_never", floor)
    if (from_, until) == WHOLE_YEAR:
        return Said("season.warm_always", floor)
    return Said(
        "season.warm_from", {"from_about": from_, "until_about": until, **floor}
    )


def _usual_there(known: Known, key: str) -> str:
    """Return the species of the first that stands there."""
    names = known.book.benches.get(key, ())
    return next((known.book.kept[n].species for n in names), USUAL)


def _place(desk: Desk, yard: Yard) -> Place:
    spot = spot_of(desk, yard)
    return Place(
        name=yard.name,
        country="",
        latitude_deg=spot.latitude_deg,
        longitude_deg=spot.longitude_deg,
        elevation_m=spot.elevation_m,
        timezone=yard.timezone,
    )


@dataclass(frozen=True, slots=True, kw_only=True)
class _Days:
    """Days on a bench: years first, days last; light is that of all years."""

    night_c: Curve
    day_c: Curve
    mean_c: Curve
    light_mol_m2_d: Curve


def _of_hours(rows: WeatherRows) -> _Days:
    air_c = _by_day(rows.air_temperature_c)
    light_w_m2 = _by_day(rows.shortwave_w_m2).mean(axis=(0, -1))
    return _Days(
        night_c=air_c.min(axis=-1),
        day_c=air_c.max(axis=-1),
        mean_c=air_c.mean(axis=-1),
        light_mol_m2_d=np.asarray(sun_light_mol_m2_d(mj_m2_d_from_w_m2(light_w_m2))),
    )


def _by_day(hours: Row) -> Row:
    """Return a year's hours as days, without those before it."""
    year = np.atleast_2d(hours)[:, LEAD // timedelta(hours=1) :]
    return year[:, : DAYS_N * DAY_H].reshape(len(year), DAYS_N, DAY_H)


def _days(desk: Desk, yard: Yard, bench: Bench) -> _Days:
    spot = spot_of(desk, yard)
    first_s, last_s = (
        at.timestamp() for at in (FIRST - LEAD, FIRST + timedelta(days=DAYS_N))
    )
    rows = usual_weather(desk.world(), spot)(first_s, last_s, None, YEARS_N)
    shelter = desk.library().shelters[bench.exposure]
    return _of_hours(rows_on_bench(rows, bench, shelter, spot))


def _windows(days: _Days, warmth: Warmth, figures: SeasonFigures) -> Windows:
    """Return what is counted on a bench, as a place's windows are."""
    half_d, floor_c = int(figures.window_d.value) // 2, warmth.warn_below_c.value

    def smooth(curve: Curve) -> Curve:
        around = np.concatenate(
            [curve[..., -half_d:], curve, curve[..., :half_d]], axis=-1
        )
        return centred_mean_c(around, window_d=2 * half_d + 1)

    grown = is_growing(
        mean_c=smooth(days.mean_c),
        base_c=warmth.base_c.value,
        light_mol_m2_d=smooth(days.light_mol_m2_d),
        enough_mol_m2_d=figures.growing_light_mol_m2_d.value,
    )
    growing_frac = grown.mean(axis=0)
    nights_c = smooth(days.night_c.mean(axis=0))
    warmest_n = np.asarray(nights_c.argmax())
    weekly_frac = weekly_cold_frac(days.night_c, floor_c=floor_c)
    return Windows(
        growing_frac=growing_frac,
        growing=stretch_around(
            growing_frac[None, :] >= np.array(TENTHS)[:, None],
            middle_n=np.asarray(growing_frac.argmax())[None],
        ),
        practice=_around(nights_c >= floor_c, warmest_n),
        practice_off_d=np.asarray(np.nan),
        weekly_frac=weekly_frac,
        risk=_around(
            weekly_frac <= figures.accepted_frac.value,
            np.asarray(weekly_frac.argmin()),
        ),
        last_cold_n=_last_cold_n(days.night_c, warmest_n, floor_c),
        thermal_d=np.asarray(np.nan),
    )


def _around(inside: Which, middle_n: Whole) -> Stretch:
    return stretch_around(inside, middle_n=middle_n)


def _last_cold_n(night_c: Curve, warmest_n: Whole, floor_c: float) -> Curve:
    back_d = last_cold_d(night_c, floor_c=floor_c, before_n=warmest_n)
    ahead_d = np.quantile(-back_d, TENTHS, method="inverted_cdf")
    there = np.isfinite(ahead_d)
    return np.where(there, (warmest_n + np.where(there, ahead_d, 0)) % DAYS_N, np.nan)

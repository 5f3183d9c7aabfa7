"""Bench climate: light, warmth and roots on a bench by month, and what it suits."""

from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, fields
from datetime import UTC, datetime, timedelta
from functools import partial
from typing import Final, Literal, TypeAlias

import numpy as np

from arbuscula.catalog.spoken import pot_from_words, species_from_words
from arbuscula.desk import Desk
from arbuscula.desk.plants import PlantRow
from arbuscula.kinds.library import Library
from arbuscula.kinds.place import Bench, Exposure, Yard
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.said import Figure, Said
from arbuscula.kinds.species import Species
from arbuscula.kinds.values import Spread, Value
from arbuscula.kinds.weather import Row, Spot, WeatherRows
from arbuscula.microclimate.root_ball import Balls, RootBall, root_ball
from arbuscula.microclimate.shares import rain_frac
from arbuscula.microclimate.shelter import IN_ROOMS, is_described, rows_on_bench
from arbuscula.science.light import sun_light_mol_m2_d
from arbuscula.state.ensemble import TENTHS
from arbuscula.units import (
    DAY_H,
    mj_m2_d_from_w_m2,
)
from arbuscula.weather.normals import normals_at
from arbuscula.weather.usual import usual_weather
from arbuscula.weather.year import DAYS_N, MONTH_DAYS_N

USUAL: Final = "ficus-microcarpa"
USUAL_POT: Final = "oval 20 cm"
YEARS_N: Final = 20  # drawn
FIRST: Final = datetime(2025, 1, 1, tzinfo=UTC)  # of any year without a leap day
LEAD: Final = timedelta(days=3)  # what roots and walls remember
MONTHS_N: Final = 12
SEASON_N: Final = 3  # months in a row
FROZEN_FRAC: Final = 0.99

Suits: TypeAlias = Literal["grows", "kept", "dies"]
LightFrom: TypeAlias = Literal["meter", "sky", "geometry", "shares"]


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchMonth:
    """One month on a bench; spreads are those of the years, light's of doubt too."""

    month_n: int
    dli_mol_m2_d: Spread
    air_mean_c: float
    air_low_c: Spread  # of the month
    air_high_c: Spread
    humidity_frac: float  # mean
    ball_low_c: Spread
    ball_high_c: Spread  # that lasts two hours
    frozen_frac: float  # share of years in which the ball freezes through
    suits: Suits
    because: Said


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchShown:
    """The answer: one bench, who stands there, and what it is like by month."""

    schema: Literal["arbuscula.bench/1"] = "arbuscula.bench/1"
    key: str | None = None  # None: of no book
    yard: str
    bench: Bench
    species: str
    pot: Pot
    light_from: LightFrom
    light_ratio: Spread | None = None  # read at the leaf over what was worked out
    rain_frac: float  # of what falls outside
    months: tuple[BenchMonth, ...]
    verdict: tuple[Said, ...]  # the worst first
    notes: tuple[Said, ...]
    trees: tuple[PlantRow, ...] = ()  # along the walk
    room: Said | None = None  # how many more it holds


@dataclass(frozen=True, slots=True, kw_only=True)
class _Year:
    """Years on a bench: each figure by year and month."""

    dli_mol_m2_d: Row
    mean_c: Row
    low_c: Row
    high_c: Row
    humidity_frac: Row
    ball_low_c: Row
    ball_high_c: Row
    is_frozen: Row  # 1 where a ball froze through


def bench_months(
    desk: Desk,
    yard: Yard,
    bench: Bench,
    *,
    species: str = USUAL,
    pot: str | Pot = USUAL_POT,
    in_month: Mapping[int, Bench] | None = None,
    doubt: Value | None = None,
) -> BenchShown:
    """Say what a bench is like through the usual year, for one species and pot.

    Neither yard nor bench need be in the book: a buyer's window will do. What
    changes over the year stands in `in_month`; what a meter said of how far the
    light may be off, in `doubt`.
    """
    library = desk.library()
    key = species_from_words(species, library)
    vessel = pot if isinstance(pot, Pot) else pot_from_words(pot, library)
    spot = spot_of(desk, yard)
    rows, by_month = _rows(desk, spot), in_month or {}
    then = [by_month.get(n + 1, bench) for n in range(MONTHS_N)]
    years = {b: _year(rows, spot, b, library, vessel) for b in dict.fromkeys(then)}
    year = _put_together([years[b] for b in then])
    doubt = doubt or light_doubt(bench, library)
    months = tuple(_months(year, library.species[key], library, doubt))
    return BenchShown(
        yard=yard.name,
        bench=bench,
        species=key,
        pot=vessel,
        light_from=light_from(bench),
        rain_frac=rain_frac(bench, library.shelters[bench.exposure]),
        months=months,
        verdict=tuple(_verdict(months, library.species[key], library)),
        notes=tuple(_notes(bench)),
    )


def _put_together(by_month: Sequence[_Year]) -> _Year:
    """Return a year whose every month is that of its own description."""
    return _Year(
        **{
            f.name: np.stack(
                [getattr(year, f.name)[..., n] for n, year in enumerate(by_month)],
                axis=-1,
            )
            for f in fields(_Year)
        }
    )


def spot_of(desk: Desk, yard: Yard) -> Spot:
    """Return where a yard lies; as high as the land around, where nobody said."""
    height_m = yard.elevation_m
    if height_m is None:
        usual = normals_at(
            desk.world(),
            latitude_deg=yard.latitude_deg,
            longitude_deg=yard.longitude_deg,
        )
        height_m = float(usual.elevation_m)
    return Spot(
        latitude_deg=yard.latitude_deg,
        longitude_deg=yard.longitude_deg,
        elevation_m=height_m,
    )


def _rows(desk: Desk, spot: Spot) -> WeatherRows:
    """Return years of usual weather outside, and some days before them."""
    first_s, last_s = (
        at.timestamp() for at in (FIRST - LEAD, FIRST + timedelta(days=DAYS_N))
    )
    return usual_weather(desk.world(), spot)(first_s, last_s, None, YEARS_N)


def _year(
    rows: WeatherRows, spot: Spot, bench: Bench, library: Library, pot: Pot
) -> _Year:
    here = rows_on_bench(rows, bench, library.shelters[bench.exposure], spot)
    roots = root_ball(rows, spot, bench, library, Balls(pots=(pot,)))
    light = mj_m2_d_from_w_m2(np.atleast_2d(here.shortwave_w_m2))
    air_c = np.atleast_2d(here.air_temperature_c)
    return _Year(
        dli_mol_m2_d=_by_month(np.asarray(sun_light_mol_m2_d(light)), _mean),
        mean_c=_by_month(air_c, _mean),
        low_c=_by_month(air_c, _low),
        high_c=_by_month(air_c, _high),
        humidity_frac=_by_month(np.atleast_2d(here.relative_humidity_frac), _mean),
        **_roots_by_month(roots, library),
    )


def _roots_by_month(roots: RootBall, library: Library) -> dict[str, Row]:
    lasts_n = round(library.benches.roots.lasts_h.value)
    ball_c, frozen = roots.temperature_c[:, 0], roots.frozen_frac[:, 0]
    return {
        "ball_low_c": _by_month(ball_c, _low),
        "ball_high_c": _by_month(ball_c, partial(_lasting_high, lasts_n=lasts_n)),
        "is_frozen": (_by_month(frozen, _high) >= FROZEN_FRAC).astype(np.float64),
    }


def _by_month(hours: Row, of_month: Callable[[Row], Row]) -> Row:
    """Return one figure for each month of hours that begin some days before."""
    lead_n = LEAD // timedelta(hours=1)
    ends = np.cumsum(MONTH_DAYS_N)[:-1] * DAY_H
    parts = np.split(hours[..., lead_n:], ends, axis=-1)
    return np.stack([of_month(part) for part in parts], axis=-1)


def _mean(hours: Row) -> Row:
    return np.asarray(hours.mean(axis=-1))


def _low(hours: Row) -> Row:
    return np.asarray(hours.min(axis=-1))


def _high(hours: Row) -> Row:
    return np.asarray(hours.max(axis=-1))


def _lasting_high(hours: Row, *, lasts_n: int) -> Row:
    """Return the highest warmth that lasts so many hours."""
    stretches = np.lib.stride_tricks.sliding_window_view(hours, lasts_n, axis=-1)
    return np.asarray(stretches.min(axis=-1).max(axis=-1))


def light_from(bench: Bench) -> LightFrom:
    """Return what a bench's light rests on; a lamp's was metered by who told it."""
    of_lamp = bench.exposure is Exposure.LAMP and bench.ppfd_umol_m2_s is not None
    if of_lamp or bench.light_ratio is not None:
        return "meter"
    if bench.exposure is Exposure.OPEN:
        return "sky"
    is_netted = bench.exposure is Exposure.SHADE_NETTING
    shade_said = is_netted and bench.shade_frac is not None
    return "geometry" if shade_said or is_described(bench) else "shares"


def light_doubt(bench: Bench, library: Library) -> Value:
    """Return how far the light of a bench may be off, as a ratio to what is told."""
    figures, shelter = library.benches.light, library.shelters[bench.exposure]
    by = {"meter": figures.metered_ratio, "geometry": figures.computed_ratio}
    share = shelter.light_frac
    of_shares = Value(
        value=1.0,
        low=share.low / share.value,
        high=share.high / share.value,
        source=share.source,
        grade=share.grade,
    )
    return by.get(light_from(bench), of_shares)


def _months(
    year: _Year, species: Species, library: Library, doubt: Value
) -> Iterator[BenchMonth]:
    for n in range(MONTHS_N):
        light = _spread(year.dli_mol_m2_d[..., n])
        mean_c, low_c = float(np.mean(year.mean_c[..., n])), _spread(year.low_c[..., n])
        suits, because = _suits(n, light.p50, mean_c, low_c, species, library)
        yield BenchMonth(
            month_n=n + 1,
            dli_mol_m2_d=Spread(
                p10=light.p10 * doubt.low, p50=light.p50, p90=light.p90 * doubt.high
            ),
            air_mean_c=mean_c,
            air_low_c=low_c,
            air_high_c=_spread(year.high_c[..., n]),
            humidity_frac=float(np.mean(year.humidity_frac[..., n])),
            ball_low_c=_spread(year.ball_low_c[..., n]),
            ball_high_c=_spread(year.ball_high_c[..., n]),
            frozen_frac=float(np.mean(year.is_frozen[..., n])),
            suits=suits,
            because=because,
        )


def _spread(years: Row) -> Spread:
    low, middle, high = (float(q) for q in np.quantile(years, TENTHS))
    return Spread(p10=low, p50=middle, p90=high)


def _suits(
    n: int,
    light_mol_m2_d: float,
    mean_c: float,
    low_c: Spread,
    species: Species,
    library: Library,
) -> tuple[Suits, Said]:
    """Return what a month does to a tree that stands there, and by which figure."""
    warmth, light = species.warmth, {"light_mol_m2_d": light_mol_m2_d}
    dies_c, dies = warmth.damage_below_c.value, library.benches.fig.dies_below_mol_m2_d
    grows = library.season.growing_light_mol_m2_d.value
    month: dict[str, Figure] = {"month_part": f"{n + 1:02}-15"}
    if low_c.p50 < dies_c:
        figures = month | {"low_c": low_c.p50, "line_c": dies_c}
        return "dies", Said("suits.dies_cold", figures)
    if light_mol_m2_d < dies.value:
        figures = month | light | {"line_mol_m2_d": dies.value}
        return "dies", Said("suits.dies_dark", figures)
    if mean_c < warmth.base_c.value:
        figures = month | {"mean_c": mean_c, "line_c": warmth.base_c.value}
        return "kept", Said("suits.kept_cold", figures)
    if light_mol_m2_d < grows:
        figures = month | light | {"line_mol_m2_d": grows}
        return "kept", Said("suits.kept_dark", figures)
    return "grows", Said("suits.grows", month | light | {"mean_c": mean_c})


def _verdict(
    months: Sequence[BenchMonth], species: Species, library: Library
) -> Iterator[Said]:
    """Yield what becomes of a tree that stands there all year, the worst first."""
    cold = [m for m in months if m.because.message_id == "suits.dies_cold"]
    if cold:
        coldest = min(cold, key=lambda m: m.air_low_c.p50)
        yield Said("bench.dies_cold", {**coldest.because.figures})
    light = np.array([m.dli_mol_m2_d.p50 for m in months])
    dark = min(light[np.arange(n, n + SEASON_N) % MONTHS_N].mean() for n in range(12))
    line = library.benches.fig.dies_below_mol_m2_d.value
    if dark < line:
        figures: dict[str, Figure] = {
            "light_mol_m2_d": float(dark),
            "line_mol_m2_d": line,
        }
        yield Said("bench.dies_dark", figures)
    grown = [m for m in months if m.suits == "grows"]
    if grown:
        yield _grown(grown)
    elif not cold and dark >= line:
        yield _kept(months, species, library)
    yield from _roots(months, species, library)


def _grown(grown: Sequence[BenchMonth]) -> Said:
    best = max(grown, key=lambda m: m.dli_mol_m2_d.p50)
    figures: dict[str, Figure] = {
        "months_n": float(len(grown)),
        "best_part": f"{best.month_n:02}-15",
        "light_mol_m2_d": best.dli_mol_m2_d.p50,
    }
    return Said("bench.grows", figures)


def _kept(months: Sequence[BenchMonth], species: Species, library: Library) -> Said:
    """Return why a tree only lives there: too dark even at best, or never warm."""
    best = max(months, key=lambda m: m.dli_mol_m2_d.p50)
    line = library.season.growing_light_mol_m2_d.value
    light = best.dli_mol_m2_d.p50
    figures: dict[str, Figure] = {"best_part": f"{best.month_n:02}-15"}
    if light < line:
        figures |= {"light_mol_m2_d": light, "line_mol_m2_d": line}
        return Said("bench.kept_dark", figures)
    warmest = max(months, key=lambda m: m.air_mean_c)
    figures = {
        "best_part": f"{warmest.month_n:02}-15",
        "mean_c": warmest.air_mean_c,
        "line_c": species.warmth.base_c.value,
    }
    return Said("bench.kept_cold", figures)


def _roots(
    months: Sequence[BenchMonth], species: Species, library: Library
) -> Iterator[Said]:
    """Yield that root balls grow too hot or too cold there, in the middle year."""
    hottest = max(months, key=lambda m: m.ball_high_c.p50)
    high_c, lines = hottest.ball_high_c.p50, library.benches.roots
    if high_c > lines.warn_above_c.value:
        burns = high_c > lines.damage_above_c.value
        line_c = lines.damage_above_c.value if burns else lines.warn_above_c.value
        month = f"{hottest.month_n:02}-15"
        figures: dict[str, Figure] = {
            "month_part": month,
            "high_c": high_c,
            "line_c": line_c,
        }
        yield Said("bench.roots_burn" if burns else "bench.roots_hot", figures)
    line = species.warmth.roots_below_c
    coldest = min(months, key=lambda m: m.ball_low_c.p50)
    if line is not None and coldest.ball_low_c.p50 < line.value:
        figures = {
            "month_part": f"{coldest.month_n:02}-15",
            "low_c": coldest.ball_low_c.p50,
            "line_c": line.value,
        }
        yield Said("bench.roots_cold", figures)
    icy = max(months, key=lambda m: m.frozen_frac)
    if icy.frozen_frac >= TENTHS[0]:  # one year in ten
        part = f"{icy.month_n:02}-15"
        told: dict[str, Figure] = {"month_part": part, "frozen_frac": icy.frozen_frac}
        yield Said("bench.freezes_through", told)


def _notes(bench: Bench) -> Iterator[Said]:
    """Yield what one reading or one word would settle."""
    told = light_from(bench)
    if told == "shares" and bench.exposure in IN_ROOMS:
        yield Said("bench.say_window", {})
    if told in ("geometry", "shares"):
        yield Said("bench.ask_meter", {})

"""Season: when a tree grows at a place, and when it may stand outside there."""

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from datetime import timedelta
from pathlib import Path
from typing import Final, Literal

import numpy as np

from arbuscula.catalog.spoken import species_from_words
from arbuscula.desk import Desk
from arbuscula.desk.windows import FIRST, Windows, months_of, windows_of
from arbuscula.kinds.said import Figure, Said, Sentence
from arbuscula.kinds.values import Grade
from arbuscula.kinds.world import Curve, Normals, NormalsError, Place
from arbuscula.science.season import WEEK_D, WEEKS_N
from arbuscula.weather.gazetteer import find_place
from arbuscula.weather.minmax import Known, known_from_minmax, nights_from_words
from arbuscula.weather.normals import corrected, normals_at
from arbuscula.weather.world import World
from arbuscula.weather.year import DAYS_N, month_means

USUAL: Final = "ficus-microcarpa"
YEARS_N: Final = 200  # generated for one place
MANY_YEARS_N: Final = 40  # for each of many
BATCH_N: Final = 32  # places at a time
MM_DD: Final = tuple(f"{FIRST + timedelta(days=n):%m-%d}" for n in range(DAYS_N))
WHOLE_YEAR: Final = (MM_DD[0], MM_DD[-1])
SELDOM_FRAC: Final = 0.1  # of the years
MOST_OF_YEAR_D: Final = 274  # three quarters of it
HANGS_ON_IT_D: Final = 60  # dates that may be off by more are no dates

Twelve = tuple[float, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Dates:
    """By when it has come about in one year of ten, in five, in nine; or never."""

    p10: str | None
    p50: str | None
    p90: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Growing:
    """When it grows outdoors; the kind is that of the middle year."""

    kind: Literal["all_year", "seasonal", "none"]
    start: Dates
    end: Dates  # the first day on which it no longer grows
    months: Twelve  # mean share of years


@dataclass(frozen=True, slots=True, kw_only=True)
class Practice:
    """Out while the usual night is at or above the floor, as growers do."""

    out: str | None
    in_: str | None  # the first day that is too cold


@dataclass(frozen=True, slots=True, kw_only=True)
class Risk:
    """Out while a night below the floor is seldom."""

    weekly_p_night_below: Twelve  # of at least one; 52 weeks
    accepted_p: float
    out: str | None
    in_: str | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Outdoors:
    """The two windows, neither in place of the other."""

    floor_c: float
    practice: Practice
    risk: Risk
    last_cold_night: Dates  # before the warmest time of the year


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """How far a local figure moved the dates; None: one of the two is not there."""

    night_min_k: Twelve
    out_d: float | None  # later is more
    in_d: float | None
    start_d: float | None
    end_d: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Basis:
    """What the answer rests on: a number of the library, or a table."""

    name: str
    value: float | None
    low: float | None
    high: float | None
    grade: Grade
    source: str
    cite: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Season:
    """The answer: one species at one place, through the year."""

    schema: Literal["arbuscula.season/1"] = "arbuscula.season/1"
    place: Place
    others: tuple[Place, ...] = ()  # of the same name
    bench: str | None = None  # None: outdoors, under the whole sky
    species: str
    growing: Growing
    outdoors: Outdoors
    night_min_c: Twelve
    day_max_c: Twelve
    daylength_h: Twelve  # of the sun's upper rim
    dli_mol_m2_d: Twelve  # in the open
    et0_mm_d: Twelve  # of a lawn: a yardstick
    sources: tuple[Basis, ...]
    moved: Moved | None = None
    sentence: Sentence
    notes: tuple[Said, ...]


def season(
    desk: Desk,
    where: str,
    *,
    species: str = USUAL,
    nights: Sequence[str] = (),
    minmax: Path | None = None,
) -> Season:
    """Say when a species grows at a place, and when it may stand outside.

    Usual nights by month (`May=9.5`), or a table of days, correct the normals.
    """
    known_c = nights_from_words(nights)
    found = find_place(desk.world(), where)
    (usual,) = seasons(desk, [found.place], species=species, years_n=YEARS_N)
    usual = replace(usual, others=found.others)
    if not known_c and minmax is None:
        return usual
    here = _corrected(desk, found.place, known_c, minmax)
    (answer,) = _seasons(desk, [found.place], here, usual.species, YEARS_N)
    return replace(answer, others=found.others, moved=_moved(usual, answer))


def seasons(
    desk: Desk,
    places: Sequence[Place],
    *,
    species: str = USUAL,
    years_n: int = MANY_YEARS_N,
) -> tuple[Season, ...]:
    """Say it of many places; each batch of them draws its years together."""
    key = species_from_words(species, desk.library())
    batches = [places[n : n + BATCH_N] for n in range(0, len(places), BATCH_N)]
    return tuple(
        answer
        for batch in batches
        for answer in _seasons(desk, batch, _usual(desk, batch), key, years_n)
    )


def _usual(desk: Desk, places: Sequence[Place]) -> Normals:
    return normals_at(
        desk.world(),
        latitude_deg=np.array([place.latitude_deg for place in places]),
        longitude_deg=np.array([place.longitude_deg for place in places]),
        elevation_m=np.array([place.elevation_m for place in places]),
    )


def _corrected(
    desk: Desk, place: Place, night_min_c: Mapping[int, float], minmax: Path | None
) -> Normals:
    """Return one place's normals, as far as somebody there knows better."""
    world = desk.world()
    usual = normals_at(
        world,
        latitude_deg=place.latitude_deg,
        longitude_deg=place.longitude_deg,
        elevation_m=place.elevation_m,
    )
    known = Known(night_min_c={}, day_max_c={})
    if minmax is not None:
        known = known_from_minmax(minmax, usual, world)
    nights_c = {**known.night_min_c, **night_min_c}
    return corrected(usual, world, night_min_c=nights_c, day_max_c=known.day_max_c)


def _seasons(
    desk: Desk, places: Sequence[Place], months: Normals, species: str, years_n: int
) -> Iterator[Season]:
    """Yield the answer for each place; the months are those of all of them."""
    library, world = desk.library(), desk.world()
    warmth = library.species[species].warmth
    windows = windows_of(
        months,
        world,
        warmth=warmth,
        figures=library.season,
        places=places,
        years_n=years_n,
    )
    floor_c = warmth.warn_below_c.value
    accepted_frac = library.season.accepted_frac.value
    by_month = months_of(months)
    sources = tuple(sources_of(desk, species))
    shape = np.shape(months.latitude_deg)
    for place, at in zip(places, np.ndindex(shape), strict=True):
        growing = growing_of(windows, at)
        outdoors = outdoors_of(windows, at, floor_c, accepted_frac)
        yield Season(
            place=place,
            species=species,
            growing=growing,
            outdoors=outdoors,
            night_min_c=rounded(by_month.night_min_c[at]),
            day_max_c=rounded(by_month.day_max_c[at]),
            daylength_h=rounded(by_month.daylength_h[at]),
            dli_mol_m2_d=rounded(by_month.dli_mol_m2_d[at]),
            et0_mm_d=rounded(by_month.et0_mm_d[at]),
            sources=sources,
            sentence=_sentence(place, growing, outdoors),
            notes=tuple(_notes(windows, at, outdoors, months.error, world)),
        )


def rounded(numbers: Curve, digits: int = 2) -> Twelve:
    """Return numbers as an answer holds them."""
    return tuple(np.round(numbers, digits).tolist())


def _edges(first_n: int, lasts_n: int) -> tuple[str | None, str | None]:
    """Return the first day of a stretch and the first one after it, if any is."""
    if lasts_n in (0, DAYS_N):
        return None, None
    return MM_DD[first_n], MM_DD[(first_n + lasts_n) % DAYS_N]


def growing_of(windows: Windows, at: tuple[int, ...] = ()) -> Growing:
    """Return the dates of one place; late to start is early to end."""
    lasts_n = windows.growing.lasts_n[at].tolist()
    first_n = windows.growing.first_n[at].tolist()
    edges = [_edges(*stretch) for stretch in zip(first_n, lasts_n, strict=True)]
    (early, end_late), (start, end), (late, end_early) = edges
    return Growing(
        kind=_kind(lasts_n[1]),
        start=Dates(p10=early, p50=start, p90=late),
        end=Dates(p10=end_early, p50=end, p90=end_late),
        months=rounded(month_means(windows.growing_frac[at]), 3),
    )


def _kind(lasts_n: int) -> Literal["all_year", "seasonal", "none"]:
    if lasts_n == DAYS_N:
        return "all_year"
    return "seasonal" if lasts_n else "none"


def outdoors_of(
    windows: Windows, at: tuple[int, ...], floor_c: float, accepted_frac: float
) -> Outdoors:
    """Return the two windows of one place."""
    out, back = _window(windows.practice.first_n[at], windows.practice.lasts_n[at])
    first_n, lasts_n = windows.risk.first_n[at], windows.risk.lasts_n[at]
    begins_n, ends_n = first_n * WEEK_D, (first_n + lasts_n) % WEEKS_N * WEEK_D
    last_d = DAYS_N if lasts_n == WEEKS_N else (ends_n - begins_n) % DAYS_N
    safe_out, safe_back = _window(begins_n, last_d)
    last_cold = windows.last_cold_n[at] if out else [np.nan] * 3
    early, usual, late = (None if np.isnan(n) else MM_DD[int(n)] for n in last_cold)
    return Outdoors(
        floor_c=floor_c,
        practice=Practice(out=out, in_=back),
        risk=Risk(
            weekly_p_night_below=rounded(windows.weekly_frac[at], 3),
            accepted_p=accepted_frac,
            out=safe_out,
            in_=safe_back,
        ),
        last_cold_night=Dates(p10=early, p50=usual, p90=late),
    )


def _window(first_n: int, lasts_n: int) -> tuple[str | None, str | None]:
    """Return a window: its edges, the whole year, or none."""
    return WHOLE_YEAR if lasts_n == DAYS_N else _edges(int(first_n), int(lasts_n))


def _sentence(place: Place, growing: Growing, outdoors: Outdoors) -> Sentence:
    """Return what to read to a buyer: three parts of one sentence."""
    is_point = place.name.lstrip("-")[:1].isdigit()
    where = "season.at_point" if is_point else "season.in_town"
    parts = (Said(where, {"place": place.name}), _stands(outdoors), grows_of(growing))
    return Sentence(parts=parts)


def _stands(outdoors: Outdoors) -> Said:
    out, back = outdoors.practice.out, outdoors.practice.in_
    if out is None or back is None:
        return Said("season.stays_in", {})
    floor: dict[str, Figure] = {"floor_c": outdoors.floor_c}
    if (out, back) != WHOLE_YEAR:
        long = _lasts_d(out, back) > MOST_OF_YEAR_D
        message_id = "season.stands_but" if long else "season.stands_from"
        return Said(message_id, {"out_about": out, "in_about": back, **floor})
    if any(outdoors.risk.weekly_p_night_below):
        return Said("season.stands_all_year", floor)
    return Said("season.stands_always", {})


def grows_of(growing: Growing) -> Said:
    """Return when it grows, as a part of a sentence."""
    start, end = growing.start.p50, growing.end.p50
    if start and end:
        long = _lasts_d(start, end) > MOST_OF_YEAR_D
        message_id = "season.grows_but" if long else "season.grows_from"
        return Said(message_id, {"start_part": start, "end_part": end})
    if growing.kind == "none":
        ever = max(growing.months) > SELDOM_FRAC
        return Said("season.grows_seldom" if ever else "season.grows_never", {})
    least = min(growing.months)
    if least >= 1 - SELDOM_FRAC:
        return Said("season.grows_all_year", {})
    rest = f"{growing.months.index(least) + 1:02}-15"
    return Said("season.grows_mostly", {"rest_part": rest})


def _lasts_d(first: str, after: str) -> int:
    return (MM_DD.index(after) - MM_DD.index(first)) % DAYS_N


def _notes(
    windows: Windows,
    at: tuple[int, ...],
    outdoors: Outdoors,
    error: NormalsError,
    world: World,
) -> Iterator[Said]:
    """Yield what is honest to say beside the dates."""
    yield from _risk_notes(outdoors)
    yield _error_note(outdoors, error.night_min_k, windows.practice_off_d[at])
    if error.night_min_k >= world.figures.error.night_min_k.value:
        yield Said("season.help", {})  # nobody has told anything yet
    thermal_d = float(windows.thermal_d[at])
    if np.isfinite(thermal_d):
        yield Said("season.thermal", {"length_d": thermal_d})


def _error_note(outdoors: Outdoors, error_k: float, off_d: float) -> Said:
    """Return how far the usual nights may be off, and what that does to dates."""
    figures: dict[str, Figure] = {"error_k": error_k, "floor_c": outdoors.floor_c}
    if outdoors.practice.out in (None, WHOLE_YEAR[0]):
        return Said("season.error", figures)
    if off_d > HANGS_ON_IT_D:
        return Said("season.error_decides", figures)
    return Said("season.error_moves", {**figures, "off_d": float(round(off_d))})


def _risk_notes(outdoors: Outdoors) -> Iterator[Said]:
    out, weekly = outdoors.practice.out, outdoors.risk.weekly_p_night_below
    if out == WHOLE_YEAR[0] and any(weekly):
        yield _risk_note("season.most_risk", outdoors, max(weekly))
    if out in (None, WHOLE_YEAR[0]):
        return
    last = outdoors.last_cold_night.p50
    later_d = _later_d(out, last)
    if last and later_d and later_d > 0:
        figures: dict[str, Figure] = {
            "floor_c": outdoors.floor_c,
            "last_day": last,
            "weeks_n": f"{later_d / WEEK_D:.0f}",
        }
        yield Said("season.last_cold", figures)
    if outdoors.risk.out is None:
        yield _risk_note("season.least_risk", outdoors, min(weekly))


def _risk_note(message_id: str, outdoors: Outdoors, night_frac: float) -> Said:
    week_n = outdoors.risk.weekly_p_night_below.index(night_frac)
    figures: dict[str, Figure] = {
        "floor_c": outdoors.floor_c,
        "night_frac": night_frac,
        "week_about": MM_DD[week_n * WEEK_D],
    }
    return Said(message_id, figures)


def _later_d(one: str | None, other: str | None) -> float | None:
    """Return how much later in the round year the other day is."""
    if one is None or other is None:
        return None
    days = MM_DD.index(other) - MM_DD.index(one)
    return float((days + DAYS_N // 2) % DAYS_N - DAYS_N // 2)


def _moved(usual: Season, here: Season) -> Moved:
    nights_k = np.subtract(here.night_min_c, usual.night_min_c)
    was, now = usual.outdoors.practice, here.outdoors.practice
    return Moved(
        night_min_k=rounded(nights_k),
        out_d=_later_d(was.out, now.out),
        in_d=_later_d(was.in_, now.in_),
        start_d=_later_d(usual.growing.start.p50, here.growing.start.p50),
        end_d=_later_d(usual.growing.end.p50, here.growing.end.p50),
    )


def sources_of(desk: Desk, species: str) -> Iterator[Basis]:
    """Yield the numbers that were chosen, then the tables and their makers."""
    library = desk.library()
    warmth, figures = library.species[species].warmth, library.season
    chosen = {
        "warn_below_c": warmth.warn_below_c,
        "base_c": warmth.base_c,
        "growing_light_mol_m2_d": figures.growing_light_mol_m2_d,
        "window_d": figures.window_d,
        "accepted_frac": figures.accepted_frac,
    }
    for name, value in chosen.items():
        yield Basis(
            name=name,
            value=value.value,
            low=value.low,
            high=value.high,
            grade=value.grade,
            source=value.source,
            cite=library.sources[value.source].cite,
        )
    for origin in desk.world().figures.origins:
        yield Basis(
            name="normals",
            value=None,
            low=None,
            high=None,
            grade=Grade.COMPUTED,
            source=origin.source,
            cite=library.sources[origin.source].cite,
        )

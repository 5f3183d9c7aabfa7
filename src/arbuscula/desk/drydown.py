"""Drydown: one pot followed until it is dry, and the score of the forecast."""

from collections.abc import Iterator
from dataclasses import dataclass, replace
from datetime import datetime
from functools import partial
from pathlib import Path
from typing import Final, Literal

import numpy as np
from numpy.typing import NDArray

from arbuscula.catalog.case import CaseFolder, read_case, read_folder
from arbuscula.desk import Desk
from arbuscula.kinds.case import Waterings, Weights
from arbuscula.kinds.library import Library
from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.kinds.values import Spread
from arbuscula.kinds.weather import Row, WeatherRows
from arbuscula.microclimate.open_air import air_at_crown, lawn_mm_h
from arbuscula.science.container import air_frac
from arbuscula.science.retention import mix_curve, mix_error_frac
from arbuscula.state.ensemble import TENTHS, normals, spread_of
from arbuscula.state.forecast import day_ratio, first_below_s
from arbuscula.state.learning.trust import (
    TRIED_N,
    Tried,
    Trust,
    trust_of,
    trusted_ml,
    turn_ratio,
)
from arbuscula.state.learning.weighings import (
    Told,
    emptied_by,
    evidence_of,
    learned,
)
from arbuscula.state.pots import Members, PottedTree, members_of, wall_cm2
from arbuscula.state.scale import (
    lost_between_ml,
    noise_g,
    rises_of,
    summed_losses_ml,
)
from arbuscula.state.score import HORIZONS_H, HorizonScore, horizon_score
from arbuscula.state.water import (
    Course,
    Forcing,
    Grid,
    Steps,
    bounds_between,
    course_of,
    forcing_of,
    rain_between_mm,
    steps_of,
    unknown_start,
)
from arbuscula.strict.faults import gathered
from arbuscula.units import DAY_S, HOUR_S
from arbuscula.weather.table import weather_from_table

ROUNDS_N: Final = 2
SOME_RAIN_MM: Final = 0.2  # leaves alone hold as much
NOTHING_GIVEN: Final = Waterings(at_s=np.empty(0), given_ml=np.empty(0))


@dataclass(frozen=True, slots=True, kw_only=True)
class When:
    """A moment as the ensemble sees it; None lies past the horizon."""

    p10: datetime | None
    p50: datetime | None
    p90: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Hour:
    """One hour of the forecast; mass only where the pot was weighed before."""

    time: datetime
    mass_g: Spread | None
    lost_ml: Spread


@dataclass(frozen=True, slots=True, kw_only=True)
class Learned:
    """What the weights taught: demand over the model's own, capacity in mL."""

    demand: Spread
    capacity: Spread


@dataclass(frozen=True, slots=True, kw_only=True)
class Score:
    """The forecast against the weights that followed.

    The weather after the forecast's start counts as known.
    """

    horizons: tuple[HorizonScore, ...]
    covered_frac: float  # of the later weights, by the band that means 0.8


@dataclass(frozen=True, slots=True, kw_only=True)
class Drydown:
    """The answer: when this pot is due, and how sure that is."""

    schema: Literal["arbuscula.drydown/1"] = "arbuscula.drydown/1"
    species: str
    latin: str
    forecast_from: datetime
    horizon_h: float
    capacity_ml: Spread
    usable_ml: Spread
    air_filled_frac: Spread
    due: When
    late: When
    learned: Learned
    score: Score | None
    hours: tuple[Hour, ...]
    yardstick_mm_d: float | None  # a lawn's use over the forecast; None without a place
    notes: tuple[Said, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Case:
    """One case, and what sky and scale say of it."""

    folder: CaseFolder
    tree: PottedTree
    rows: WeatherRows
    forcing: Forcing
    weights: Weights | None
    waterings: Waterings
    now_s: float
    until_s: float

    @property
    def weights_before(self) -> Weights | None:
        """The weights that the forecast may know."""
        return _weights_between(self.weights, -np.inf, self.now_s)

    @property
    def weights_after(self) -> Weights | None:
        """The weights that judge the forecast."""
        return _weights_between(self.weights, self.now_s + 1, self.until_s)


@dataclass(frozen=True, slots=True, kw_only=True)
class _Ahead:
    """The members carried on from the forecast's start."""

    bounds_s: Row
    course: Course
    mass_g: Grid | None


def drydown(desk: Desk, path: Path) -> Drydown:
    """Say when the pot of this case is due, from its weather and its weights."""
    folder, rows, bridged = _read(path, desk.library())
    _refuse_uncovered(folder, rows)
    case, found = _prepared(folder, rows, desk.library())
    told = _told(case, desk.library())
    figures = desk.library().demand.trust
    trust = trust_of([*_tried(case, desk.library())], figures)
    ahead = _ahead(case, told, desk.library(), trust)
    return _answer(case, told, ahead, desk.library(), (*bridged, *found))


def _read(
    path: Path, library: Library
) -> tuple[CaseFolder, WeatherRows, tuple[Said, ...]]:
    """Return a case with all its tables; their faults are told at once."""
    case = read_case(path)
    weather = path.parent / case.files.weather
    faults: list[Said] = []
    folder = gathered(lambda: read_folder(path, case, library), faults)
    read = gathered(lambda: weather_from_table(weather), faults)
    if folder is None or read is None:
        raise ArbusculaError(*faults)
    return folder, *read


def _refuse_uncovered(folder: CaseFolder, rows: WeatherRows) -> None:
    now = folder.case.forecast_from
    if not rows.from_s[0] <= now.timestamp() < rows.until_s[-1]:
        figures: dict[str, Figure] = {
            "file": folder.weather.name,
            "from": _at(float(rows.from_s[0]), now).isoformat(),
            "until": _at(float(rows.until_s[-1]), now).isoformat(),
            "found": now.isoformat(),
        }
        raise ArbusculaError(Said("case.uncovered", figures))


def _prepared(
    folder: CaseFolder, rows: WeatherRows, library: Library
) -> tuple[_Case, list[Said]]:
    """Return the case ready to run, and what was found in its weights."""
    case = folder.case
    tree = PottedTree(
        key=case.species,
        species=library.species[case.species],
        pot=case.pot,
        mix=case.mix,
        plant=case.plant,
    )
    air = air_at_crown(rows, case.yard, library.demand.ball)
    forcing = forcing_of(tree, rows, air, library)
    now_s = case.forecast_from.timestamp()
    weights = _weights_between(folder.weights, rows.from_s[0], rows.until_s[-1])
    waterings, found = _waterings(folder, weights, forcing, tree, library)
    prepared = _Case(
        folder=folder,
        tree=tree,
        rows=rows,
        forcing=forcing,
        weights=weights,
        waterings=waterings,
        now_s=now_s,
        until_s=min(now_s + case.horizon_h * HOUR_S, float(rows.until_s[-1])),
    )
    return prepared, found


def _weights_between(
    weights: Weights | None, from_s: float, until_s: float
) -> Weights | None:
    if weights is None:
        return None
    inside = (weights.at_s >= from_s) & (weights.at_s <= until_s)
    if not inside.any():
        return None
    return Weights(at_s=weights.at_s[inside], mass_g=weights.mass_g[inside])


def _waterings(
    folder: CaseFolder,
    weights: Weights | None,
    forcing: Forcing,
    tree: PottedTree,
    library: Library,
) -> tuple[Waterings, list[Said]]:
    """Return the waterings written down, or those that rises give away."""
    if folder.waterings is not None or weights is None:
        return folder.waterings or NOTHING_GIVEN, []
    top_cm2 = float(members_of(tree, library).ball.top_area_cm2)
    caught_ml = rain_between_mm(forcing, weights.at_s) * top_cm2 / 10
    found = rises_of(weights, caught_ml)
    return found, [*_rises_said(found, folder.case.forecast_from)]


def _rises_said(found: Waterings, now: datetime) -> Iterator[Said]:
    for at_s, given_ml in zip(found.at_s, found.given_ml, strict=True):
        at = _at(float(at_s), now)
        yield Said("drydown.rise", {"at": at, "given_ml": float(given_ml)})


def _told(case: _Case, library: Library) -> Told:
    """Return members and water at the forecast's start, as the scale leaves them."""
    members, key = members_of(case.tree, library), case.tree.key
    weights = case.weights_before
    if weights is None:
        return _untold(case, members)
    ball = members.ball
    evidence = evidence_of(
        weights,
        case.waterings,
        now_s=case.now_s,
        noise_g=noise_g(weights),
        usable_ml=float(np.mean(ball.capacity_ml - ball.stop_ml)),
        unknown=library.demand.unknown,
    )
    if not evidence.at_s.size:  # all of it is too old to tell
        return _untold(case, members)
    if case.tree.pot.tare_g is None:
        members = emptied_by(
            members, evidence, case.waterings, library.demand.unknown, key
        )
    return learned(
        members,
        case.forcing,
        evidence,
        case.waterings,
        now_s=case.now_s,
        wall_cm2=wall_cm2(case.tree),
        unknown=library.demand.unknown,
        key=key,
    )


def _untold(case: _Case, members: Members) -> Told:
    """Return an unweighed pot: as wet as nobody knows, then watered as written."""
    start = unknown_start(members.ball, case.tree.key)
    if not (case.waterings.at_s <= case.now_s).any():
        return Told(members=members, water=start)
    _, steps = _steps(case, float(case.forcing.at_s[0]), case.now_s)
    course = course_of(members, steps, start, wall_cm2=wall_cm2(case.tree))
    return Told(members=members, water=course.last)


def _steps(
    case: _Case, from_s: float, until_s: float, *moments: Row
) -> tuple[Row, Steps]:
    pairs = zip(case.waterings.at_s, case.waterings.given_ml, strict=True)
    given = {float(at_s): float(given_ml) for at_s, given_ml in pairs}
    bounds_s = bounds_between(from_s, until_s, case.waterings.at_s, *moments)
    return bounds_s, steps_of(case.forcing, bounds_s, given)


def _tried(case: _Case, library: Library) -> Iterator[Tried]:
    """Yield the last days, each as it would have been foreseen on its eve."""
    for age_d in range(TRIED_N):
        eve_s = _last_s(case) - (age_d + 1) * DAY_S
        before_ml, came_ml = (_day_loss_ml(case, s) for s in (eve_s, eve_s + DAY_S))
        if before_ml is None or came_ml is None:
            continue
        then = replace(case, now_s=eve_s, until_s=eve_s + DAY_S)
        yield Tried(
            age_d=age_d,
            before_ml=before_ml,
            foreseen_ml=_by_day_ml(_ahead(then, _told(then, library), library))[:, 0],
            came_ml=came_ml,
        )


def _last_s(case: _Case) -> float:
    """Return when the pot was last weighed; without weights, never."""
    weights = case.weights_before
    return -np.inf if weights is None else float(weights.at_s[-1])


def _day_loss_ml(case: _Case, until_s: float) -> float | None:
    """Return what the pot lost in the dry day that ends here, where the scale tells."""
    weights = case.weights_before
    if weights is None or _rains(case, until_s - DAY_S, 1).any():
        return None
    summed_ml = summed_losses_ml(weights, case.waterings)
    lost_ml = lost_between_ml(weights, summed_ml, until_s - DAY_S, until_s)
    return lost_ml if lost_ml is not None and lost_ml > 0 else None


def _ahead(
    case: _Case, told: Told, library: Library, trust: Trust | None = None
) -> _Ahead:
    """Carry the members on, each day a little off as days are.

    With trust, on days without rain they are turned until they lose what the last
    days let believe; a broken last day goes as the one before.
    """
    later = case.weights_after
    moments = [later.at_s] if later else []
    bounds_s, steps = _steps(case, case.now_s, case.until_s, *moments)
    carried = partial(_carried, case, told, bounds_s, steps)
    off = day_ratio(bounds_s, library.demand.unknown, case.tree.key)
    ahead = carried(off)
    lost_ml = _by_day_ml(ahead)
    if trust is None or not lost_ml.size:
        return ahead
    short_frac = library.demand.trust.short_frac.value
    yesterday_ml = _yesterday_ml(case) if _left_frac(told) < short_frac else None
    wanted_ml = trusted_ml(lost_ml, yesterday_ml, trust)
    rains = _rains(case, case.now_s, lost_ml.shape[-1])
    day = ((bounds_s[:-1] - case.now_s) // DAY_S).astype(int)
    for _ in range(ROUNDS_N):
        ratio = np.where(rains, 1.0, turn_ratio(wanted_ml, _by_day_ml(ahead)))
        off = off * ratio[:, np.minimum(day, rains.size - 1)]
        ahead = carried(off)
    return ahead


def _carried(
    case: _Case, told: Told, bounds_s: Row, steps: Steps, ratio: Grid
) -> _Ahead:
    before = case.weights_before
    wall = wall_cm2(case.tree)
    course = course_of(told.members, steps, told.water, wall_cm2=wall, day_ratio=ratio)
    mass_g = None if before is None else _mass_g(course, told.members, before)
    return _Ahead(bounds_s=bounds_s, course=course, mass_g=mass_g)


def _left_frac(told: Told) -> float:
    """Return how much of what can be used is left, at the middle member."""
    ball = told.members.ball
    usable_ml = ball.capacity_ml - ball.stop_ml
    return float(np.median((told.water.water_ml - ball.stop_ml) / usable_ml))


def _rains(case: _Case, from_s: float, days_n: int) -> NDArray[np.bool_]:
    """Return whether rain falls, day by day: then mass tells no loss."""
    edges_s = np.asarray(from_s + np.arange(days_n + 1) * DAY_S, dtype=np.float64)
    return rain_between_mm(case.forcing, edges_s) > SOME_RAIN_MM


def _yesterday_ml(case: _Case) -> float | None:
    """Return the loss of the last whole day, if the pot was weighed since."""
    fresh = case.now_s - _last_s(case) < DAY_S
    return _day_loss_ml(case, _last_s(case)) if fresh else None


def _by_day_ml(ahead: _Ahead) -> Grid:
    """Return what each member loses on each whole day."""
    from_s, until_s = ahead.bounds_s[0], ahead.bounds_s[-1]
    places = np.searchsorted(ahead.bounds_s, np.arange(from_s, until_s + 1, DAY_S))
    return np.diff(_lost_ml(ahead)[:, places], axis=-1)


def _mass_g(course: Course, members: Members, weights: Weights) -> Grid:
    """Return the last weight, less what each member has lost since."""
    last_g = weights.mass_g[-1]
    held_ml = np.clip(last_g - members.dry_g, 0, members.ball.capacity_ml)
    now_ml = course.water_ml + course.canopy_ml
    return last_g + now_ml - held_ml[:, np.newaxis]


def _answer(
    case: _Case,
    told: Told,
    ahead: _Ahead,
    library: Library,
    notes: tuple[Said, ...],
) -> Drydown:
    now, members, thirst = (
        case.folder.case.forecast_from,
        told.members,
        case.tree.species.thirst,
    )
    ball = members.ball

    def when(line_frac: float) -> When:
        at_s = first_below_s(ahead.course, ball, ahead.bounds_s, line_frac)
        return _when(at_s, now)

    return Drydown(
        species=case.folder.case.species,
        latin=case.tree.species.latin,
        forecast_from=now,
        horizon_h=(case.until_s - case.now_s) / HOUR_S,
        capacity_ml=spread_of(np.asarray(ball.capacity_ml)),
        usable_ml=spread_of(np.asarray(ball.capacity_ml - ball.stop_ml)),
        air_filled_frac=_air_filled_frac(case.tree, library),
        due=when(thirst.due_below_frac.value),
        late=when(thirst.late_below_frac.value),
        learned=Learned(
            demand=spread_of(members.demand_ratio),
            capacity=spread_of(np.asarray(ball.capacity_ml)),
        ),
        score=_score(case, ahead),
        hours=tuple(_hours(case, ahead)),
        yardstick_mm_d=_yardstick_mm_d(case),
        notes=notes,
    )


def _when(at_s: Row, now: datetime) -> When:
    moments = np.quantile(at_s, TENTHS, method="inverted_cdf")
    low, middle, high = (
        _at(float(s), now) if np.isfinite(s) else None for s in moments
    )
    return When(p10=low, p50=middle, p90=high)


def _at(unix_s: float, like: datetime) -> datetime:
    return datetime.fromtimestamp(round(unix_s), tz=like.tzinfo)


def _air_filled_frac(tree: PottedTree, library: Library) -> Spread:
    """Return the drained pot's air, as sure as a mix that nobody weighed."""
    air = air_frac(mix_curve(tree.mix, library.substrates), tree.pot)
    error = mix_error_frac(tree.mix, library.substrates)
    return spread_of(np.clip(air + error * normals(tree.key, "air"), 0, 1))


def _hours(case: _Case, ahead: _Ahead) -> Iterator[Hour]:
    now = case.folder.case.forecast_from
    lost_ml = _lost_ml(ahead)
    whole_s = np.arange(case.now_s + HOUR_S, case.until_s + 1, HOUR_S)
    for place in np.searchsorted(ahead.bounds_s, whole_s).tolist():
        mass_g = ahead.mass_g
        yield Hour(
            time=_at(float(ahead.bounds_s[place]), now),
            mass_g=None if mass_g is None else spread_of(mass_g[:, place]),
            lost_ml=spread_of(lost_ml[:, place]),
        )


def _yardstick_mm_d(case: _Case) -> float | None:
    """Return a lawn's mean daily use over the rows of the forecast."""
    rows, spot = case.rows, case.folder.case.yard
    if spot is None:
        return None
    begins_s = np.maximum(rows.from_s, case.now_s)
    lasts_h = (np.minimum(rows.until_s, case.until_s) - begins_s).clip(0) / HOUR_S
    return 24 * float(np.average(np.asarray(lawn_mm_h(rows, spot)), weights=lasts_h))


def _lost_ml(ahead: _Ahead) -> Grid:
    """Return what each member has lost by each bound."""
    lost_ml = ahead.course.lost_ml
    nil = np.zeros((lost_ml.shape[0], 1))
    return np.concatenate([nil, np.cumsum(lost_ml, axis=-1)], axis=-1)


def _score(case: _Case, ahead: _Ahead) -> Score | None:
    weights, later = case.weights, case.weights_after
    if weights is None or later is None or ahead.mass_g is None:
        return None
    summed_ml = summed_losses_ml(weights, case.waterings)
    middle_ml = np.median(_lost_ml(ahead), axis=0)

    def model_ml(horizon_h: int) -> float | None:
        at_s = case.now_s + horizon_h * HOUR_S
        if at_s > case.until_s:
            return None
        return float(np.interp(at_s, ahead.bounds_s, middle_ml))

    return Score(
        horizons=tuple(
            horizon_score(
                horizon_h,
                now_s=case.now_s,
                weights=weights,
                summed_ml=summed_ml,
                model_ml=model_ml(horizon_h),
            )
            for horizon_h in HORIZONS_H
        ),
        covered_frac=_covered_frac(ahead, later, case.tree.key, noise_g(weights)),
    )


def _covered_frac(
    ahead: _Ahead, later: Weights, key: str, scale_noise_g: float
) -> float:
    """Return the share of later weights inside the band, scale and all."""
    assert ahead.mass_g is not None  # noqa: S101 - the caller has looked
    places = np.searchsorted(ahead.bounds_s, later.at_s)
    noise = scale_noise_g * normals(key, "scale")
    low_g, high_g = np.quantile(
        ahead.mass_g[:, places] + noise[:, np.newaxis], (0.1, 0.9), axis=0
    )
    return float(np.mean((low_g <= later.mass_g) & (later.mass_g <= high_g)))

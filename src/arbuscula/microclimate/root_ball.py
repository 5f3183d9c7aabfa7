"""Root ball: how warm the roots are in a pot on a bench, hours behind the air."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.exposure import BenchFigures, PotFigures, WallFigures
from arbuscula.kinds.leaf import CrownAir
from arbuscula.kinds.library import Library
from arbuscula.kinds.place import Bench, Floor
from arbuscula.kinds.pot import Colour, Pot
from arbuscula.kinds.values import Num, Value
from arbuscula.kinds.weather import Row, Spot, WeatherRows
from arbuscula.microclimate.felt import mean_of_last, outside_of
from arbuscula.microclimate.shelter import crown_air, felt_on_bench
from arbuscula.science.container import top_area_cm2, volume_ml, wall_area_cm2
from arbuscula.science.heat import (
    BallHeat,
    ball_heat,
    face_inside_w_m2_k,
    face_outside_w_m2_k,
    frozen_frac,
    in_series_w_m2_k,
    temperature_c,
    warmth_held_j,
)
from arbuscula.units import CM2_IN_M2

CYLINDER: Final = 1 / np.pi  # of a level ray's light, on a round wall all around
HALF_SKY: Final = 0.5
START_N: Final = 24  # rows whose mean the balls begin with
GROUND_H: Final = 72.0  # soil a hand deep is as warm as the last days' air
CONCRETE_H: Final = 6.0  # a slab, as the last hours
USUAL_FLOOR: Final[Floor] = "battens"


@dataclass(frozen=True, slots=True, kw_only=True)
class Balls:
    """Root balls in their pots; as wet as usual unless said."""

    pots: tuple[Pot, ...]
    water_frac: Num | None = None  # of the volume; one for all, or one a pot
    absorbed_frac: Num | None = None  # of the sun, by the walls; None: by colour


@dataclass(frozen=True, slots=True, kw_only=True)
class RootBall:
    """Root balls hour by hour: members, trees, hours."""

    temperature_c: NDArray[np.float64]
    frozen_frac: NDArray[np.float64]  # of the ball's water


@dataclass(frozen=True, slots=True, kw_only=True)
class _Pots:
    """Sizes of pots, a row each, and how wet their balls are."""

    volume_ml: Row
    top_m2: Row
    wall_m2: Row
    absorbed_frac: Row
    heat: BallHeat


def root_ball(
    rows: WeatherRows, spot: Spot, bench: Bench, library: Library, balls: Balls
) -> RootBall:
    """Return how warm the balls of some pots are on a bench, and how much is ice.

    The first day warms up the memory: give the weather of three days before the
    night in question.
    """
    figures = library.benches
    outside = outside_of(rows, spot)
    felt = felt_on_bench(outside, bench, library.shelters[bench.exposure])
    air = crown_air(felt, outside, library.demand.ball)
    sizes = _sizes(balls, figures.pot)
    drives_c, moves_w_k = _driven(air, rows, bench, sizes, figures)
    held_j = warmth_held_j(
        _timeless(sizes.heat),
        driving_c=drives_c,
        exchange_w_k=moves_w_k,
        start_c=drives_c[..., :START_N].mean(axis=-1),
        row_s=float(np.median(rows.until_s - rows.from_s)),
    )
    return RootBall(
        temperature_c=np.asarray(temperature_c(sizes.heat, held_j)),
        frozen_frac=np.asarray(frozen_frac(sizes.heat, held_j)),
    )


def _sizes(balls: Balls, figures: PotFigures) -> _Pots:
    wet, dark = balls.water_frac, balls.absorbed_frac
    volume = _a_row_each([volume_ml(pot) for pot in balls.pots])
    top_m2 = _a_row_each([top_area_cm2(pot) for pot in balls.pots]) / CM2_IN_M2
    wall_m2 = _a_row_each([wall_area_cm2(pot) for pot in balls.pots]) / CM2_IN_M2
    water = _a_row_each(figures.water_frac.value if wet is None else wet)
    return _Pots(
        volume_ml=volume,
        top_m2=top_m2,
        wall_m2=wall_m2,
        absorbed_frac=_a_row_each(
            [absorbed_frac(pot, figures.absorbed).value for pot in balls.pots]
            if dark is None
            else dark
        ),
        heat=ball_heat(
            volume_ml=volume,
            water_frac=water,
            dry_heat_j_cm3_k=figures.dry_heat_j_cm3_k.value,
        ),
    )


def absorbed_frac(pot: Pot, figures: WallFigures) -> Value:
    """Return what share of the sun a pot's walls take up."""
    by_colour: dict[Colour, Value] = {
        "dark": figures.dark_frac,
        "medium": figures.medium_frac,
        "light": figures.light_frac,
    }
    return by_colour[pot.colour] if pot.colour else figures.unknown_frac


def _a_row_each(told: Num | list[float]) -> Row:
    return np.atleast_1d(np.asarray(told, np.float64))[:, np.newaxis]


def _timeless(heat: BallHeat) -> BallHeat:
    """Return the heat of pots without an axis of time."""
    return BallHeat(
        thawed_j_k=np.asarray(heat.thawed_j_k)[:, 0],
        frozen_j_k=np.asarray(heat.frozen_j_k)[:, 0],
        freezing_j=np.asarray(heat.freezing_j)[:, 0],
    )


def _driven(
    air: CrownAir,
    rows: WeatherRows,
    bench: Bench,
    pots: _Pots,
    figures: BenchFigures,
) -> tuple[Row, Row]:
    """Return what the balls are drawn towards, and how strongly.

    Each face has the air's warmth raised by what it takes up of sun and sky; a
    ball is drawn towards the mean of its faces, each by its conductance.
    """
    air_c = _by_pot(air.air_temperature_c)
    outer = face_outside_w_m2_k(
        air_temperature_c=air_c,
        wind_speed_m_s=figures.pot.wind_ratio.value * _by_pot(air.wind_speed_m_s),
        width_m=np.sqrt(pots.top_m2),
        turbulence_ratio=air.turbulence_ratio,
    )
    inner = face_inside_w_m2_k(
        conductivity_w_m_k=figures.pot.conductivity_w_m_k.value,
        volume_ml=pots.volume_ml,
        area_m2=2 * pots.top_m2 + pots.wall_m2,
    )
    face = in_series_w_m2_k(outer, inner)
    top_w_m2, wall_w_m2 = _taken_up(air, figures, pots.absorbed_frac)
    top_c, wall_c = air_c + top_w_m2 / outer, air_c + wall_w_m2 / outer
    foot_c, foot = _foot(air, rows, bench, figures, face)
    moves = face * (pots.top_m2 + pots.wall_m2) + foot * pots.top_m2
    drawn = face * (pots.top_m2 * top_c + pots.wall_m2 * wall_c)
    drawn = drawn + foot * pots.top_m2 * foot_c
    return np.asarray(drawn / moves), np.asarray(moves)


def _by_pot(told: Num) -> Row:
    """Return rows of members and hours with a place for pots between."""
    return np.expand_dims(np.atleast_2d(np.asarray(told, np.float64)), -2)


def _taken_up(
    air: CrownAir, figures: BenchFigures, absorbed_frac: Row
) -> tuple[Row, Row]:
    """Return what soil and walls take up of sun and sky, for each square metre."""
    pot = figures.pot
    up = np.sin(np.maximum(air.sun_elevation_rad, 0.0))
    level_w_m2 = air.beam_w_m2 * up + air.sky_w_m2
    ground_w_m2 = figures.light.ground_albedo_frac.value * level_w_m2
    below = pot.below_crown_frac.value
    on_soil = below * (level_w_m2 + HALF_SKY * air.window_w_m2)
    across_w_m2 = air.beam_w_m2 * np.sqrt(1 - up**2) + air.window_w_m2
    on_wall = CYLINDER * across_w_m2 + HALF_SKY * (air.sky_w_m2 + ground_w_m2)
    top_w_m2 = pot.soil_absorbed_frac.value * on_soil + below * air.longwave_w_m2
    wall_w_m2 = absorbed_frac * _by_pot(on_wall) + HALF_SKY * _by_pot(air.longwave_w_m2)
    return _by_pot(top_w_m2), pot.walls_lit_frac.value * wall_w_m2


def _foot(
    air: CrownAir, rows: WeatherRows, bench: Bench, figures: BenchFigures, face: Num
) -> tuple[Row, Num]:
    """Return how warm it is under a pot, and how freely heat goes there.

    On battens or a slatted bench the air goes round the foot as round the walls.
    """
    air_c, floor = np.asarray(air.air_temperature_c), bench.floor or USUAL_FLOOR
    if floor == "battens":
        return _by_pot(air_c), face
    if floor == "ground":
        below_c = mean_of_last(rows, air_c, GROUND_H)
    else:
        below_c = mean_of_last(rows, _slab_c(air, figures), CONCRETE_H)
    return _by_pot(below_c), figures.pot.floor_w_m2_k.value


def _slab_c(air: CrownAir, figures: BenchFigures) -> Row:
    """Return how warm a bare slab's face is, in the sun or under a clear sky."""
    pot, up = figures.pot, np.sin(np.maximum(air.sun_elevation_rad, 0.0))
    sun_w_m2 = air.beam_w_m2 * up + air.sky_w_m2 + HALF_SKY * air.window_w_m2
    net_w_m2 = pot.concrete_absorbed_frac.value * sun_w_m2 + air.longwave_w_m2
    return np.asarray(
        air.air_temperature_c + net_w_m2 / pot.concrete_outside_w_m2_k.value
    )

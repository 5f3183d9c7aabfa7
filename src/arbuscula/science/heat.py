"""Heat: how warm a root ball is, hours behind the air, and when it freezes through."""

from dataclasses import dataclass
from typing import Final

import numpy as np
from numpy.typing import NDArray

from arbuscula.kinds.values import Num
from arbuscula.science.water.leaf import (
    AIR_HEAT_J_MOL_K,
    boundary_conductances_mol_m2_s,
    radiative_conductance_mol_m2_s,
)

WATER_HEAT_J_G_K: Final = 4.18
ICE_HEAT_J_G_K: Final = 2.1
FREEZING_J_G: Final = 334.0
WARMER_BY_K: Final = 2.0  # for the still layer; it hardly matters
ML_IN_M3: Final = 1e6
SLAB: Final = 3.0  # a slab's mean is a third of its half thickness from its face


@dataclass(frozen=True, slots=True, kw_only=True)
class BallHeat:
    """The heat that a root ball holds for each kelvin, and the heat of its ice."""

    thawed_j_k: Num
    frozen_j_k: Num
    freezing_j: Num


def ball_heat(*, volume_ml: Num, water_frac: Num, dry_heat_j_cm3_k: Num) -> BallHeat:
    """Return what a root ball holds of heat, by its volume and its water.

    Shape: arguments broadcast together.
    Errors: none raised.
    Holds for: water and roots' sap as pure water, that freezes at 0 degC; sap
      and salts lower that by half a kelvin.
    Source: campbell1998, table 8.2 for water, ice and dry matter.
    """
    water_g = volume_ml * water_frac
    dry_j_k = volume_ml * dry_heat_j_cm3_k
    return BallHeat(
        thawed_j_k=dry_j_k + WATER_HEAT_J_G_K * water_g,
        frozen_j_k=dry_j_k + ICE_HEAT_J_G_K * water_g,
        freezing_j=FREEZING_J_G * water_g,
    )


def held_j(ball: BallHeat, temperature_c: Num) -> Num:
    """Return the heat a ball holds over that of one just frozen through at 0 degC.

    Shape: arguments broadcast together.
    Errors: none raised.
    Holds for: at 0 degC itself the ball is taken as thawed.
    Source: energy.
    """
    t = np.asarray(temperature_c)
    warm = ball.freezing_j + ball.thawed_j_k * np.maximum(t, 0.0)
    return np.where(t < 0, ball.frozen_j_k * np.minimum(t, 0.0), warm)


def temperature_c(ball: BallHeat, held_j: Num) -> Num:
    """Return how warm a ball is that holds this heat; 0 degC while it freezes.

    Shape: arguments broadcast together.
    Errors: none raised.
    Holds for: a ball of one temperature.
    Source: energy.
    """
    cold = np.minimum(held_j, 0.0) / ball.frozen_j_k
    return cold + np.maximum(held_j - ball.freezing_j, 0.0) / ball.thawed_j_k


def frozen_frac(ball: BallHeat, held_j: Num) -> Num:
    """Return how much of a ball's water is ice.

    Shape: arguments broadcast together.
    Errors: none raised.
    Holds for: a ball of one temperature; in truth it freezes from outside in.
    Source: energy.
    """
    return 1.0 - np.clip(held_j / np.maximum(ball.freezing_j, 1e-9), 0.0, 1.0)


def held_after_j(
    ball: BallHeat, held_j: Num, *, driving_c: Num, exchange_w_k: Num, step_s: float
) -> Num:
    """Return the heat a ball holds after a step towards what drives it.

    The exchange is that with the step's end, so that no step, however long, goes
    past what drives it, and all that leaves is what is missing afterwards.

    Shape: arguments broadcast together.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: a ball of one temperature; steps under half its lag for 2 %.
    Source: energy, with the implicit step of Euler.
    """
    moved_j_k = step_s * exchange_w_k
    would_j = held_j + moved_j_k * driving_c
    cold = would_j / (1.0 + moved_j_k / ball.frozen_j_k)
    over = (would_j - ball.freezing_j) / (1.0 + moved_j_k / ball.thawed_j_k)
    freezing = np.minimum(would_j, ball.freezing_j)
    return np.where(would_j < 0, cold, freezing + np.maximum(over, 0.0))


def warmth_held_j(
    ball: BallHeat,
    *,
    driving_c: Num,
    exchange_w_k: Num,
    start_c: Num,
    row_s: float,
    steps_n: int = 4,
) -> NDArray[np.float64]:
    """Return the heat a ball holds at the end of every row of time.

    Shape: arguments broadcast together, time last; the start has no time.
    Errors: none raised; a gap (NaN) in is a gap in all that follows.
    Holds for: rows of one length; lags of half an hour and more.
    Source: energy.
    """
    drives, moves = np.broadcast_arrays(
        np.asarray(driving_c, np.float64), np.asarray(exchange_w_k, np.float64)
    )
    held: Num = np.broadcast_to(held_j(ball, start_c), drives.shape[:-1])
    told = np.empty((drives.shape[-1], *drives.shape[:-1]))
    for row in range(drives.shape[-1]):
        for _ in range(steps_n):
            held = held_after_j(
                ball,
                held,
                driving_c=drives[..., row],
                exchange_w_k=moves[..., row],
                step_s=row_s / steps_n,
            )
        told[row] = held
    return np.moveaxis(told, 0, -1)


def face_outside_w_m2_k(
    *, air_temperature_c: Num, wind_speed_m_s: Num, width_m: Num, turbulence_ratio: Num
) -> Num:
    """Return how freely a pot's face gives heat to air and surroundings.

    Shape: arguments broadcast together.
    Errors: none raised.
    Holds for: faces of some centimetres to decimetres, within some ten kelvin of
      the air.
    Source: campbell1998, table 7.6 and eq. 12.7.
    """
    heat, _ = boundary_conductances_mol_m2_s(
        wind_speed_m_s=wind_speed_m_s,
        width_m=width_m,
        warmer_by_k=WARMER_BY_K,
        turbulence_ratio=turbulence_ratio,
    )
    glow = radiative_conductance_mol_m2_s(air_temperature_c)
    return AIR_HEAT_J_MOL_K * (heat + glow)


def face_inside_w_m2_k(*, conductivity_w_m_k: Num, volume_ml: Num, area_m2: Num) -> Num:
    """Return how freely heat comes from the middle of a ball to its faces.

    Shape: arguments broadcast together.
    Errors: none raised.
    Holds for: shallow balls; the pot's own wall is left out, which is a tenth
      of this at most.
    Source: campbell1998, conduction in a slab.
    """
    return SLAB * conductivity_w_m_k * area_m2 / (volume_ml / ML_IN_M3)


def in_series_w_m2_k(one_w_m2_k: Num, other_w_m2_k: Num) -> Num:
    """Return the conductance of one thing behind another.

    Shape: arguments broadcast together.
    Errors: none raised.
    Holds for: both above nil.
    Source: energy.
    """
    return one_w_m2_k * other_w_m2_k / (one_w_m2_k + other_w_m2_k)

"""Balance: one step of one pot, for numbers and for arrays alike."""

import numpy as np

from arbuscula.kinds.values import Num
from arbuscula.kinds.water import Ball, Passed, PotWater

SMALLEST_ML = 1e-9  # keeps 0/0 away where a mineral mix never sheds water


def after_step(
    water: PotWater,
    ball: Ball,
    *,
    rain_mm: Num,
    given_ml: Num,
    leaf_ml: Num,
    surface_mm: Num,
    wall_ml: Num,
) -> tuple[PotWater, Passed]:
    """Return what the pot holds after a step, and what passed.

    In this order: leaves catch rain, the ball takes what it can and the rest
    runs off, the surface dries in two stages, roots and wall take theirs. What
    is asked for (leaf, surface, wall) is what plenty of water would give.
    Soaked until it ran: give infinity.

    Shape: arguments broadcast together; members first.
    Errors: none raised.
    Holds for: steps of an hour or less; daily steps miss the time of *due* by
        18 hours.
    Source: fao56, ch. 7 and 8 for the stages and the stress; mass.
    """
    canopy_ml, arriving_ml, dried_ml = _past_crown(
        water.canopy_ml, ball, rain_mm=rain_mm, leaf_ml=leaf_ml
    )
    arriving_ml = arriving_ml + given_ml
    gained_ml = _taken_in_ml(water.water_ml, ball, arriving_ml)
    held_ml = water.water_ml + gained_ml
    layer_mm = 10 / ball.top_area_cm2
    depletion_mm = np.maximum(water.surface_depletion_mm - gained_ml * layer_mm, 0.0)
    evaporated_ml = _evaporated_ml(depletion_mm, ball, surface_mm)
    evaporated_ml = np.minimum(evaporated_ml, held_ml)
    left_ml = held_ml - evaporated_ml
    transpired_ml = _drawn_ml(left_ml, ball, leaf_ml - dried_ml)
    left_ml = left_ml - transpired_ml
    wall_ml = _drawn_ml(left_ml, ball, wall_ml)
    after = PotWater(
        water_ml=left_ml - wall_ml,
        surface_depletion_mm=depletion_mm + evaporated_ml * layer_mm,
        canopy_ml=canopy_ml,
    )
    return after, Passed(
        gained_ml=gained_ml,
        drained_ml=arriving_ml - gained_ml,
        transpired_ml=transpired_ml,
        evaporated_ml=evaporated_ml,
        wall_ml=wall_ml,
        dried_ml=dried_ml,
    )


def usable_frac(water_ml: Num, ball: Ball) -> Num:
    """Return what is left of the usable water, 1 when full and 0 at the stop.

    Shape: arguments broadcast together.
    Errors: none raised.
    Holds for: any ball whose capacity lies above its stop.
    Source: sinclair1986, the fraction of transpirable soil water.
    """
    usable_ml = ball.capacity_ml - ball.stop_ml
    return np.clip((water_ml - ball.stop_ml) / usable_ml, 0.0, 1.0)


def stress_frac(available_frac: Num, below_frac: Num) -> Num:
    """Return the share of its wish that a tree still gets: Ks of the book.

    Shape: arguments broadcast together.
    Errors: none raised.
    Holds for: usable water as a fraction; 1 above the threshold, then linear.
    Source: fao56, eq. 84.
    """
    return np.clip(available_frac / below_frac, 0.0, 1.0)


def surface_reduction_frac(
    depletion_mm: Num, *, stage_1_mm: Num, stage_2_mm: Num
) -> Num:
    """Return what a drying surface still gives: Kr of the book.

    Shape: arguments broadcast together.
    Errors: none raised.
    Holds for: 1 in the first stage, then linear to nil at the end of the second.
    Source: fao56, eq. 74.
    """
    return np.clip((stage_2_mm - depletion_mm) / (stage_2_mm - stage_1_mm), 0.0, 1.0)


def _past_crown(
    canopy_ml: Num, ball: Ball, *, rain_mm: Num, leaf_ml: Num
) -> tuple[Num, Num, Num]:
    """Return what the leaves hold, what reaches the pot, what dried off them.

    Wet leaves dry before they breathe, at the rate at which they would breathe.
    """
    crown_ml, top_ml = (
        rain_mm * ball.crown_area_cm2 / 10,
        rain_mm * ball.top_area_cm2 / 10,
    )
    past_ml = top_ml * ball.gap_frac
    wet_ml = canopy_ml + crown_ml * _caught_frac(ball)
    kept_ml = np.minimum(wet_ml, ball.canopy_store_ml)
    dripped_ml = (wet_ml - kept_ml) * _above_pot_frac(ball)
    dried_ml = np.minimum(kept_ml, leaf_ml)
    return kept_ml - dried_ml, past_ml + dripped_ml, dried_ml


def _above_pot_frac(ball: Ball) -> Num:
    """Return the share of the crown that stands above the pot."""
    return np.minimum(1.0, ball.top_area_cm2 / ball.crown_area_cm2)


def _caught_frac(ball: Ball) -> Num:
    """Return the share of the rain on the crown that leaves catch."""
    covered_frac = np.minimum(1.0, ball.crown_area_cm2 / ball.top_area_cm2)
    return (1 - ball.gap_frac) / covered_frac


def _taken_in_ml(water_ml: Num, ball: Ball, arriving_ml: Num) -> Num:
    """Return what the ball takes; a dry one sheds a part past itself."""
    shed_below_ml = ball.shed_below_frac * ball.capacity_ml
    missing_ml = np.maximum(shed_below_ml - water_ml, 0.0)
    dry_frac = missing_ml / np.maximum(shed_below_ml, SMALLEST_ML)
    taking_frac = 1 - ball.shed_frac * dry_frac
    room_ml = np.maximum(ball.capacity_ml - water_ml, 0.0)
    return np.minimum(arriving_ml, room_ml) * taking_frac


def _evaporated_ml(depletion_mm: Num, ball: Ball, surface_mm: Num) -> Num:
    asked_mm = surface_mm * surface_reduction_frac(
        depletion_mm, stage_1_mm=ball.stage_1_mm, stage_2_mm=ball.stage_2_mm
    )
    left_mm = np.maximum(ball.stage_2_mm - depletion_mm, 0.0)
    return np.minimum(asked_mm, left_mm) * ball.top_area_cm2 / 10


def _drawn_ml(water_ml: Num, ball: Ball, asked_ml: Num) -> Num:
    """Return what is drawn down to the stop, less and less under stress.

    A long step would draw by the stress at its start; the closed form of the
    linear law over the step keeps more water from ever being due sooner.
    """
    near_stop_ml = ball.stress_below_frac * (ball.capacity_ml - ball.stop_ml)
    pull = asked_ml / near_stop_ml
    eased = -np.expm1(-pull) / np.maximum(pull, 1e-12)
    available = usable_frac(water_ml, ball) * eased
    return asked_ml * stress_frac(available, ball.stress_below_frac)

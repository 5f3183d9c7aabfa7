"""Balance: one step of one pot, for numbers and for arrays alike.

This text is read twice: by NumPy, for numbers and arrays, and by the compiled
kernel, lane by lane. Its functions therefore take and return numbers and plain
dataclasses only, and know no branch.
"""

from dataclasses import dataclass, replace

import numpy as np

from arbuscula.kinds.values import Num
from arbuscula.kinds.water import Ball, Passed, PotWater

SMALLEST_ML = 1e-9  # keeps 0/0 away where a mineral mix never sheds water


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """A ball's numbers as every step needs them, made once for many."""

    capacity_ml: Num
    stop_ml: Num
    usable_ml: Num
    stress_per_ml: Num  # one over the usable water at which stress begins
    stage_1_mm: Num
    stage_2_mm: Num
    top_ml_mm: Num  # over the pot's top
    layer_mm_ml: Num  # and the other way round
    past_ml_mm: Num  # of rain, past the leaves
    caught_ml_mm: Num  # of rain, by the leaves
    above_pot_frac: Num  # of the crown
    canopy_store_ml: Num
    shed_below_ml: Num
    shed_per_ml: Num  # of what is given, for each millilitre below


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
    terms = terms_of(ball)
    wet, gained_ml, drained_ml = wetted(
        water, terms, rain_mm=rain_mm, given_ml=given_ml
    )
    dry, passed = dried(
        wet, terms, leaf_ml=leaf_ml, surface_mm=surface_mm, wall_ml=wall_ml
    )
    return dry, replace(passed, gained_ml=gained_ml, drained_ml=drained_ml)


def terms_of(ball: Ball) -> Terms:
    """Return a ball's numbers as every step needs them.

    Shape: that of the ball.
    Errors: none raised.
    Holds for: any ball whose capacity lies above its stop.
    Source: geometry; the names of the ball tell the rest.
    """
    usable_ml = ball.capacity_ml - ball.stop_ml
    shed_below_ml = ball.shed_below_frac * ball.capacity_ml
    top_ml_mm, crown_ml_mm = ball.top_area_cm2 / 10.0, ball.crown_area_cm2 / 10.0
    covered_frac = np.minimum(1.0, crown_ml_mm / top_ml_mm)
    return Terms(
        capacity_ml=ball.capacity_ml,
        stop_ml=ball.stop_ml,
        usable_ml=usable_ml,
        stress_per_ml=1.0 / (ball.stress_below_frac * usable_ml),
        stage_1_mm=ball.stage_1_mm,
        stage_2_mm=ball.stage_2_mm,
        top_ml_mm=top_ml_mm,
        layer_mm_ml=1.0 / top_ml_mm,
        past_ml_mm=top_ml_mm * ball.gap_frac,
        caught_ml_mm=crown_ml_mm * (1.0 - ball.gap_frac) / covered_frac,
        above_pot_frac=np.minimum(1.0, top_ml_mm / crown_ml_mm),
        canopy_store_ml=ball.canopy_store_ml,
        shed_below_ml=shed_below_ml,
        shed_per_ml=ball.shed_frac / np.maximum(shed_below_ml, SMALLEST_ML),
    )


def wetted(
    water: PotWater, terms: Terms, *, rain_mm: Num, given_ml: Num
) -> tuple[PotWater, Num, Num]:
    """Return what the pot holds after rain and can, what it gained, what ran off.

    Leaves hold what they can and drip the rest, onto the pot as far as they
    stand above it. A dry ball sheds a part past itself.

    Shape: arguments broadcast together.
    Errors: none raised.
    Holds for: any amounts; infinite is as much as fits.
    Source: mass.
    """
    reached_ml = water.canopy_ml + rain_mm * terms.caught_ml_mm
    canopy_ml = np.minimum(reached_ml, terms.canopy_store_ml)
    dripped_ml = (reached_ml - canopy_ml) * terms.above_pot_frac
    arriving_ml = rain_mm * terms.past_ml_mm + dripped_ml + given_ml
    missing_ml = np.maximum(terms.shed_below_ml - water.water_ml, 0.0)
    taking_frac = 1.0 - missing_ml * terms.shed_per_ml
    room_ml = np.maximum(terms.capacity_ml - water.water_ml, 0.0)
    gained_ml = np.minimum(arriving_ml, room_ml) * taking_frac
    depletion_mm = water.surface_depletion_mm - gained_ml * terms.layer_mm_ml
    after = PotWater(
        water_ml=water.water_ml + gained_ml,
        surface_depletion_mm=np.maximum(depletion_mm, 0.0),
        canopy_ml=canopy_ml,
    )
    return after, gained_ml, arriving_ml - gained_ml


def dried(
    water: PotWater, terms: Terms, *, leaf_ml: Num, surface_mm: Num, wall_ml: Num
) -> tuple[PotWater, Passed]:
    """Return what the pot holds after leaves, surface and wall, and what went.

    Wet leaves dry before they breathe, at the rate at which they would breathe.

    Shape: arguments broadcast together.
    Errors: none raised.
    Holds for: leaves that hold no more than their store.
    Source: mass.
    """
    dried_ml = np.minimum(water.canopy_ml, leaf_ml)
    asked_ml = _evaporated_ml(water.surface_depletion_mm, terms, surface_mm)
    evaporated_ml = np.minimum(asked_ml, water.water_ml)
    left_ml = water.water_ml - evaporated_ml
    transpired_ml = drawn_ml(left_ml, terms, leaf_ml - dried_ml)
    left_ml = left_ml - transpired_ml
    through_ml = drawn_ml(left_ml, terms, wall_ml)
    after = PotWater(
        water_ml=left_ml - through_ml,
        surface_depletion_mm=water.surface_depletion_mm
        + evaporated_ml * terms.layer_mm_ml,
        canopy_ml=water.canopy_ml - dried_ml,
    )
    return after, Passed(
        gained_ml=0.0,
        drained_ml=0.0,
        transpired_ml=transpired_ml,
        evaporated_ml=evaporated_ml,
        wall_ml=through_ml,
        dried_ml=dried_ml,
    )


def drawn_ml(water_ml: Num, terms: Terms, asked_ml: Num) -> Num:
    """Return what is drawn down to the stop, less and less under stress.

    Below the stress point the book gives a share of what is asked that falls in
    proportion to the usable water. A long step would draw by the stress at its
    start; the closed form of that law over the step keeps more water from ever
    being due sooner. For little water asked both are the same.

    Shape: arguments broadcast together.
    Errors: none raised.
    Holds for: what is asked for is not negative.
    Source: fao56, eq. 84.
    """
    usable_ml = np.minimum(np.maximum(water_ml - terms.stop_ml, 0.0), terms.usable_ml)
    lost_ml = usable_ml * lost_frac(asked_ml * terms.stress_per_ml)
    return np.minimum(asked_ml, lost_ml)


def lost_frac(lifetimes_ratio: Num) -> Num:
    """Return what is gone after so many lifetimes of an even decay.

    Shape: any.
    Errors: none raised.
    Holds for: any time that is not negative.
    Source: fao56, eq. 84, whose linear law it sums over a step.
    """
    return -np.expm1(-lifetimes_ratio)


def usable_frac(water_ml: Num, ball: Ball) -> Num:
    """Return what is left of the usable water, 1 when full and 0 at the stop.

    Shape: arguments broadcast together.
    Errors: none raised.
    Holds for: any ball whose capacity lies above its stop.
    Source: sinclair1986, the fraction of transpirable soil water.
    """
    usable_ml = ball.capacity_ml - ball.stop_ml
    return np.clip((water_ml - ball.stop_ml) / usable_ml, 0.0, 1.0)


def surface_reduction_frac(
    depletion_mm: Num, *, stage_1_mm: Num, stage_2_mm: Num
) -> Num:
    """Return what a drying surface still gives: Kr of the book.

    Shape: arguments broadcast together.
    Errors: none raised.
    Holds for: 1 in the first stage, then linear to nil at the end of the second.
    Source: fao56, eq. 74.
    """
    falling_frac = (stage_2_mm - depletion_mm) / (stage_2_mm - stage_1_mm)
    return np.minimum(np.maximum(falling_frac, 0.0), 1.0)


def _evaporated_ml(depletion_mm: Num, terms: Terms, surface_mm: Num) -> Num:
    asked_mm = surface_mm * surface_reduction_frac(
        depletion_mm, stage_1_mm=terms.stage_1_mm, stage_2_mm=terms.stage_2_mm
    )
    left_mm = np.maximum(terms.stage_2_mm - depletion_mm, 0.0)
    return np.minimum(asked_mm, left_mm) * terms.top_ml_mm

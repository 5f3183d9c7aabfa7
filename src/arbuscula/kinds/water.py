"""Water: what one pot can hold, what it holds now, what passed through it."""

from dataclasses import dataclass

from arbuscula.kinds.values import Num


@dataclass(frozen=True, slots=True, kw_only=True)
class Ball:
    """A root ball as a store of water. Numbers, or one number a member."""

    capacity_ml: Num
    stop_ml: Num  # held too tightly for roots
    top_area_cm2: Num
    crown_area_cm2: Num
    gap_frac: Num  # of the pot's top that rain reaches past the leaves
    canopy_store_ml: Num
    stage_1_mm: Num  # the surface gives this freely
    stage_2_mm: Num  # and this at the most
    stress_below_frac: Num  # of usable water
    shed_below_frac: Num  # of capacity: a drier ball sheds water
    shed_frac: Num  # at the most, of what it is given


@dataclass(frozen=True, slots=True, kw_only=True)
class PotWater:
    """What a pot holds at one moment."""

    water_ml: Num
    surface_depletion_mm: Num
    canopy_ml: Num


@dataclass(frozen=True, slots=True, kw_only=True)
class Passed:
    """What went in and out of a pot within one step."""

    gained_ml: Num
    drained_ml: Num  # ran out below, or was shed past the ball
    transpired_ml: Num
    evaporated_ml: Num  # from the open surface
    wall_ml: Num
    dried_ml: Num  # from wet leaves

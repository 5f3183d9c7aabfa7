"""Container: a pot's geometry, and the water and air it holds at rest.

At rest the suction at height z above the drainage hole is z, so that a pot's
depth decides how much of its soil drains.
"""

import math
from collections.abc import Iterable
from dataclasses import replace
from typing import Final

import numpy as np

from arbuscula.kinds.pot import Pot
from arbuscula.kinds.substrate import Curve, Mix
from arbuscula.kinds.values import Grade, Num, Value
from arbuscula.science.retention import (
    air_entry_cm,
    mix_shares_frac,
    saturated_frac,
    suction_holding_cm,
    water_frac,
)

SHRINKAGE_FRAC: Final = Value(
    value=0.075, low=0.0, high=0.15, source="arbuscula", grade=Grade.ASSUMED
)
NEARLY_FULL_FRAC: Final = 0.9

# Gauss and Legendre's points on 0 to 1, drawn together near the bottom, where a
# coarse medium turns from full to drained within millimetres.
_ROOTS, _WEIGHTS = np.polynomial.legendre.leggauss(64)
HEIGHTS: Final = ((_ROOTS + 1) / 2) ** 2
HEIGHT_WEIGHTS: Final = _WEIGHTS * (_ROOTS + 1) / 2


def top_area_cm2(pot: Pot) -> float:
    """Return the open area of a pot, inside the rim.

    Errors: none raised; a pot without sizes gives a gap (NaN).
    Holds for: one size given stands for both.
    Source: geometry.
    """
    length_mm, width_mm = _sides_mm(pot)
    corners = 1.0 if pot.shape == "box" else math.pi / 4
    return corners * length_mm * width_mm / 100


def _sides_mm(pot: Pot) -> tuple[float, float]:
    sizes = [pot.diameter_mm] if pot.shape == "round" else [pot.length_mm, pot.width_mm]
    given = [size for size in sizes if size is not None] or [math.nan]
    return given[0], given[-1]


def area_cm2(pot: Pot, height_cm: Num) -> Num:
    """Return the area of a level cut through the soil, by height.

    Shape: any; the answer has the shape of the height, counted from the hole.
    Errors: none raised.
    Holds for: heights from 0 to the soil's surface; walls that lean straight.
    Source: geometry.
    """
    return top_area_cm2(pot) * _size_ratio(pot, height_cm) ** 2


def _size_ratio(pot: Pot, height_cm: Num) -> Num:
    """Return length at this height over length at the top."""
    return pot.taper_frac + (1 - pot.taper_frac) * height_cm / (pot.depth_mm / 10)


def volume_ml(pot: Pot) -> float:
    """Return the soil a pot takes.

    Errors: none raised; a pot without sizes gives a gap (NaN).
    Holds for: inner sizes; rounded corners and a rim to water into take less.
    Source: geometry, the frustum.
    """
    t = pot.taper_frac
    return top_area_cm2(pot) * pot.depth_mm / 10 * (1 + t + t * t) / 3


def wall_area_cm2(pot: Pot) -> float:
    """Return the area of a pot's sides, inside; the bottom is not in it.

    Errors: none raised; a pot without sizes gives a gap (NaN).
    Holds for: exact where walls stand straight, and for a round pot; within
        0.5 % where an oval or a box leans as pots do.
    Source: geometry; ramanujan1914 for the girth of an oval.
    """
    girth_cm, depth_cm = _girth_cm(pot), pot.depth_mm / 10
    from_middle_cm = 2 * top_area_cm2(pot) / girth_cm  # of the wall, on average
    slant_cm = math.hypot(depth_cm, (1 - pot.taper_frac) * from_middle_cm)
    return (1 + pot.taper_frac) / 2 * girth_cm * slant_cm


def _girth_cm(pot: Pot) -> float:
    """Return the way round the top of a pot."""
    a, b = (mm / 20 for mm in _sides_mm(pot))
    if pot.shape == "box":
        return 4 * (a + b)
    return math.pi * (3 * (a + b) - math.sqrt((3 * a + b) * (a + 3 * b)))


def above_layer(pot: Pot, *, layer_mm: float) -> Pot:
    """Return the pot that is left to the soil above a drainage layer.

    Errors: none raised.
    Holds for: layers thinner than the pot is deep.
    Source: geometry.
    """
    taper_frac = float(_size_ratio(pot, layer_mm / 10))
    return replace(pot, depth_mm=pot.depth_mm - layer_mm, taper_frac=taper_frac)


def container_capacity_frac(
    curve: Curve, pot: Pot, *, bottom_suction_cm: float = 0.0
) -> float:
    """Return the water a pot's soil holds once it has drained.

    The retention curve, taken over the pot's own section. Over a coarse layer
    the soil's bottom may rest at a suction, at most air_entry_cm of the layer.

    Unit: share of the soil's volume.
    Errors: none raised.
    Holds for: wetted to the full and left to drain, roots apart.
    Source: milks1989, the equilibrium model; passioura2006 for the suction.
    """
    height_cm = HEIGHTS * pot.depth_mm / 10
    weights = HEIGHT_WEIGHTS * _size_ratio(pot, height_cm) ** 2
    held = water_frac(curve, bottom_suction_cm + height_cm)
    return float(np.sum(weights * held) / np.sum(weights))


def air_frac(curve: Curve, pot: Pot, *, bottom_suction_cm: float = 0.0) -> float:
    """Return the air in a pot's soil once it has drained.

    Unit: share of the soil's volume.
    Errors: none raised.
    Holds for: as container_capacity_frac.
    Source: milks1989.
    """
    return saturated_frac(curve) - container_capacity_frac(
        curve, pot, bottom_suction_cm=bottom_suction_cm
    )


def capacity_ml(
    curve: Curve,
    pot: Pot,
    *,
    bottom_suction_cm: float = 0.0,
    roots_frac: float,
) -> float:
    """Return the water a pot holds once it has drained.

    Errors: none raised.
    Holds for: roots that fill a share of the volume and hold none of it.
    Source: milks1989; arbuscula for the roots.
    """
    frac = container_capacity_frac(curve, pot, bottom_suction_cm=bottom_suction_cm)
    return frac * volume_ml(pot) * (1 - roots_frac)


def water_at_ml(curve: Curve, pot: Pot, *, suction_cm: Num, roots_frac: float) -> Num:
    """Return the water a pot holds when its soil is evenly this dry.

    Shape: any; the answer has the shape of the suction.
    Errors: none raised.
    Holds for: soil drier than drained, where height no longer counts.
    Source: arbuscula for the roots; mass.
    """
    return water_frac(curve, suction_cm) * volume_ml(pot) * (1 - roots_frac)


def usable_ml(
    curve: Curve,
    pot: Pot,
    *,
    stop_suction_cm: float,
    roots_frac: float,
) -> float:
    """Return the water that a tree can take out of a full pot.

    Errors: none raised.
    Holds for: roots that reach all of the ball.
    Source: arbuscula, the stop; omeara2014 saw uptake end at 700 cm in bark.
    """
    stop_ml = water_at_ml(curve, pot, suction_cm=stop_suction_cm, roots_frac=roots_frac)
    return capacity_ml(curve, pot, roots_frac=roots_frac) - float(stop_ml)


def saturated_layer_mm(curve: Curve, pot: Pot) -> float:
    """Return how high the soil stays nearly full: a tenth of its pores empty.

    Errors: none raised.
    Holds for: a drained pot; at most the pot's depth.
    Source: passioura2006; arbuscula for the tenth.
    """
    full = saturated_frac(curve)
    nearly = curve.residual_frac + NEARLY_FULL_FRAC * (full - curve.residual_frac)
    return min(10 * float(suction_holding_cm(curve, nearly)), pot.depth_mm)


def finest_draining_grain_mm(pot: Pot) -> float:
    """Return the grain below which no gap in this pot ever empties by itself.

    What falls through a sieve of this mesh holds water up to the surface.

    Errors: none raised.
    Holds for: uniform grains; water inside the grains is not in it.
    Source: schroth1996, from memory.
    """
    return float(air_entry_cm(1.0)) / (pot.depth_mm / 10)


def parts_to_buy_l(mix: Mix, *, fill_ml: float) -> dict[str, Value]:
    """Return the litres of each substrate for this much mixed soil.

    Fine grains fall into the gaps of coarse ones: a mix fills less than its
    parts did.

    Errors: none raised for a mix of at least one part.
    Holds for: parts measured dry and loose; the range is the shrinkage's.
    Source: arbuscula, the shrinkage; mass.
    """
    shares = mix_shares_frac(mix)
    shrinkage = SHRINKAGE_FRAC if len(shares) > 1 else None
    return {
        key: _bought_l(frac * fill_ml / 1000, shrinkage) for key, frac in shares.items()
    }


def _bought_l(mixed_l: float, shrinkage: Value | None) -> Value:
    if shrinkage is None:
        grade, lost = Grade.COMPUTED, (0.0, 0.0, 0.0)
    else:
        grade, lost = shrinkage.grade, (shrinkage.value, shrinkage.low, shrinkage.high)
    value, low, high = (mixed_l / (1 - frac) for frac in lost)
    return Value(value=value, low=low, high=high, source="arbuscula", grade=grade)


def sizes_near(pot: Pot, usual: Iterable[Pot], *, most_n: int = 3) -> list[Pot]:
    """Return the usual sizes of the same shape, the nearest first.

    Errors: none raised; a shape that nobody sells gives none.
    Holds for: nearness by ratio, so that a centimetre counts more when small.
    Source: growers, the sizes.
    """
    same_shape = [other for other in usual if other.shape == pot.shape]
    return sorted(same_shape, key=lambda other: _distance(pot, other))[:most_n]


def _distance(one: Pot, other: Pot) -> float:
    sizes = zip(
        (*_sides_mm(one), one.depth_mm),
        (*_sides_mm(other), other.depth_mm),
        strict=True,
    )
    return sum(math.log(a / b) ** 2 for a, b in sizes)

"""Tipping: the gust that throws a tree off its feet, as it was described."""

import numpy as np

from arbuscula.kinds.moving import WindFigures
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.tree import Group, Tree
from arbuscula.science.container import volume_ml
from arbuscula.science.toppling import tipping_wind_m_s
from arbuscula.units import CM2_IN_M2

CM_IN_M = 100
G_IN_KG = 1000
MM_IN_CM = 10


def tipping_gust_m_s(
    noun: Tree | Group, pot: Pot, figures: WindFigures, *, mass_kg: float
) -> float:
    """Return the gust in which a tree falls over, untied, by its crown and its pot."""
    sides = [s for s in (pot.length_mm, pot.width_mm, pot.diameter_mm) if s is not None]
    usual_cm = figures.height_over_length_ratio.value * max(sides) / MM_IN_CM
    height_cm = usual_cm if noun.height_cm is None else noun.height_cm
    spread_cm = height_cm if noun.spread_cm is None else noun.spread_cm
    crown_cm = figures.crown_frac.value * height_cm
    middle_cm = pot.depth_mm / MM_IN_CM + height_cm - crown_cm / 2
    return float(
        tipping_wind_m_s(
            mass_kg=mass_kg,
            half_foot_m=pot.taper_frac * min(sides) / 2 / MM_IN_CM / CM_IN_M,
            crown_m2=np.pi / 4 * spread_cm * crown_cm / CM2_IN_M2,
            crown_height_m=middle_cm / CM_IN_M,
            drag_ratio=figures.drag_ratio.value,
        )
    )


def usual_mass_kg(pot: Pot, figures: WindFigures) -> float:
    """Return what a tree weighs with its pot and moist soil, by the soil's volume."""
    return figures.potted_g_cm3.value * volume_ml(pot) / G_IN_KG

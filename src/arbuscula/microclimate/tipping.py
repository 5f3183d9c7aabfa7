"""Tipping: the gust that throws a tree off its feet, as it was described."""

from arbuscula.kinds.alarm import AlarmFigures
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.tree import Group, Tree
from arbuscula.science.container import volume_ml
from arbuscula.science.toppling import tipping_wind_m_s

CM_IN_M = 100
G_IN_KG = 1000
MM_IN_M = 1000


def tipping_gust_m_s(noun: Tree | Group, pot: Pot, figures: AlarmFigures) -> float:
    """Return the gust at the crown in which a tree falls over, untied."""
    usual_cm = figures.height_cm[noun.crown or "medium"].value
    height_m = (noun.height_cm or usual_cm) / CM_IN_M
    spread_m = figures.spread_ratio.value * height_m
    if noun.spread_cm is not None:
        spread_m = noun.spread_cm / CM_IN_M
    middle_m = figures.crown_middle_frac.value * height_m
    gust_m_s = tipping_wind_m_s(
        mass_kg=figures.potted_g_cm3.value * volume_ml(pot) / G_IN_KG,
        half_foot_m=_narrow_mm(pot) * pot.taper_frac / 2 / MM_IN_M,
        crown_m2=figures.crown_share_frac.value * height_m * spread_m,
        crown_height_m=pot.depth_mm / MM_IN_M + middle_m,
        drag_ratio=figures.drag_ratio.value,
    )
    return float(gust_m_s)


def _narrow_mm(pot: Pot) -> float:
    sides = [pot.diameter_mm, pot.length_mm, pot.width_mm]
    return min(side for side in sides if side is not None)

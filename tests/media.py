"""Curves and pots for checks: van Genuchten's four numbers, a straight pot."""

from arbuscula.kinds.pot import Pot
from arbuscula.kinds.substrate import Curve, Pores


def van_genuchten(saturated_frac, residual_frac, alpha_per_cm, shape_n):
    volume_frac = saturated_frac - residual_frac
    pores = Pores(volume_frac=volume_frac, alpha_per_cm=alpha_per_cm, shape_n=shape_n)
    return Curve(residual_frac=residual_frac, parts=(pores,))


def straight_pot(height_cm):
    return Pot(shape="round", diameter_mm=100, depth_mm=10 * height_cm)


IDEAL = van_genuchten(0.87, 0.109, 0.1587, 1.539)
COMPOSTED_BARK = van_genuchten(0.75, 0.13, 0.091, 1.66)
PINE_BARK_TYPE = van_genuchten(0.71, 0.30, 0.343, 2.83)

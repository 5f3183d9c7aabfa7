"""Stomata: how open the pores of a leaf are."""

import numpy as np

from arbuscula.kinds.leaf import Stomata
from arbuscula.kinds.values import Num

ACCLIMATED_AT_MOL_M2_D = 12.0  # the light for which the reference holds
ACCLIMATION_LEAST, ACCLIMATION_MOST = 0.5, 1.25
DRYNESS_LEAST_KPA = 0.3  # below it the square root law runs away


def stomatal_conductance_mol_m2_s(
    stomata: Stomata[Num],
    *,
    light_umol_m2_s: Num,
    vapour_deficit_kpa: Num,
    air_temperature_c: Num,
    daily_light_mol_m2_d: Num,
) -> Num:
    """Return how freely one side of a leaf lets vapour out.

    What is left at night (a thin skin and pores that do not shut) is a part
    of its own: in a dim room it is most of the use.

    Shape: arguments broadcast together; members first, time last.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: leaves that are not short of water; drought is the pot's affair.
    Source: medlyn2011, eq. 11, scaled to 1 at 1 kPa; jarvis1976 for the product.
    Departs: the deficit of the air stands for that at the leaf (under 2 % a day).
    """
    s = stomata
    lit = light_umol_m2_s / (light_umol_m2_s + s.half_light_umol_m2_s)
    dryness = _dryness_response_frac(s.deficit_slope_sqrt_kpa, vapour_deficit_kpa)
    warmth = warmth_response_frac(s, air_temperature_c)
    fitness = _acclimation_ratio(s.acclimation_exp, daily_light_mol_m2_d)
    opened = s.dark_leak_frac + lit * dryness * warmth
    return (
        s.least_conductance_mol_m2_s
        + s.reference_conductance_mol_m2_s * fitness * opened
    )


def warmth_response_frac(stomata: Stomata[Num], air_temperature_c: Num) -> Num:
    """Return the opening at this warmth as a share of the opening at the best.

    Shape: arguments broadcast together.
    Errors: none raised.
    Holds for: air temperatures; nil outside the coldest and the hottest.
    Source: jarvis1976, eq. 5.
    """
    coldest, best, hottest = stomata.coldest_c, stomata.best_c, stomata.hottest_c
    t = np.clip(air_temperature_c, coldest, hottest)
    exponent = (hottest - best) / (best - coldest)
    rising = (t - coldest) / (best - coldest)
    return rising * ((hottest - t) / (hottest - best)) ** exponent


def _dryness_response_frac(slope_sqrt_kpa: Num, vapour_deficit_kpa: Num) -> Num:
    D = np.maximum(vapour_deficit_kpa, DRYNESS_LEAST_KPA)
    return (1 + slope_sqrt_kpa / np.sqrt(D)) / (1 + slope_sqrt_kpa)


def _acclimation_ratio(exponent: Num, daily_light_mol_m2_d: Num) -> Num:
    brightness = daily_light_mol_m2_d / ACCLIMATED_AT_MOL_M2_D
    return np.clip(brightness**exponent, ACCLIMATION_LEAST, ACCLIMATION_MOST)

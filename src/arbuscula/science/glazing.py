"""Glazing: how much light comes through panes, by the angle at which it falls."""

from typing import Final

import numpy as np

from arbuscula.kinds.values import Num

GLASS_INDEX: Final = 1.526  # refraction of window glass
GRAZING_DEG: Final = 89.9
STRAIGHT_RAD: Final = 1e-4  # below it the quotients lose their digits
EDGE_ON_DEG: Final = 90.0

# Gauss and Legendre's points on 0 to 1: the squared sine of the incidence, by
# which an evenly bright sky weighs the angles.
_ROOTS, _WEIGHTS = np.polynomial.legendre.leggauss(64)
_SINES_SQUARED: Final = (_ROOTS + 1) / 2
_SINE_WEIGHTS: Final = _WEIGHTS / 2


def surface_reflected_frac(incidence_deg: Num) -> tuple[Num, Num]:
    """Return what one surface throws back of light swung across, and along.

    Shape: both answers have that of the argument.
    Errors: none raised.
    Holds for: smooth uncoated glass in air.
    Source: duffie2013, eq. 5.1.1 and 5.1.2, Fresnel's.
    """
    falls, goes = _angles_rad(incidence_deg)
    apart, together = goes - falls, goes + falls
    level = ((GLASS_INDEX - 1) / (GLASS_INDEX + 1)) ** 2
    with np.errstate(divide="ignore", invalid="ignore"):
        across = (np.sin(apart) / np.sin(together)) ** 2
        along = (np.tan(apart) / np.tan(together)) ** 2
    straight = falls < STRAIGHT_RAD
    return np.where(straight, level, across)[()], np.where(straight, level, along)[()]


def _angles_rad(incidence_deg: Num) -> tuple[Num, Num]:
    """Return the angles outside the glass and in it."""
    falls = np.radians(np.clip(incidence_deg, 0.0, GRAZING_DEG))
    return falls, np.arcsin(np.sin(falls) / GLASS_INDEX)


def unabsorbed_frac(*, incidence_deg: Num, panes_n: int) -> Num:
    """Return what comes through panes that absorb nothing.

    Shape: that of the incidence.
    Errors: none raised.
    Holds for: like panes, one behind the other.
    Source: duffie2013, eq. 5.1.8.
    """
    surfaces_n = 2 * panes_n - 1
    kinds = surface_reflected_frac(incidence_deg)
    across, along = ((1 - r) / (1 + surfaces_n * r) for r in kinds)
    return (across + along) / 2


def transmitted_frac(*, incidence_deg: Num, normal_frac: float, panes_n: int) -> Num:
    """Return what comes through panes, from what comes through them straight on.

    What glass without loss would pass and these do not is taken as absorbed, more
    of it the longer the way through; a coating is treated alike.

    Shape: that of the incidence.
    Errors: none raised.
    Holds for: clear and tinted glass to 0.02; coated glass and plastics to about
      0.05. Nothing comes from behind.
    Source: duffie2013, eq. 5.2.1 and 5.3.4.
    """
    _, goes = _angles_rad(incidence_deg)
    clear_frac = unabsorbed_frac(incidence_deg=0.0, panes_n=panes_n)
    depth = np.log(np.maximum(clear_frac / max(normal_frac, 1e-6), 1.0))
    longer = np.exp(-depth * (1 / np.cos(goes) - 1))
    share = unabsorbed_frac(incidence_deg=incidence_deg, panes_n=panes_n) / clear_frac
    through = normal_frac * share * longer
    return np.where(np.asarray(incidence_deg) < EDGE_ON_DEG, through, 0.0)[()]


def diffuse_transmitted_frac(*, normal_frac: float, panes_n: int) -> float:
    """Return what comes through panes of light that falls from everywhere alike.

    Shape: a single number.
    Errors: none raised.
    Holds for: as for a beam; a sky equally bright everywhere.
    Source: duffie2013, sec. 5.4, integrated here instead of an angle that stands
      for all.
    """
    incidence = np.degrees(np.arcsin(np.sqrt(_SINES_SQUARED)))
    through = transmitted_frac(
        incidence_deg=incidence, normal_frac=normal_frac, panes_n=panes_n
    )
    return float(np.sum(_SINE_WEIGHTS * through))

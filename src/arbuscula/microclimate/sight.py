"""Sight: what of sun and sky no rim, wall or roof hides from a bench."""

import numpy as np

from arbuscula.kinds.place import Bench
from arbuscula.kinds.values import Num
from arbuscula.microclimate.felt import Outside
from arbuscula.science.sky import horizon_deg, level_sky_frac, profile_deg

BEHIND_DEG = 180.0


def sky_in_sight_frac(bench: Bench) -> float:
    """Return the share of the sky's light that reaches a bench.

    What was said outright holds. A wall opposite takes the lower part of one side;
    an overhang leaves what lies between them, and the house behind it nothing. A
    wall of no known side is taken as a rim all around.
    """
    if bench.sky_frac is not None:
        return bench.sky_frac
    low_deg = bench.obstruction_deg or 0.0
    if bench.facing_deg is None:
        return float(np.cos(np.radians(low_deg)) ** 2)
    high_deg = BEHIND_DEG if bench.overhang_deg is None else bench.overhang_deg
    return float(level_sky_frac(low_deg=low_deg, high_deg=high_deg))


def sun_in_sight(outside: Outside, bench: Bench) -> Num:
    """Return 1 where no rim, wall or roof hides the sun, else 0."""
    light, low_deg = outside.light, bench.obstruction_deg or 0.0
    if bench.sky_frac is not None:
        rim_deg = float(horizon_deg(bench.sky_frac))
        return np.where(light.sun_elevation_deg >= max(rim_deg, low_deg), 1.0, 0.0)
    if bench.facing_deg is None:
        return np.where(light.sun_elevation_deg >= low_deg, 1.0, 0.0)
    high_deg = BEHIND_DEG if bench.overhang_deg is None else bench.overhang_deg
    up_deg = profile_deg(
        elevation_deg=light.sun_elevation_deg,
        azimuth_deg=light.sun_azimuth_deg,
        facing_deg=bench.facing_deg,
    )
    return np.where((up_deg >= low_deg) & (up_deg <= high_deg), 1.0, 0.0)

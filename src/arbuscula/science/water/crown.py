"""Crown: how much of the light an ellipsoid of leaves takes, and which leaves."""

from dataclasses import dataclass
from typing import Final

import numpy as np

from arbuscula.kinds.leaf import Crown, CrownAir, Optics
from arbuscula.kinds.values import Num

SPHERICAL: Final = 0.5  # mean projection of leaves that lie in every direction
THIN: Final = 1e-4  # a crown below it would cost the quotient its digits
DIRECTIONS_N: Final = 400
LAYERS_N: Final = 2.5  # leaf area over the ground below the crown, where unknown
FLATNESS_RATIO: Final = 0.6  # half height over half width, where unknown


@dataclass(frozen=True, slots=True, kw_only=True)
class CrownLight:
    """Sunlit and shaded leaves, and the sun's energy on each."""

    sunlit_m2: Num
    shaded_m2: Num
    on_sunlit_w_m2: Num
    on_shaded_w_m2: Num
    longwave_w_m2: Num


def crown_of_leaf_area(leaf_area_m2: float, leaf_width_m: float) -> Crown:
    """Return the usual crown of this leaf area.

    Shape: single numbers.
    Errors: none raised.
    Holds for: trees in leaf whose crown nobody has measured.
    Source: arbuscula, docs/water.md.
    """
    a = float(np.sqrt(leaf_area_m2 / (LAYERS_N * np.pi)))
    return Crown(
        leaf_area_m2=leaf_area_m2,
        half_width_m=a,
        half_height_m=FLATNESS_RATIO * a,
        leaf_width_m=leaf_width_m,
    )


def silhouette_m2(crown: Crown, elevation_rad: Num) -> Num:
    """Return the crown's shadow on a plane across a ray of this elevation.

    Shape: that of the elevation.
    Errors: none raised.
    Holds for: ellipsoids that are as wide as they are deep.
    Source: geometry.
    """
    a, c = crown.half_width_m, crown.half_height_m
    return np.pi * a * np.hypot(a * np.sin(elevation_rad), c * np.cos(elevation_rad))


def transmitted_frac(crown: Crown, optics: Optics[float], elevation_rad: Num) -> Num:
    """Return the share of a ray's light that comes through between the leaves.

    Shape: that of the elevation.
    Errors: none raised.
    Holds for: leaves spread evenly through the ellipsoid, in all directions.
    Source: norman1983, the ellipsoid's path lengths integrated; geometry.
    """
    kappa = SPHERICAL * optics.clumping_frac
    depth = kappa * crown.leaf_area_m2 / silhouette_m2(crown, elevation_rad)
    x = np.maximum(1.5 * depth, THIN)
    return np.where(depth < THIN, 1 - depth, 2 * (1 - (1 + x) * np.exp(-x)) / x**2)


def diffuse_area_m2(crown: Crown, optics: Optics[float]) -> float:
    """Return the area that takes up light coming from everywhere alike.

    Shape: a single number.
    Errors: none raised.
    Holds for: any crown.
    Source: geometry.
    """
    height = (np.arange(DIRECTIONS_N) + 0.5) / DIRECTIONS_N
    elevation_rad = np.arcsin(height)
    taken = 1 - transmitted_frac(crown, optics, elevation_rad)
    return float(np.mean(silhouette_m2(crown, elevation_rad) * taken))


def crown_light(crown: Crown, optics: Optics[float], air: CrownAir) -> CrownLight:
    """Return how the light at the crown is shared among its leaves.

    Light behind a window comes level, like a low sun; what the room throws
    back comes from everywhere.

    Shape: that of the air's rows.
    Errors: none raised.
    Holds for: a crown that stands alone, under the sky or behind one window.
    Source: depury1997 for sunlit and shaded leaves; geometry.
    """
    behind_glass = air.window_w_m2 > 0
    up = np.where(behind_glass, 0.0, np.maximum(air.sun_elevation_rad, 0.0))
    ray_w_m2 = np.where(behind_glass, air.window_w_m2, air.beam_w_m2)
    taken_m2 = silhouette_m2(crown, up) * (1 - transmitted_frac(crown, optics, up))
    sunlit_m2 = np.minimum(taken_m2 / SPHERICAL, crown.leaf_area_m2)
    all_round_m2 = 2 * diffuse_area_m2(crown, optics)
    ground_w_m2 = optics.ground_albedo_frac * global_w_m2(air)
    room_w_m2 = 2 * optics.room_albedo_frac * air.window_w_m2
    everywhere_w = all_round_m2 * (air.sky_w_m2 + ground_w_m2 + room_w_m2)
    on_shaded_w_m2 = everywhere_w / crown.leaf_area_m2
    return CrownLight(
        sunlit_m2=sunlit_m2,
        shaded_m2=crown.leaf_area_m2 - sunlit_m2,
        on_sunlit_w_m2=ray_w_m2 * taken_m2 / sunlit_m2 + on_shaded_w_m2,
        on_shaded_w_m2=on_shaded_w_m2,
        longwave_w_m2=all_round_m2 * air.longwave_w_m2 / crown.leaf_area_m2,
    )


def global_w_m2(air: CrownAir) -> Num:
    """Return the sun's energy on a level plane above the crown.

    Shape: that of the air's rows.
    Errors: none raised.
    Holds for: open sky; nothing of what comes through a window.
    Source: geometry.
    """
    return air.beam_w_m2 * np.sin(np.maximum(air.sun_elevation_rad, 0)) + air.sky_w_m2

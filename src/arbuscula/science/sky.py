"""Sky: what an upright plane, a bench and a place behind a window see of it."""

from collections.abc import Callable
from dataclasses import dataclass
from typing import TypeAlias

import numpy as np

from arbuscula.kinds.values import Num

Corner: TypeAlias = Callable[[float, float], float]


@dataclass(frozen=True, slots=True, kw_only=True)
class PlaneLight:
    """Sunlight on an upright plane, parted by where it comes from."""

    beam_w_m2: Num
    sky_w_m2: Num
    opposite_w_m2: Num  # from what stands opposite
    ground_w_m2: Num


@dataclass(frozen=True, slots=True, kw_only=True)
class Opening:
    """A rectangle in an upright plane, as seen from one place behind it.

    Right and up are positive; the place's foot on the plane is the origin.
    """

    left_m: float
    right_m: float
    bottom_m: float
    top_m: float
    distance_m: float


def turned_deg(*, azimuth_deg: Num, facing_deg: Num) -> Num:
    """Return how far to the right of where a plane faces the sun stands.

    Shape: arguments broadcast together.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: bearings from north through east; the answer is -180 to 180.
    Source: geometry.
    """
    return (azimuth_deg - facing_deg + 180.0) % 360.0 - 180.0


def incidence_deg(*, elevation_deg: Num, azimuth_deg: Num, facing_deg: Num) -> Num:
    """Return the angle between the sun and straight out of an upright plane.

    Shape: arguments broadcast together.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: upright planes; over 90 degrees the sun is behind it.
    Source: geometry.
    """
    turned = np.radians(turned_deg(azimuth_deg=azimuth_deg, facing_deg=facing_deg))
    out = np.cos(np.radians(elevation_deg)) * np.cos(turned)
    return np.degrees(np.arccos(np.clip(out, -1.0, 1.0)))


def profile_deg(*, elevation_deg: Num, azimuth_deg: Num, facing_deg: Num) -> Num:
    """Return the sun's height in a section straight out of a plane.

    It tells whether a long wall opposite or a long roof above hides the sun. Over
    90 degrees the sun stands behind the plane, under 0 below the horizon.

    Shape: arguments broadcast together.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: sections of things much longer than they are high.
    Source: geometry.
    """
    up = np.sin(np.radians(elevation_deg))
    turned = np.radians(turned_deg(azimuth_deg=azimuth_deg, facing_deg=facing_deg))
    out = np.cos(np.radians(elevation_deg)) * np.cos(turned)
    return np.degrees(np.arctan2(up, out))


def upright_sky_frac(obstruction_deg: Num) -> Num:
    """Return the share of a plane's whole sight that is sky above a long wall.

    Shape: that of the argument.
    Errors: none raised.
    Holds for: a sky equally bright everywhere; half of the sight with no wall.
    Source: geometry.
    """
    return (1.0 - np.sin(np.radians(obstruction_deg))) / 2.0


def level_sky_frac(*, low_deg: Num, high_deg: Num) -> Num:
    """Return the share of the sky's light that comes to a level place.

    Sky is seen between two long edges, at these heights in a section; over 90
    degrees is behind.

    Shape: arguments broadcast together.
    Errors: none raised; edges that cross leave nothing.
    Holds for: a sky equally bright everywhere.
    Source: geometry.
    """
    wide = np.cos(np.radians(low_deg)) - np.cos(np.radians(high_deg))
    return np.maximum(wide, 0.0) / 2.0


def horizon_deg(sky_frac: Num) -> Num:
    """Return how high an even rim all around must be to leave this share of sky.

    Shape: that of the argument.
    Errors: none raised.
    Holds for: shares of the light on a level place, 0 to 1, weighted as it is.
    Source: geometry, the inverse of cos2 of the rim's height.
    """
    return np.degrees(np.arccos(np.sqrt(np.clip(sky_frac, 0.0, 1.0))))


def plane_light(
    *,
    beam_normal_w_m2: Num,
    diffuse_w_m2: Num,
    shortwave_w_m2: Num,
    elevation_deg: Num,
    azimuth_deg: Num,
    facing_deg: Num,
    obstruction_deg: Num,
    ground_albedo_frac: Num,
    opposite_ratio: Num,
) -> PlaneLight:
    """Return the sunlight on an upright plane, with a long wall opposite.

    Shape: arguments broadcast together.
    Errors: none raised; a gap (NaN) in gives a gap out.
    Holds for: hours; a sky equally bright everywhere. Under a clear sky a sunny
      side gets up to a seventh too little by it in winter, a shaded one a
      fifteenth too much in summer.
    Source: liu1961 for the parts; bre309 for a wall of a share of the sky's
      brightness.
    """
    here = {
        "elevation_deg": elevation_deg,
        "azimuth_deg": azimuth_deg,
        "facing_deg": facing_deg,
    }
    out = np.cos(np.radians(incidence_deg(**here)))
    shines = (profile_deg(**here) >= obstruction_deg) & (np.asarray(elevation_deg) > 0)
    sky_frac = upright_sky_frac(obstruction_deg)
    return PlaneLight(
        beam_w_m2=beam_normal_w_m2 * np.where(shines, np.maximum(out, 0.0), 0.0),
        sky_w_m2=diffuse_w_m2 * sky_frac,
        opposite_w_m2=diffuse_w_m2 * opposite_ratio * (0.5 - sky_frac),
        ground_w_m2=shortwave_w_m2 * ground_albedo_frac / 2.0,
    )


def opening_frac(opening: Opening) -> float:
    """Return the share of a plane's whole sight that an opening fills.

    The plane stands upright in the place and faces the opening's: a meter held
    towards the window.

    Shape: a single number.
    Errors: none raised; an opening without area fills nothing.
    Holds for: any rectangle; exact.
    Source: howell, factor of an element and a parallel rectangle over its corner.
    """
    return _over_corners(opening, _corner_plane)


def opening_sphere_frac(opening: Opening) -> float:
    """Return the share of all directions in which an opening lies.

    Shape: a single number.
    Errors: none raised; an opening without area fills nothing.
    Holds for: any rectangle; exact.
    Source: geometry, the solid angle of a rectangle over its corner.
    """
    return _over_corners(opening, _corner_sphere)


def _over_corners(opening: Opening, corner: Corner) -> float:
    """Return the rectangle as four that meet at the origin, each by its far corner."""
    d = opening.distance_m
    left, right = opening.left_m / d, opening.right_m / d
    bottom, top = opening.bottom_m / d, opening.top_m / d
    if right <= left or top <= bottom:
        return 0.0
    whole = corner(right, top) - corner(left, top)
    return whole - corner(right, bottom) + corner(left, bottom)


def _corner_plane(x: float, y: float) -> float:
    a, b = np.hypot(1.0, x), np.hypot(1.0, y)
    return float((x / a * np.arctan(y / a) + y / b * np.arctan(x / b)) / (2.0 * np.pi))


def _corner_sphere(x: float, y: float) -> float:
    return float(np.arctan(x * y / np.sqrt(1.0 + x * x + y * y)) / (4.0 * np.pi))

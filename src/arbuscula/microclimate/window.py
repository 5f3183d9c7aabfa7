"""Window: light behind panes, by where they face, what stands opposite, how far in."""

from dataclasses import dataclass, replace
from typing import Final

import numpy as np

from arbuscula.kinds.exposure import BenchFigures, Built, Glazing, WindowFigures
from arbuscula.kinds.place import Bench
from arbuscula.kinds.values import Num
from arbuscula.microclimate.felt import Air, Light, Outside
from arbuscula.science.glazing import diffuse_transmitted_frac, transmitted_frac
from arbuscula.science.sky import (
    Opening,
    PlaneLight,
    incidence_deg,
    opening_frac,
    opening_sphere_frac,
    plane_light,
    profile_deg,
    turned_deg,
)
from arbuscula.units import STEFAN_BOLTZMANN_W_M2_K4, ZERO_C_IN_KELVIN

CM_IN_M: Final = 100.0
NEAREST_M: Final = 0.02
HIGHEST_DEG: Final = 89.0  # of a wall opposite: it leaves no sky


@dataclass(frozen=True, slots=True, kw_only=True)
class _Window:
    """A window as it was said, the rest as is usual."""

    opening: Opening
    facing_deg: float
    obstruction_deg: float
    glazing: Glazing
    crown_half_m: float
    open_frac: float  # past dirt, frame, curtain and blind


def window_light(outside: Outside, bench: Bench, built: Built) -> Light:
    """Return the light at a place behind a window, and what the room throws back.

    Through the window come beam, sky, what stands opposite, and ground, each as
    far as it is in sight. What falls on the room's walls comes back evenly.
    """
    figures = built.figures
    window = _window(bench, built)
    plane = _on_the_glass(outside, window, figures)
    sky_w_m2, beam_w_m2 = _in_sight(outside, window, plane, figures)
    return Light(
        beam_w_m2=np.zeros_like(beam_w_m2),
        sky_w_m2=_thrown_back(outside, window, plane, figures.window),
        window_w_m2=sky_w_m2 + beam_w_m2,
        longwave_w_m2=np.zeros_like(beam_w_m2),
    )


def _window(bench: Bench, built: Built) -> _Window:
    usual = built.figures.window
    wide_cm = _said(bench.window_width_cm, usual.width_cm.value)
    high_cm = _said(bench.window_height_cm, usual.height_cm.value)
    sill_cm = _said(bench.sill_height_cm, usual.sill_cm.value)
    far_cm = _said(bench.glass_distance_cm, usual.distance_cm.value)
    bottom_m = (sill_cm - usual.crown_height_cm.value) / CM_IN_M
    kept = (1 - (bench.curtain_frac or 0.0)) * (1 - (bench.shade_frac or 0.0))
    return _Window(
        opening=Opening(
            left_m=-wide_cm / CM_IN_M / 2,
            right_m=wide_cm / CM_IN_M / 2,
            bottom_m=bottom_m,
            top_m=bottom_m + high_cm / CM_IN_M,
            distance_m=max(far_cm / CM_IN_M, NEAREST_M),
        ),
        facing_deg=bench.facing_deg or 0.0,
        obstruction_deg=min(bench.obstruction_deg or 0.0, HIGHEST_DEG),
        glazing=glazing_of(bench.glazing, usual.glazing, built),
        crown_half_m=usual.crown_half_cm.value / CM_IN_M,
        open_frac=usual.clean_frac.value * kept,
    )


def _said(said: float | None, usual: float) -> float:
    return usual if said is None else said


def glazing_of(said: str | None, usual: str, built: Built) -> Glazing:
    """Return the glazing that was said, or the usual one."""
    return built.glazings.get(said or usual) or built.glazings[usual]


def _on_the_glass(
    outside: Outside, window: _Window, figures: BenchFigures
) -> PlaneLight:
    light = outside.light
    return plane_light(
        beam_normal_w_m2=light.beam_w_m2,
        diffuse_w_m2=light.sky_w_m2,
        shortwave_w_m2=outside.rows.shortwave_w_m2,
        elevation_deg=light.sun_elevation_deg,
        azimuth_deg=light.sun_azimuth_deg,
        facing_deg=window.facing_deg,
        obstruction_deg=window.obstruction_deg,
        ground_albedo_frac=figures.light.ground_albedo_frac.value,
        opposite_ratio=figures.window.opposite_ratio.value,
    )


def _in_sight(
    outside: Outside, window: _Window, plane: PlaneLight, figures: BenchFigures
) -> tuple[Num, Num]:
    """Return even light and beam through the window, on a plane that faces it."""
    above, opposite, below = _parts(window)
    ground_w_m2 = figures.light.ground_albedo_frac.value * outside.rows.shortwave_w_m2
    even_w_m2 = outside.light.sky_w_m2 * (
        above + figures.window.opposite_ratio.value * opposite
    )
    even_w_m2 = (even_w_m2 + ground_w_m2 * below) * _diffuse_frac(window)
    beam_w_m2 = (
        plane.beam_w_m2 * _beam_frac(outside, window) * _lit_frac(outside, window)
    )
    return even_w_m2, beam_w_m2


def _parts(window: _Window) -> tuple[float, float, float]:
    """Return how much of the window is sky, wall opposite and ground, as seen."""
    seen = window.opening
    edge_m = seen.distance_m * float(np.tan(np.radians(window.obstruction_deg)))

    def between(low_m: float, high_m: float) -> float:
        low, high = max(low_m, seen.bottom_m), min(high_m, seen.top_m)
        return opening_frac(replace(seen, bottom_m=low, top_m=max(low, high)))

    return (
        between(edge_m, seen.top_m),
        between(0.0, edge_m),
        between(seen.bottom_m, 0.0),
    )


def _diffuse_frac(window: _Window) -> float:
    visible = window.glazing.visible_frac.value
    through = diffuse_transmitted_frac(
        normal_frac=visible, panes_n=window.glazing.panes_n
    )
    return window.open_frac * through


def _beam_frac(outside: Outside, window: _Window) -> Num:
    light = outside.light
    through = transmitted_frac(
        incidence_deg=incidence_deg(
            elevation_deg=light.sun_elevation_deg,
            azimuth_deg=light.sun_azimuth_deg,
            facing_deg=window.facing_deg,
        ),
        normal_frac=window.glazing.visible_frac.value,
        panes_n=window.glazing.panes_n,
    )
    return window.open_frac * through


def _lit_frac(outside: Outside, window: _Window) -> Num:
    """Return how much of the crown's middle the beam meets through the opening."""
    light, seen, half_m = outside.light, window.opening, window.crown_half_m
    here = {"azimuth_deg": light.sun_azimuth_deg, "facing_deg": window.facing_deg}
    turned = np.radians(np.clip(turned_deg(**here), -HIGHEST_DEG, HIGHEST_DEG))
    up_deg = profile_deg(elevation_deg=light.sun_elevation_deg, **here)
    across_m = seen.distance_m * np.tan(turned)
    up_m = seen.distance_m * np.tan(np.radians(np.clip(up_deg, -1.0, HIGHEST_DEG)))
    across = _overlap(across_m, half_m, seen.left_m, seen.right_m)
    return across * _overlap(up_m, half_m, seen.bottom_m, seen.top_m)


def _overlap(middle_m: Num, half_m: float, low_m: float, high_m: float) -> Num:
    """Return how much of a stretch lies between two edges."""
    inside = np.minimum(middle_m + half_m, high_m) - np.maximum(
        middle_m - half_m, low_m
    )
    return np.clip(inside / (2 * half_m), 0.0, 1.0)


def _thrown_back(
    outside: Outside, window: _Window, plane: PlaneLight, figures: WindowFigures
) -> Num:
    """Return the even light of a room whose walls send back a share, again and again.

    Source: bre309, the average internally reflected component.
    """
    seen, share = window.opening, figures.room_reflected_frac.value
    glass_m2 = (seen.right_m - seen.left_m) * (seen.top_m - seen.bottom_m)
    even_w_m2 = plane.sky_w_m2 + plane.opposite_w_m2 + plane.ground_w_m2
    came_in = even_w_m2 * _diffuse_frac(window)
    came_in = came_in + plane.beam_w_m2 * _beam_frac(outside, window)
    back = share / (figures.room_surface_m2.value * (1 - share))
    return glass_m2 * came_in * back


def near_the_glass(
    air: Air, light: Light, outside: Outside, bench: Bench, built: Built
) -> tuple[Air, Light]:
    """Return air and longwave as a pane makes them that is colder than the room.

    The pane's inner face lies between room and outside as its losses say; air
    close to it takes a part of that. Its vapour stays the room's.
    """
    figures, window = built.figures.window, _window(bench, built)
    room_c = air.air_temperature_c
    share = window.glazing.loss_w_m2_k.value / figures.inside_w_m2_k.value
    pane_c = room_c - min(share, 1.0) * (room_c - outside.rows.air_temperature_c)
    far = window.opening.distance_m * CM_IN_M / figures.near_cm.value
    near_c = room_c + figures.near_frac.value * float(np.exp(-far)) * (pane_c - room_c)
    glow = (pane_c + ZERO_C_IN_KELVIN) ** 4 - (near_c + ZERO_C_IN_KELVIN) ** 4
    in_sight = 2 * opening_sphere_frac(window.opening) * STEFAN_BOLTZMANN_W_M2_K4
    return (
        replace(air, air_temperature_c=near_c),
        replace(light, longwave_w_m2=in_sight * glow),
    )

"""Rules about roots in the coming day: black pots in sun, and ice under leaves."""

from arbuscula.kinds.exposure import RootLines
from arbuscula.kinds.moving import RootFigures
from arbuscula.kinds.round import SunView
from arbuscula.kinds.said import Said


def hot_roots(tree: SunView, figures: RootFigures, lines: RootLines) -> Said | None:
    """Say that a root ball grows too hot, or keep silent."""
    if tree.burns_frac >= figures.burns_frac.value:
        line_c = lines.damage_above_c.value
        told = {"high_c": tree.high_c, "line_c": line_c}
        return Said("heat.burns", told | {"burns_frac": tree.burns_frac})
    if tree.hot_frac >= figures.hot_frac.value:
        told = {"high_c": tree.high_c, "line_c": lines.warn_above_c.value}
        return Said("heat.hot", told | {"hot_frac": tree.hot_frac})
    return None


def ice_in_sun(tree: SunView, figures: RootFigures) -> Said | None:
    """Say that sun will draw on leaves whose roots are ice, or keep silent."""
    if tree.frozen_sun_frac < figures.ice_frac.value:
        return None
    return Said("frost.sun_on_ice", {"frozen_sun_frac": tree.frozen_sun_frac})

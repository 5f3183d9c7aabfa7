"""Rules about heavy showers, which now and then bring hail."""

from arbuscula.kinds.moving import StormFigures
from arbuscula.kinds.said import Said


def may_hail(downpour_frac: float, figures: StormFigures) -> Said | None:
    """Say that a downpour out of warm air is likely, or keep silent.

    No forecast that reaches us tells hail: this warns of what it comes with.
    """
    if downpour_frac < figures.at_frac.value:
        return None
    return Said("hail.downpour", {"downpour_frac": downpour_frac})

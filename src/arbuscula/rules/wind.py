"""Rules about wind: which pots to set on the ground, and which to tie."""

from arbuscula.kinds.moving import WindFigures
from arbuscula.kinds.round import WindView
from arbuscula.kinds.said import Said


def against_wind(tree: WindView, figures: WindFigures) -> Said | None:
    """Say what keeps a pot from tipping over, or keep silent."""
    counts_frac = figures.tips_at_frac.value
    if tree.tips_frac < counts_frac:
        return None
    told = {"gust_m_s": tree.gust_m_s.p90, "tips_m_s": tree.tips_m_s}
    if tree.tips_on_ground_frac < counts_frac:
        return Said("wind.ground", told | {"tips_frac": tree.tips_frac})
    return Said("wind.tie", told | {"tips_frac": tree.tips_frac})

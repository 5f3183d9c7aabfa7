"""Rules about cold nights: who must come in before dark."""

from typing import Final

from arbuscula.kinds.round import NightView
from arbuscula.kinds.said import Said

WARN_FRAC: Final = 0.1  # one in ten under the warning floor
DAMAGE_FRAC: Final = 0.02  # one in fifty under the damage line


def bring_in(night: NightView) -> Said | None:
    """Say why a tree must come in tonight, or keep silent."""
    if night.damage_frac >= DAMAGE_FRAC:
        return Said(
            "cold.damage",
            {"below_c": night.damage_below_c, "low_c": night.low_c.p50}
            | {"damage_frac": night.damage_frac},
        )
    if night.warn_frac >= WARN_FRAC:
        return Said(
            "cold.warn",
            {"below_c": night.warn_below_c, "low_c": night.low_c.p50}
            | {"warn_frac": night.warn_frac},
        )
    return None

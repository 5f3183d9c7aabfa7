"""Rules about cold nights: who must come in before dark, and who may go out again."""

from collections.abc import Sequence
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
    return _roots(night)


def _roots(night: NightView) -> Said | None:
    """Say that the root ball is the first to suffer, as a hardy tree's is."""
    line_c, low_c = night.roots_below_c, night.roots_low_c
    if line_c is None or low_c is None or night.roots_frac < WARN_FRAC:
        return None
    return Said(
        "cold.roots",
        {"below_c": line_c, "low_c": low_c, "roots_frac": night.roots_frac},
    )


def go_out(nights: Sequence[NightView], *, at_most_frac: float) -> Said | None:
    """Say that a tree that was carried in may go out again, or keep silent.

    All nights that are known must be mild where it stood: with half the chance
    that brings one in, so that it is not carried to and fro.
    """
    mild = all(n.warn_frac <= at_most_frac and bring_in(n) is None for n in nights)
    if not nights or not mild:
        return None
    low_c = min(night.low_c.p10 for night in nights)
    figures = {"low_c": low_c, "below_c": nights[0].warn_below_c}
    return Said("cold.go_out", figures | {"nights_n": float(len(nights))})


def worst_first(night: NightView) -> tuple[float, ...]:
    """Return where a tree stands in the order of carrying: what would be lost first.

    Those that may be damaged come first, then those longest under their floor.
    """
    return (
        -night.damage_frac,
        -night.roots_frac,
        -night.warn_frac,
        -night.below_h.p50,
        night.low_c.p50 - night.warn_below_c,
    )

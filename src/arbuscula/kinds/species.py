"""Species: traits of a kind of tree, and nothing about work on it."""

from dataclasses import dataclass

from arbuscula.kinds.leaf import Stomata
from arbuscula.kinds.values import Value


@dataclass(frozen=True, slots=True, kw_only=True)
class Warmth:
    """What nights and days a species bears."""

    warn_below_c: Value  # bring it in
    damage_below_c: Value  # of the leaves
    base_c: Value  # below it nothing grows
    roots_below_c: Value | None = None  # of the root ball: carry it before


@dataclass(frozen=True, slots=True, kw_only=True)
class Thirst:
    """How a species spends water, and how dry it may become."""

    leaf_width_mm: Value
    stress_below_frac: Value  # of usable water
    due_below_frac: Value
    late_below_frac: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class Species:
    """Traits of one species."""

    latin: str
    names: tuple[str, ...] = ()  # as the trade calls it
    warmth: Warmth
    thirst: Thirst
    stomata: Stomata[Value]
    missing: str = ""  # what nobody has measured

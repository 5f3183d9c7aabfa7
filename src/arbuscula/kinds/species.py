"""Species: traits of a kind of tree, and nothing about work on it."""

from dataclasses import dataclass
from typing import Literal, TypeAlias

from arbuscula.kinds.leaf import Stomata
from arbuscula.kinds.values import Grade, Value

Toxicity: TypeAlias = Literal[
    "listed toxic", "listed non-toxic", "not listed", "conflicting"
]


@dataclass(frozen=True, slots=True, kw_only=True)
class Warmth:
    """What nights and days a species bears."""

    warn_below_c: Value  # bring it in
    damage_below_c: Value  # of the leaves
    base_c: Value  # below it nothing grows
    roots_below_c: Value | None = None  # of the root ball: carry it before
    chill_h: Value | None = None  # below 7 degC, that its buds ask for


@dataclass(frozen=True, slots=True, kw_only=True)
class Thirst:
    """How a species spends water, and how dry it may become."""

    leaf_width_mm: Value
    stress_below_frac: Value  # of usable water
    due_below_frac: Value
    late_below_frac: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class Harm:
    """What leaves and sap may do to people and animals; no list has all that harms."""

    toxicity: Toxicity
    latex: bool = False
    burns_in_sun: bool = False  # its sap, on skin
    source: str
    grade: Grade


@dataclass(frozen=True, slots=True, kw_only=True)
class Species:
    """Traits of one species."""

    latin: str
    names: tuple[str, ...] = ()  # as the trade calls it
    naming: str = ""  # where trade and botany part
    leaves: Literal["evergreen", "half evergreen", "deciduous", "needles"] | None = None
    harm: Harm | None = None  # None: nobody looked
    warmth: Warmth
    thirst: Thirst
    stomata: Stomata[Value]
    missing: str = ""  # what nobody has measured

"""Stores: wire, feed and pests, as the library knows them."""

from dataclasses import dataclass
from typing import Literal

from arbuscula.kinds.values import Value


@dataclass(frozen=True, slots=True, kw_only=True)
class WireMetal:
    """The metal of a wire, annealed, and the gauges that are sold."""

    name: str
    note: str
    gauges_mm: tuple[float, ...]
    usual_ratio: Value  # gauge over branch, as the trade has it
    density_g_cm3: Value
    elastic_gpa: Value
    soft_yield_mpa: Value  # before it is wound
    wound_stress_mpa: Value  # that holds a bend, once it is wound
    ultimate_mpa: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class Fertiliser:
    """A feed by its analysis, as on a label; never a brand.

    Labels tell phosphorus and potassium as the oxides P2O5 and K2O.
    """

    name: str
    note: str
    form: Literal["soluble", "coated", "organic"]
    nitrogen_frac: Value
    phosphate_frac: Value
    potash_frac: Value
    lime_frac: Value | None = None  # CaO
    magnesia_frac: Value | None = None  # MgO
    lasts_d: Value | None = None  # where it is let go slowly


@dataclass(frozen=True, slots=True, kw_only=True)
class WarmthSum:
    """How much warmth above a line a stretch of life asks for, from one trial."""

    stretch: str
    base_c: Value
    sum_c_d: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class LifeAt:
    """How long a stretch of life takes at one steady temperature."""

    stretch: str
    temperature_c: float
    life_d: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class Pest:
    """A pest: whom it eats, how it shows, and how fast it grows.

    A line that was seen in a trial and one drawn through its points are different
    numbers: `least_c` is the first, the base of a sum the second.
    """

    name: str
    latin: str = ""
    note: str
    hosts: tuple[str, ...]  # how the keys of its hosts begin; empty: many
    shows: str
    least_c: Value | None = None  # seen: below it nothing grows
    most_c: Value | None = None
    sums: tuple[WarmthSum, ...] = ()
    lives: tuple[LifeAt, ...] = ()
    quarantine_d: Value

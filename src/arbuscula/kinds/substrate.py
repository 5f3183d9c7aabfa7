"""Substrate: one material of a mix, the mix, and the water they hold."""

from collections.abc import Mapping
from dataclasses import dataclass
from typing import Annotated, TypeAlias

from arbuscula.kinds.values import Value, Within


@dataclass(frozen=True, slots=True, kw_only=True)
class Substrate:
    """One material of a mix, as the library knows it.

    Grains that are porous themselves have two families of pores, between the
    grains and inside them; a material of one family leaves the last four out.
    """

    name: str
    note: str  # what is missing, and what was borrowed
    grain_mm: Value  # the size that the other numbers hold for
    bulk_density_g_cm3: Value  # dry
    saturated_frac: Value  # of the volume, all pores full
    residual_frac: Value
    alpha_per_cm: Value
    shape_n: Value  # van Genuchten's n
    scales_with_grain: bool  # alpha grows as the grain does
    stage_1_mm: Value  # a bare surface gives this freely
    shed_below_frac: Value  # of capacity: a drier ball sheds water
    shed_frac: Value  # at the most, of what it is given
    grades_mm: tuple[tuple[float, float], ...] = ()  # sizes sold, practice
    between_share_frac: Value | None = None  # of the pores; the rest is inside
    inner_alpha_per_cm: Value | None = None
    inner_n: Value | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class MixPart:
    """How much of one material a mix has, and how coarse."""

    share: Annotated[
        float, Within(0, 1e6)
    ]  # by volume, on any scale: 1, 1, 1 or 0.5, 0.3, 0.2
    grain_mm: Annotated[float, Within(0.05, 50)] | None = (
        None  # None: the material's usual size
    )


Mix: TypeAlias = Mapping[str, MixPart | float]  # by the key of the substrate


@dataclass(frozen=True, slots=True, kw_only=True)
class Pores:
    """One family of pores: its part of the volume, and how it empties."""

    volume_frac: float
    alpha_per_cm: float
    shape_n: float  # above 1


@dataclass(frozen=True, slots=True, kw_only=True)
class Curve:
    """What a medium holds at any suction: what stays, and families of pores."""

    residual_frac: float
    parts: tuple[Pores, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class PoreShares:
    """The volume of a medium, by how firmly it holds its water."""

    total_frac: float  # all pores
    air_frac: float  # empty at 10 cm of suction
    easy_frac: float  # given between 10 and 50 cm
    buffer_frac: float  # given between 50 and 100 cm
    tight_frac: float  # still held at 100 cm

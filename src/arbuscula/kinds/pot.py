"""Pot: the vessel a tree stands in."""

from dataclasses import dataclass
from typing import Annotated, Literal, TypeAlias

from arbuscula.kinds.values import Within

Shape: TypeAlias = Literal["box", "oval", "round"]
Wall: TypeAlias = Literal["glazed", "unglazed", "plastic"]
Surface: TypeAlias = Literal["bare", "mossed", "covered"]
Colour: TypeAlias = Literal["dark", "medium", "light"]
Size: TypeAlias = Annotated[float, Within(10, 5000)]


@dataclass(frozen=True, slots=True, kw_only=True)
class Pot:
    """A pot by its inner sizes, at the top; the depth is that of the soil.

    A round pot has a diameter, every other a length and a width.
    """

    shape: Shape
    depth_mm: Size
    length_mm: Size | None = None
    width_mm: Size | None = None
    diameter_mm: Size | None = None
    taper_frac: Annotated[float, Within(0.1, 2)] = (
        1.0  # size at the bottom over size at the top
    )
    wall: Wall = "glazed"
    tare_g: Annotated[float, Within(0, 1e6)] | None = None
    surface: Surface = "bare"
    colour: Colour | None = None  # of its walls in the sun; None: nobody said

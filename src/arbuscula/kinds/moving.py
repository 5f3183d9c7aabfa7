"""Moving: who is carried where, and the numbers behind it."""

from dataclasses import dataclass

from arbuscula.kinds.place import Exposure
from arbuscula.kinds.values import Spread, Value


@dataclass(frozen=True, slots=True, kw_only=True)
class CarryFigures:
    """How trees are carried, and what may stand where."""

    hardy_below_c: Value  # of the warning floor: such trees want the cold
    hardy_not_above_c: Value  # of a shelter's night, for them
    gap_cm: Value  # between two pots
    spread_over_length_ratio: Value  # of a tree nobody has measured
    load_kg: Value  # of one trip
    hold_n: Value  # pots of one trip
    lift_kg: Value  # over it two people, or a trolley
    trip_min: Value
    back_d: Value  # carried in so lately, a tree may be carried out again
    out_frac: Value  # of a night under the floor, by which it goes out again


@dataclass(frozen=True, slots=True, kw_only=True)
class WindFigures:
    """How wind tips pots."""

    gust_ratio: Value  # of some seconds, over the hour's mean
    ground_ratio: Value  # of the wind on the ground, over that on a bench
    drag_ratio: Value  # of a crown in leaf
    height_over_length_ratio: Value  # of tree and pot, where nobody measured
    crown_frac: Value  # of the height
    tips_ln: Value  # how far the wind that tips may be off, one standard deviation
    potted_g_cm3: Value  # tree, pot and moist soil, over the soil's volume
    tips_at_frac: Value  # of a chance that counts


@dataclass(frozen=True, slots=True, kw_only=True)
class StormFigures:
    """What heavy showers may bring."""

    downpour_mm_h: Value
    warm_c: Value  # of the hours before
    at_frac: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class RootFigures:
    """When hot and frozen root balls count."""

    hot_frac: Value  # of a chance to pass the warning line
    burns_frac: Value  # and the damage line
    frozen_frac: Value  # of the water that is ice
    ice_frac: Value  # of a chance that sun stands on leaves then
    sun_w_m2: Value  # of a beam that draws on leaves


@dataclass(frozen=True, slots=True, kw_only=True)
class DoseFigures:
    """How trees are led into less light and into more."""

    less_ratio: Value  # of light there over here: under it a move is one into less
    more_ratio: Value  # over it a move is one into more
    shaded_ratio: Value  # of the light while a tree is led into less
    shaded_d: Value  # for so long, or not at all
    out_d: Value  # in steps towards the sun
    steps_n: Value
    first_ratio: Value  # of the light there, in the first step
    drops_d: Value  # after a move into less, leaves drop in waves


@dataclass(frozen=True, slots=True, kw_only=True)
class MovingFigures:
    """The numbers behind moving trees, from `moving.toml`."""

    carry: CarryFigures
    wind: WindFigures
    storm: StormFigures
    roots: RootFigures
    dose: DoseFigures


@dataclass(frozen=True, slots=True, kw_only=True)
class Refuge:
    """A place under a roof, on one night."""

    key: str
    exposure: Exposure
    low_c: Spread


@dataclass(frozen=True, slots=True, kw_only=True)
class Room:
    """What is left of a place; None: nobody said how much it holds."""

    key: str
    left_n: int | None = None  # pots
    left_cm: float | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Load:
    """A tree to be carried, and where it may go, the best place first."""

    key: str
    width_cm: float
    mass_kg: float
    may_go: tuple[str, ...]
    if_need_be: tuple[str, ...] = ()  # places that are only better than none


@dataclass(frozen=True, slots=True, kw_only=True)
class Carried:
    """A tree with its place and its trip; None: it fits nowhere."""

    key: str
    to: str | None
    trip_n: int | None


@dataclass(frozen=True, slots=True, kw_only=True)
class LightMove:
    """A move from one light into another, and how long there is for it."""

    here_mol_m2_d: float
    there_mol_m2_d: float
    left_d: float | None = None  # until nights are too cold here; None: they are not


@dataclass(frozen=True, slots=True, kw_only=True)
class Step:
    """A part of a move: from a day on, in a light, for some days or for good."""

    from_d: int
    lasts_d: int | None
    light_mol_m2_d: float

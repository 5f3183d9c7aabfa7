"""Library: all that the library holds, read and found whole."""

from collections.abc import Mapping
from dataclasses import dataclass

from arbuscula.kinds.alarm import AlarmFigures
from arbuscula.kinds.checks import Feel
from arbuscula.kinds.exposure import BenchFigures, Glazing, Shelter
from arbuscula.kinds.leaf import Optics
from arbuscula.kinds.moving import MovingFigures
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.season import SeasonFigures
from arbuscula.kinds.species import Species
from arbuscula.kinds.stores import Fertiliser, Pest, WireMetal
from arbuscula.kinds.substrate import Substrate
from arbuscula.kinds.technique import CareFigures, Habit, Technique
from arbuscula.kinds.values import Source, Value


@dataclass(frozen=True, slots=True, kw_only=True)
class BallTraits:
    """What holds for every root ball until it is measured."""

    roots_frac: Value  # of the volume
    stop_suction_cm: Value
    surface_depth_mm: Value  # that dries in the second stage
    canopy_store_mm: Value  # rain on leaves, over the leaf area
    wind_at_crown_ratio: Value  # over the wind at 2 m, on a bench
    preference_frac: Value  # of usable water: how much drier or wetter one is kept
    tree_g_m2: Value  # fresh tree, over its leaf area


@dataclass(frozen=True, slots=True, kw_only=True)
class Unknowns:
    """How little is known of a tree that nobody has measured.

    The values are standard deviations; a name that ends in `_ln` is one of the
    logarithm.
    """

    demand_ln: Value
    crown_in_words_ln: Value
    surface_ln: Value
    usable_mix_ln: Value
    usable_tree_ln: Value
    day_bench_ln: Value
    day_tree_ln: Value
    tare_g: Value
    guessed_pot_ln: Value  # of the water in a pot that nobody has described
    guessed_mix_ln: Value
    soak_frac: Value
    drained_frac: Value
    settling_frac: Value
    days_alike_frac: Value  # a share of the variance
    evidence_half_life_d: Value


@dataclass(frozen=True, slots=True, kw_only=True)
class TrustFigures:
    """How far a forecast is believed before a pot's own days tell."""

    half_life_d: Value  # of what a day tells
    comes_frac: Value  # of a foreseen change
    comes_d: Value  # so many days is that worth
    hardly_ln: Value  # what a day is off by itself: so small a change tells half
    wider_ratio: Value  # how far members are to lie apart, over how far they do
    wider_d: Value  # so many days is that worth
    fades_frac: Value  # of what yesterday says, is left a day later
    short_frac: Value  # of usable water: with less, a pot may not give what is asked


@dataclass(frozen=True, slots=True, kw_only=True)
class Demand:
    """The constants of the demand model, from `demand.toml`."""

    optics: Optics[Value]
    ball: BallTraits
    cover: Mapping[str, Value]  # bare, mossed, covered: share of the evaporation
    wall: Mapping[str, Value]  # glazed, plastic, unglazed: share of the evaporation
    leaf_area_m2: Mapping[str, Value]  # of small, medium and large crowns
    density: Mapping[str, Value]  # thin, normal, dense: over the normal leaf area
    unknown: Unknowns
    trust: TrustFigures


@dataclass(frozen=True, slots=True, kw_only=True)
class Library:
    """All that the library holds."""

    sources: Mapping[str, Source]
    species: Mapping[str, Species]
    substrates: Mapping[str, Substrate]
    pots: tuple[Pot, ...]  # usual sizes
    demand: Demand
    checks: Mapping[str, Feel]  # by how: surface, finger, skewer, lifted
    shelters: Mapping[str, Shelter]  # by exposure
    season: SeasonFigures
    glazings: Mapping[str, Glazing]
    benches: BenchFigures
    alarms: AlarmFigures
    techniques: Mapping[str, Technique]
    groups: Mapping[str, Habit]
    care: CareFigures
    wires: Mapping[str, WireMetal]
    fertilisers: Mapping[str, Fertiliser]
    pests: Mapping[str, Pest]
    moving: MovingFigures

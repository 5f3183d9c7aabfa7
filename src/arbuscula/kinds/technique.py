"""Technique: a job that may be done on a tree, on what terms, and what follows."""

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from datetime import date
from enum import StrEnum
from typing import Final, Literal, TypeAlias

from arbuscula.kinds.said import Said
from arbuscula.kinds.tree import Crown
from arbuscula.kinds.values import Grade, Spread, Value


class Phase(StrEnum):
    """How far a tree has come in its growth; never a date."""

    REST = "rest"
    WAKING = "waking"
    FLUSH = "flush"
    HARDENED = "hardened"
    SLOWING = "slowing"


class Verdict(StrEnum):
    """What is said to a job, the boldest first."""

    YES = "yes"
    NOT_YET = "not yet"
    NO = "no"


class Strain(StrEnum):
    """What a job takes from a tree."""

    LEAVES = "leaves"
    DEFOLIATION = "defoliation"
    WOOD = "wood"
    ROOTS = "roots"
    SHAPE = "shape"
    CARE = "care"
    TRADE = "trade"


class Standing(StrEnum):
    """What a tree is beside growing."""

    HOSPITAL = "hospital"
    QUARANTINE = "quarantine"
    FOR_SALE = "for sale"
    RESERVED = "reserved"
    SOLD = "sold"
    BOARDED = "boarded"


class Vigour(StrEnum):
    """How well a tree grows, the best first; `cannot tell` is an answer."""

    GOOD = "good"
    UNKNOWN = "cannot tell"
    STALLED = "stalled"
    WEAK = "weak"


Need: TypeAlias = Literal[
    "vigorous",
    "leaves stay",
    "roots seen healthy",
    "roots due",
    "roots rotting",
    "drains freely",
    "wired",
    "wire off",
    "nights above its floor",
    "chilled",
]
Shares: TypeAlias = Mapping[Phase, float]  # chances; together one
AFTERCARE: Final = (
    "shade",
    "no_feed",
    "no_wire",
    "check_by_weight",
    "check_wire",
    "check_ties",
    "look_for_buds",
    "look_for_roots",
    "keep_warm",
    "keep_from_frost",
    "keep_still",
    "no_other_job",
    "next_step_to_sun",
    "inspect_for_pests",
    "second_look",
    "look_by_hand",
)
CAUTIONS: Final = (
    "sap",
    "sap_and_sun",
    "toxic_leaves",
    "toxicity_unknown",
    "blades",
    "wire_ends",
    "lifting",
    "ladder",
    "pesticide",
    "feed",
    "dust",
    "one_branch_first",
    "only_dead_wood",
    "soft_leaves",
    "papers",
    "clean_tools",
    "warmer_nights",
    "owner",
    "last_green",
    "leaf_on_every_branch",
    "dead_roots_only",
    "large_pot",
    "dry_or_sick",
    "cold_overrides",
    "three_days_of_shade",
    "identity",
    "dark_in_the_box",
    "arrives_in_another_season",
    "below_the_cut",
    "sun_behind_glass",
)
NEVER: Final = (
    "stub_dies",
    "no_bare_buds",
    "in_part_only",
    "needles",
    "not_its_way",
    "one_flush",
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Habit:
    """How a group of species lives, as far as jobs depend on it."""

    begins: tuple[str, ...]  # of a species' key; the longest that fits decides
    needled: bool = False
    night_stops_c: Value | None = None  # nights so cool that next to nothing grows
    night_full_c: Value | None = None  # and so warm that they hold nothing back
    daylight_least_h: Value | None = None  # shorter days end its growth
    chill_h: Value | None = None  # of cold before it is asked to grow
    fills_y: Value  # of growth, until roots fill a pot
    look_y: Value  # since the last look at the roots: a reason to look again


@dataclass(frozen=True, slots=True, kw_only=True)
class CareFigures:
    """What phase, reserves, roots and verdicts are worked out with."""

    chill_below_c: Value
    light_hold_mol_m2_d: Value  # next to nothing grows
    warmest_c: Value  # warmth above it adds nothing
    cool_night_frac: Value  # of growth, that cool nights leave
    idle_frac: Value  # of the fastest growth here: below it is rest
    waking_c_d: Value
    flush_c_d: Value
    hardened_c_d: Value
    waking_frac: Value  # at most, of a year's growth
    flush_frac: Value
    hardened_frac: Value
    slowing_frac: Value  # of a year's growth that is left
    later_waking_frac: Value  # of the time, once flushes follow each other
    later_flush_frac: Value
    seen_frac: Value  # how far a grower's eye is trusted
    sure_frac: Value  # of the phase: enough for a yes
    refill_frac: Value  # of a year's growth, from empty to full
    floor_frac: Value  # reserves that no job may touch
    drop_frac: Value  # what many falling leaves draw
    illness_frac: Value
    pest_frac: Value
    signs_d: Value  # how long a sign of distress counts
    crowded_n: Value  # jobs, within
    crowded_d: Value
    filled_frac: Value  # of the pot, that full roots take
    slip_frac: Value  # that they take after slip-potting
    due_frac: Value  # of the ball's outside in roots
    slow_s: Value  # that water stands
    fresh_look_d: Value  # how long a look at the roots counts
    stalled_frac: Value  # chance of next to no growth: a stall
    least_growth_mm: Value  # of the trunk, in a year's growth
    usual_growth_mm: Value
    caliper_mm: Value  # standard error of a trunk's measure
    second_look_d: Value  # after a night under the floor
    cycle_frac: Value  # of a year's growth, where it never rests


@dataclass(frozen=True, slots=True, kw_only=True)
class Recorded:
    """Which event tells that it was done."""

    kind: str  # a key of KINDS
    ways: tuple[str, ...] = ()  # of a graft
    least_frac: float = 0.0  # removed
    most_frac: float = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """On what terms some groups of species bear a technique."""

    groups: tuple[str, ...]  # keys of groups.toml, or `any`
    never: str = ""  # why not, for these
    phases: tuple[Phase, ...] = ()  # none: any
    needs: tuple[Need, ...] = ()
    night_c: Value | None = None  # that the nights stay at or above
    light_mol_m2_d: Value | None = None
    root_c: Value | None = None
    leaves_n: Value | None = None  # on a shoot before it is cut
    growth_left_frac: Value | None = None  # of a year's growth
    frost_free_d: Value | None = None
    shade_d: Value | None = None  # before it goes where it is darker, or none
    rest_d: Mapping[Strain, Value] | None = None  # since jobs of these kinds
    keep_leaves_n: Mapping[Phase, Value] | None = None  # on each shoot
    most_crown_frac: Value | None = None  # off at once
    most_roots_frac: Value | None = None
    cost_frac: Value | None = None  # of the reserves
    dose_frac: Mapping[Phase, Value] | None = None  # of the usual strength
    cautions: tuple[str, ...] = ()
    cautions_in: Mapping[Phase, tuple[str, ...]] | None = None
    source: str = ""  # where it is another than the technique's
    grade: Grade | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class After:
    """Something to do, or to leave, when a job is done."""

    job: str  # of AFTERCARE, or the grower's own words
    from_d: Value
    to_d: Value
    phases: tuple[Phase, ...] = ()  # in which it was done; none: any
    groups: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Technique:
    """A kind of job, as the library tells it."""

    title: str
    names: tuple[str, ...] = ()  # other words for it
    strain: Strain
    is_big: bool = False  # one in a cycle of growth
    judged_outside: bool = False  # by the open air, wherever it stands
    recorded: Recorded | None = None
    bars: tuple[Standing, ...] = ()  # where it is refused
    waits: tuple[Standing, ...] = ()  # where it waits for somebody's word
    terms: tuple[Terms, ...]
    aftercare: tuple[After, ...] = ()
    tools: tuple[str, ...] = ()
    work_min: Mapping[Crown, Value] | None = None
    cautions: tuple[str, ...] = ()
    source: str
    grade: Grade


# What is known of one tree


@dataclass(frozen=True, slots=True, kw_only=True)
class Done:
    """A job that was done."""

    technique: str
    strain: Strain
    is_big: bool
    cost_frac: float
    on: date


@dataclass(frozen=True, slots=True, kw_only=True)
class RootsKnown:
    """What is known of the roots; None: nobody told."""

    fill_frac: Spread | None  # of the pot
    seen: date | None  # last looked at, since the soil was last renewed
    covered_frac: float | None
    looks: str | None
    slow: bool  # water stands
    since: date | None  # last in new soil


@dataclass(frozen=True, slots=True, kw_only=True)
class PhaseKnown:
    """The phase, and what moved it away from what season and light say."""

    shares: Shares
    moved: Said | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class JobView:
    """One tree as those rules see it that judge jobs."""

    key: str
    group: str  # a key of groups.toml; empty: none
    on: date
    phase: PhaseKnown
    night_c: float  # that the nights stay at
    coldest_c: float  # that a night ahead may fall to
    floor_c: float  # the species'
    light_mol_m2_d: float
    root_c: float
    growth_left_frac: float
    frost_free_d: float
    chill_h: float  # of the last half year
    chill_least_h: float  # nil: its kind wants none
    shaded_d: float | None  # since it was moved into shade; None: it was not
    vigour: Vigour
    reserves_frac: float
    roots: RootsKnown
    dropping: bool
    leaves_n: float | None  # on a shoot, as last counted
    wired: date | None  # the oldest wire that is on
    standing: tuple[Standing, ...]
    done: tuple[Done, ...]
    cycle_since: date  # the end of the growth before this one


@dataclass(frozen=True, slots=True, kw_only=True)
class Reason:
    """One question's answer to a job, with its ground."""

    asks: str  # the question's name
    verdict: Verdict
    said: Said
    source: str
    grade: Grade
    until: date | None = None  # it falls away then


@dataclass(frozen=True, slots=True, kw_only=True)
class Judged:
    """A verdict with its reasons, those against it first."""

    technique: str
    verdict: Verdict
    because: tuple[Reason, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Visible:
    """A job that a tree asks for itself."""

    technique: str
    said: Said


@dataclass(frozen=True, slots=True, kw_only=True)
class Question:
    """What is asked of every job, and the check that answers it."""

    name: str
    asks: str
    check: Callable[[Technique, Terms, JobView, CareFigures], Iterator[Reason]]

"""Events: what can happen. Facts only, nothing computed.

No event names a person: where one is meant, an opaque id of `kinds/person` stands.
"""

from dataclasses import dataclass
from datetime import date, datetime
from enum import StrEnum
from typing import Annotated, Final, Literal, TypeAlias

from arbuscula.kinds.place import Bench, Yard
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.substrate import Mix
from arbuscula.kinds.supplies import Amount, Money, Recipe, Stock, WaterSource
from arbuscula.kinds.tree import Group, Place, Tree
from arbuscula.kinds.values import Within

Share: TypeAlias = Annotated[float, Within(0, 1)]
Count: TypeAlias = Annotated[int, Within(0, 1_000_000)]
Length: TypeAlias = Annotated[float, Within(0, 100_000)]


# Coming, standing, going


@dataclass(frozen=True, slots=True, kw_only=True)
class Received:
    """Came into the grower's hands."""

    how: Literal["bought", "raised", "given", "collected", "boarded"]
    giver: str = ""  # an opaque id
    lot: str = ""  # number of the plant passport, not checked
    price: Money | None = None
    told_age_y: Annotated[float, Within(0, 5000)] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SetDown:
    """Put on a bench; what it was taken from is known already."""

    bench: str
    place_n: Place | None = None  # None: at the end


@dataclass(frozen=True, slots=True, kw_only=True)
class LabelsExchanged:
    """From this time on each of the two labels hung on the other plant.

    What happened is the exchange, known or not: everything written under
    either name from then on tells of the other plant. Set right, it is an
    exchange again.
    """

    other: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Divided:
    """Taken apart; the parts carry the history on."""

    into: tuple[str, ...]
    left_n: Count = 0  # plants that stay under the old name; 0: it ends


@dataclass(frozen=True, slots=True, kw_only=True)
class Joined:
    """Others became part of this one; they end, their histories go on in it."""

    parts: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class LayeredOff:
    """A rooted layer was cut off this tree and is one of its own."""

    new: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Grafted:
    """Something was grafted on this tree."""

    way: Literal["approach", "thread", "cleft", "side", "bud", "fusion"]
    scion: str  # a key of library/species, or the grower's own word
    taken_from: str | None = None  # the tree it grew on


@dataclass(frozen=True, slots=True, kw_only=True)
class Failed:
    """A graft, a layer or a cutting did not take."""

    what: Literal["graft", "layer", "cutting", "seed"]
    event: str | None = None  # that began it
    lost_n: Count | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class IntoQuarantine:
    """Kept apart from the others."""

    because: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OutOfQuarantine:
    """Among the others again."""


@dataclass(frozen=True, slots=True, kw_only=True)
class IntoHospital:
    """Normal advice stops: looked at by hand, every round."""

    because: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class OutOfHospital:
    """Normal advice holds again."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Died:
    """Dead, and off the round."""

    because: str = ""


# What was found


class How(StrEnum):
    """How somebody looked."""

    SURFACE = "surface"
    FINGER = "finger"
    SKEWER = "skewer"
    LIFTED = "lifted"
    SEEN = "seen"


class Found(StrEnum):
    """What somebody found."""

    DRY = "dry"
    MOIST = "moist"
    WET = "wet"
    LIGHT = "light"
    HALF = "half"
    HEAVY = "heavy"
    DRAINS_SLOWLY = "drains slowly"
    RAN_STRAIGHT_THROUGH = "ran straight through"
    LOOSE = "loose"
    FALLEN = "fallen"
    LABEL_GONE = "label gone"
    NOT_RIGHT = "not right"


FELT: Final = (Found.DRY, Found.MOIST, Found.WET)
FINDINGS: Final[dict[How, tuple[Found, ...]]] = {  # the first that fits a bare word
    How.FINGER: FELT,
    How.SURFACE: FELT,
    How.SKEWER: FELT,
    How.LIFTED: (Found.LIGHT, Found.HALF, Found.HEAVY),
    How.SEEN: (
        Found.DRAINS_SLOWLY,
        Found.RAN_STRAIGHT_THROUGH,
        Found.LOOSE,
        Found.FALLEN,
        Found.LABEL_GONE,
        Found.NOT_RIGHT,
    ),
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Checked:
    """Looked at: how, and what was found. The pairs are those of FINDINGS."""

    how: How
    found: Found


@dataclass(frozen=True, slots=True, kw_only=True)
class Weighed:
    """Put on a scale, pot and all."""

    mass_g: Amount
    standard_error_g: Amount | None = None
    drained: bool = False  # soaked before, and run out


@dataclass(frozen=True, slots=True, kw_only=True)
class Reading:
    """A measured quantity with its error."""

    quantity: str  # its name ends in the unit, such as trunk_mm or night_min_c
    value: float
    standard_error: float | None = None  # in the same unit
    how: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Measured:
    """Something was measured: a trunk, a night, the light at a leaf."""

    reading: Reading


@dataclass(frozen=True, slots=True, kw_only=True)
class PercolationTimed:
    """How long the water that was poured took to run through."""

    poured_ml: Amount
    time_s: Amount


@dataclass(frozen=True, slots=True, kw_only=True)
class RootsInspected:
    """Out of the pot, or looked at as far as it slid."""

    covered_frac: Share | None = None  # of the ball's outside
    looks: Literal["healthy", "circling", "few", "rotting"] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class BudsSwelling:
    """Growth begins."""

    share_frac: Share | None = None  # of the buds


@dataclass(frozen=True, slots=True, kw_only=True)
class FlushHardened:
    """The last leaves are firm."""


@dataclass(frozen=True, slots=True, kw_only=True)
class LeavesDropping:
    """More leaves fall than should."""

    many: bool
    colour: Literal["green", "yellow", "brown"] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class PestSeen:
    """A pest, or its traces."""

    pest: str  # a key of library/pests, or the grower's own word
    stage: str = ""
    where: str = ""
    seen_n: Count | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Photographed:
    """A picture was taken; the book keeps its digest, not the picture."""

    picture: str  # SHA-256 of the file, in hexadecimal digits
    view: str = ""
    bytes_n: Annotated[int, Within(0, 1_000_000_000)] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Noted:
    """In the grower's own words. No names: what stands here stays."""

    text: str


# What was done


@dataclass(frozen=True, slots=True, kw_only=True)
class Reached:
    """Which of those on a bench or a line the work reached; None: all of them.

    Trees are told by name or label, or by their place as it was then.
    """

    only: tuple[str, ...] | None = None
    excepted: tuple[str, ...] = ()
    excepted_places_n: tuple[Place, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Watered:
    """Water given: to a tree, a bench, or all that hangs on a line."""

    given_ml: Amount | None = None  # to each; None: soaked until it ran
    source: str | None = None
    reached: Reached | None = None  # None: all that stood there


@dataclass(frozen=True, slots=True, kw_only=True)
class Preferred:
    """The grower keeps this one drier or wetter than its species asks for."""

    way: Literal["drier", "wetter", "as usual"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Fed:
    """Feed given."""

    product: str
    given_g: Amount | None = None  # to each, of the product
    given_ml: Amount | None = None  # to each, of the solution
    strength_frac: Annotated[float, Within(0, 20)] | None = None  # of the label's
    reached: Reached | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Treated:
    """Something was done against a pest or a disease; the label comes first."""

    against: str
    product: str
    given_ml: Amount | None = None
    reentry_h: Annotated[float, Within(0, 10_000)] | None = None
    reached: Reached | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Pruned:
    """Something was cut off."""

    technique: str  # a key of library/techniques
    removed_frac: Share | None = None  # of the leaves
    left_n: Count | None = None  # leaves on a shoot
    cut_mm: Length | None = None  # across the largest wound
    sealed: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Defoliated:
    """Leaves taken off."""

    removed_frac: Share = 1.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Wired:
    """Wire put on, and when to look at it again."""

    zone: str = ""  # empty: all over
    metal: Literal["aluminium", "copper"] | None = None
    gauge_mm: Length | None = None
    check_by: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class WireChecked:
    """Wire looked at."""

    zone: str = ""
    bite_n: Annotated[int, Within(0, 3)] = 0  # 0 none, 3 grown in
    check_by: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Unwired:
    """Wire taken off."""

    zone: str = ""
    bite_n: Annotated[int, Within(0, 3)] | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Repotted:
    """Roots worked on, soil renewed. What is not said stayed."""

    pot: Pot | None = None
    mix: Mix | None = None
    removed_frac: Share | None = None  # of the roots
    tied: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class SlipPotted:
    """Into another pot with the ball untouched."""

    pot: Pot
    mix: Mix | None = None  # around the old ball


# Selling


@dataclass(frozen=True, slots=True, kw_only=True)
class Priced:
    """Offered for this."""

    price: Money


@dataclass(frozen=True, slots=True, kw_only=True)
class Reserved:
    """Promised to somebody."""

    buyer: str  # an opaque id
    until: date | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sold:
    """Sold; it stands here until it is sent."""

    buyer: str  # an opaque id
    price: Money | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Sent:
    """Left the yard, by post or in somebody's arms."""

    buyer: str = ""
    carrier: str = ""
    papers: tuple[str, ...] = ()  # kept, not checked


@dataclass(frozen=True, slots=True, kw_only=True)
class Returned:
    """Came back; where it stands is told by setting it down."""

    because: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class Claimed:
    """The buyer was not content."""

    because: str


# The book itself


@dataclass(frozen=True, slots=True, kw_only=True)
class Corrected:
    """An earlier event that does not hold. One that should hold follows it."""

    event: str
    because: str = ""


Noun: TypeAlias = Yard | Bench | Tree | Group | WaterSource | Recipe | Stock
Facts: TypeAlias = (
    Noun
    | Received
    | SetDown
    | LabelsExchanged
    | Divided
    | Joined
    | LayeredOff
    | Grafted
    | Failed
    | IntoQuarantine
    | OutOfQuarantine
    | IntoHospital
    | OutOfHospital
    | Died
    | Checked
    | Weighed
    | Measured
    | PercolationTimed
    | RootsInspected
    | BudsSwelling
    | FlushHardened
    | LeavesDropping
    | PestSeen
    | Photographed
    | Noted
    | Watered
    | Preferred
    | Fed
    | Treated
    | Pruned
    | Defoliated
    | Wired
    | WireChecked
    | Unwired
    | Repotted
    | SlipPotted
    | Priced
    | Reserved
    | Sold
    | Sent
    | Returned
    | Claimed
    | Corrected
)

KINDS: Final[dict[str, type[Facts]]] = {
    "yard set": Yard,  # to set up or to change: the last word holds
    "bench set": Bench,
    "tree set": Tree,
    "group set": Group,
    "source set": WaterSource,
    "mix set": Recipe,
    "stock set": Stock,
    "received": Received,
    "set down": SetDown,
    "labels exchanged": LabelsExchanged,
    "divided": Divided,
    "joined": Joined,
    "layered off": LayeredOff,
    "grafted": Grafted,
    "failed": Failed,
    "into quarantine": IntoQuarantine,
    "out of quarantine": OutOfQuarantine,
    "into hospital": IntoHospital,
    "out of hospital": OutOfHospital,
    "died": Died,
    "checked": Checked,
    "weighed": Weighed,
    "measured": Measured,
    "percolation timed": PercolationTimed,
    "roots inspected": RootsInspected,
    "buds swelling": BudsSwelling,
    "flush hardened": FlushHardened,
    "leaves dropping": LeavesDropping,
    "pest seen": PestSeen,
    "photographed": Photographed,
    "noted": Noted,
    "watered": Watered,
    "kept": Preferred,
    "fed": Fed,
    "treated": Treated,
    "pruned": Pruned,
    "defoliated": Defoliated,
    "wired": Wired,
    "wire checked": WireChecked,
    "unwired": Unwired,
    "repotted": Repotted,
    "slip-potted": SlipPotted,
    "priced": Priced,
    "reserved": Reserved,
    "sold": Sold,
    "sent": Sent,
    "returned": Returned,
    "claimed": Claimed,
    "corrected": Corrected,
}
KIND_OF: Final[dict[type[Facts], str]] = {facts: kind for kind, facts in KINDS.items()}


class Sort(StrEnum):
    """What an event can be about; never a person."""

    YARD = "yard"
    BENCH = "bench"
    TREE = "tree"
    GROUP = "group"
    SOURCE = "source"
    MIX = "mix"
    STOCK = "stock"


@dataclass(frozen=True, slots=True, kw_only=True)
class Event:
    """One thing that happened to one subject."""

    id: str  # made by the writer, so that sending twice stores once
    sort: Sort
    subject: str
    kind: str  # a key of KINDS
    happened: datetime
    written: datetime  # Friday's work is often noted on Sunday
    by: str = ""  # an opaque id of who wrote it, never a name
    facts: Facts

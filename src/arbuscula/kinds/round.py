"""Round: what state tells of a tree when somebody is about to walk past it."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from enum import StrEnum

from arbuscula.kinds.said import Said
from arbuscula.kinds.values import Spread


class Call(StrEnum):
    """What to do at a tree on this round."""

    WATER = "water"
    CHECK = "check"
    NOT_YET = "not yet"


@dataclass(frozen=True, slots=True, kw_only=True)
class When:
    """A moment as the ensemble sees it; None lies past what can be seen."""

    p10: datetime | None
    p50: datetime | None
    p90: datetime | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Rounds:
    """When somebody walks past: the round in hand, the next, those after it."""

    in_hand: datetime
    next: datetime
    after: tuple[datetime, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TreeView:
    """One tree as rules see it."""

    key: str
    due_now_frac: float  # chances
    due_next_frac: float
    late_next_frac: float
    due: When
    late: When
    looked: datetime | None  # last checked, weighed or watered by hand
    found_dry: bool  # by the last check since it was watered
    by_hand_only: tuple[Said, ...]  # why water is never given by inference
    water_ml: Spread | None  # until full; None: never measured


@dataclass(frozen=True, slots=True, kw_only=True)
class NightView:
    """The coming night at one tree, as rules see it."""

    key: str
    warn_below_c: float
    damage_below_c: float
    warn_frac: float  # chances
    damage_frac: float
    low_c: Spread
    below_h: Spread  # hours under the warning floor
    roots_below_c: float | None = None  # None: this species has no such line
    roots_low_c: float | None = None  # middle; None: the night is too mild to ask
    roots_frac: float = 0.0  # chances
    frozen_frac: float = 0.0  # of a ball that freezes through


@dataclass(frozen=True, slots=True, kw_only=True)
class WindView:
    """The coming wind at one tree, as rules see it."""

    key: str
    tips_m_s: float  # a gust at its crown that would
    gust_m_s: Spread
    tips_frac: float  # chances
    tips_on_ground_frac: float


@dataclass(frozen=True, slots=True, kw_only=True)
class SunView:
    """The coming day at one tree's roots, as rules see it."""

    key: str
    high_c: float  # that lasts, in the middle
    hot_frac: float  # chances
    burns_frac: float
    frozen_sun_frac: float  # of sun on leaves while the ball is ice


@dataclass(frozen=True, slots=True, kw_only=True)
class Advice:
    """What one rule says of one tree, and why."""

    rule: str
    call: Call
    because: Said


@dataclass(frozen=True, slots=True, kw_only=True)
class Rule:
    """A question, the check that answers it, the source that vouches for it."""

    name: str
    asks: str
    source: str
    check: Callable[[TreeView, Rounds, datetime, float], Advice | None]

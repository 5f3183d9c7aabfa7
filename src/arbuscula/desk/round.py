"""Round: the round in hand as it is walked: what to say, and every pot as it stands."""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import datetime
from typing import Literal, TypeAlias

from arbuscula.desk import Desk
from arbuscula.desk.today import Today, Walked, told_of, walked
from arbuscula.desk.views import lines_of, outlooks_of
from arbuscula.kinds.place import Exposure
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.round import Rounds
from arbuscula.kinds.tree import Group
from arbuscula.kinds.values import Spread
from arbuscula.rules.water import CHECK_AT_FRAC, WATER_AT_FRAC
from arbuscula.state.outlook import Outlook, tenths_h
from arbuscula.state.replay import guessed_pot
from arbuscula.units import HOUR_S

Moist: TypeAlias = Literal["enough", "perhaps", "dry"]


@dataclass(frozen=True, slots=True, kw_only=True)
class Coming:
    """How a pot will be at one of the coming rounds, if nobody waters it."""

    at: datetime
    word: Moist
    due_frac: float


@dataclass(frozen=True, slots=True, kw_only=True)
class PotDrawn:
    """One pot as it stands, and how moist it is."""

    tree: str
    latin: str
    kept_as: str  # one tree, or the form of a group
    crown: str
    height_cm: float | None  # None: nobody measured it
    pot: Pot
    pot_told: bool  # False: a usual one of its size
    left_frac: Spread  # of the usable water
    due_below_frac: float
    coming: tuple[Coming, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Standing:
    """One bench, and what it is."""

    bench: str
    exposure: Exposure
    pots: tuple[PotDrawn, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Round:
    """The answer: today's round, and each bench as it stands."""

    schema: Literal["arbuscula.round/1"] = "arbuscula.round/1"
    today: Today
    standing: tuple[Standing, ...]  # in the order of today's benches


def walk_round(
    desk: Desk, *, at: datetime | None = None, yard: str | None = None
) -> Round:
    """Go through a yard, and return what is said and what stands there."""
    walk = walked(desk, at=at, yard=yard)
    told = told_of(desk, walk)
    drawn = {pot.tree: pot for pot in _pots(desk, walk)}
    benches = walk.now.yarded.benches
    return Round(
        today=told,
        standing=tuple(
            Standing(
                bench=bench.bench,
                exposure=benches[bench.bench].exposure,
                pots=tuple(drawn[tree.tree] for tree in bench.trees),
            )
            for bench in told.benches
        ),
    )


def _pots(desk: Desk, walk: Walked) -> Iterator[PotDrawn]:
    """Yield every pot that is followed."""
    now, library = walk.now, desk.library()
    due_below_frac = lines_of(desk, now).due_frac
    outlooks = outlooks_of(now, walk.ahead, walk.rounds, walk.at)
    for place, (key, outlook) in enumerate(
        zip(now.replay.trees.keys, outlooks, strict=True)
    ):
        noun = now.replay.nouns[key]
        crown = noun.crown or "medium"
        yield PotDrawn(
            tree=key,
            latin=library.species[noun.species].latin,
            kept_as=(noun.form if isinstance(noun, Group) else None) or "tree",
            crown=crown,
            height_cm=noun.height_cm,
            pot=noun.pot or guessed_pot(crown, library),
            pot_told=noun.pot is not None,
            left_frac=_left_frac(outlook, place),
            due_below_frac=float(due_below_frac[place]),
            coming=tuple(_coming(outlook, place, walk.rounds)),
        )


def _left_frac(outlook: Outlook, place: int) -> Spread:
    column = slice(place, place + 1)
    tenths = tenths_h(outlook.left_frac[:, column], outlook.share[:, column])
    low, middle, high = (float(part) for part in tenths[:, 0])
    return Spread(p10=low, p50=middle, p90=high)


def _coming(outlook: Outlook, place: int, rounds: Rounds) -> Iterator[Coming]:
    """Yield the coming rounds: the words follow the lines of the water rules."""
    share, due_h = outlook.share[:, place], outlook.due_h[:, place]
    for moment in (rounds.in_hand, rounds.next, *rounds.after):
        due_frac = float(share[due_h < moment.timestamp() / HOUR_S].sum())
        word: Moist = "perhaps"
        if due_frac >= WATER_AT_FRAC:
            word = "dry"
        elif due_frac < CHECK_AT_FRAC:
            word = "enough"
        yield Coming(at=moment, word=word, due_frac=due_frac)

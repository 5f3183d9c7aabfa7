"""Tree page: all that is known of one tree, out of the answers that tell it."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime
from typing import Final, Literal

from arbuscula.desk import Desk
from arbuscula.desk.may import May, may
from arbuscula.desk.photos import photo_at
from arbuscula.desk.round import PotDrawn, Round
from arbuscula.desk.score import TreeScore, score
from arbuscula.desk.today import TreeToday
from arbuscula.desk.tree import LifeEvent, TreeShown, show_tree
from arbuscula.desk.why import Why, why
from arbuscula.kinds.events import Photographed

USUAL: Final = ("trim", "look-at-roots", "repot", "defoliate", "wire")


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoShown:
    """One photo of a life."""

    picture: str  # its digest
    at: datetime
    view: str
    kept: bool  # its file is here


@dataclass(frozen=True, slots=True, kw_only=True)
class TreePage:
    """The answer: one tree as it stands, its round, its life, and why."""

    schema: Literal["arbuscula.tree_page/1"] = "arbuscula.tree_page/1"
    shown: TreeShown
    today: TreeToday | None  # None: it is not here
    pot: PotDrawn | None
    why: Why | None
    may: May | None  # the usual jobs, judged for that day
    score: TreeScore | None
    photos: tuple[PhotoShown, ...]  # the last one first


def tree_page(desk: Desk, words: str, round_: Round, *, at: datetime) -> TreePage:
    """Gather what one tree's page tells; its round is that of every other page."""
    shown = show_tree(desk, words)
    told = {tree.tree: tree for bench in round_.today.benches for tree in bench.trees}
    pots = {pot.tree: pot for bench in round_.standing for pot in bench.pots}
    here = told.get(shown.tree)
    return TreePage(
        shown=shown,
        today=here,
        pot=pots.get(shown.tree),
        why=why(desk, shown.tree, at=at) if here else None,
        may=may(desk, shown.tree, USUAL, on=at.date()) if here else None,
        score=_score(desk, shown.tree, at) if here else None,
        photos=tuple(_photos(desk, shown.life)),
    )


def _photos(desk: Desk, life: Sequence[LifeEvent]) -> Iterator[PhotoShown]:
    for event in reversed(life):
        match event.facts:
            case Photographed(picture=picture, view=view) if not event.taken_back_by:
                yield PhotoShown(
                    picture=picture,
                    at=event.at,
                    view=view,
                    kept=photo_at(desk.home, picture) is not None,
                )


def _score(desk: Desk, tree: str, at: datetime) -> TreeScore | None:
    """Return what was said of one tree; nothing until something was scored."""
    return next(iter(score(desk, tree, at=at).trees), None)

"""Rules about water.

They may warn by inference; none of them calls a tree fine that nobody has
touched. A tree that is resting, cold, dark, freshly worked on or ill is looked
at, and watered only where somebody found it dry.
"""

from datetime import datetime, timedelta
from typing import Final

from arbuscula.kinds.round import Advice, Call, Rounds, Rule, TreeView
from arbuscula.kinds.said import Figure, Said

WATER_AT_FRAC: Final = 0.5  # of being due before the next round
WATER_IF_LATE_FRAC: Final = 0.05
CHECK_AT_FRAC: Final = 0.15
EARLY_FRAC: Final = 0.1
SPANNED_ROUNDS_N: Final = 2


def _by_hand(
    tree: TreeView, _rounds: Rounds, _at: datetime, _longest_unseen_d: float
) -> Advice | None:
    if not tree.by_hand_only or not _asks_for_water(tree):
        return None
    if tree.found_dry:
        return Advice(
            rule="water.by_hand", call=Call.WATER, because=Said("water.found_dry", {})
        )
    return Advice(rule="water.by_hand", call=Call.CHECK, because=tree.by_hand_only[0])


def _due(
    tree: TreeView, rounds: Rounds, _at: datetime, _longest_unseen_d: float
) -> Advice | None:
    if not _asks_for_water(tree):
        return None
    figures: dict[str, Figure] = {
        "due_frac": tree.due_next_frac,
        "next": rounds.next,
    }
    said = Said("water.due", figures)
    if tree.due_next_frac < WATER_AT_FRAC:
        figures = {"late_frac": tree.late_next_frac, "next": rounds.next}
        said = Said("water.perhaps_late", figures)
    return Advice(rule="water.due", call=Call.WATER, because=said)


def _asks_for_water(tree: TreeView) -> bool:
    return (
        tree.due_next_frac >= WATER_AT_FRAC or tree.late_next_frac >= WATER_IF_LATE_FRAC
    )


def _perhaps(
    tree: TreeView, rounds: Rounds, _at: datetime, _longest_unseen_d: float
) -> Advice | None:
    if tree.due_next_frac < CHECK_AT_FRAC:
        return None
    figures: dict[str, Figure] = {
        "due_frac": tree.due_next_frac,
        "next": rounds.next,
    }
    said = Said("water.perhaps_due", figures)
    return Advice(rule="water.perhaps", call=Call.CHECK, because=said)


def _unsure(
    tree: TreeView, rounds: Rounds, _at: datetime, _longest_unseen_d: float
) -> Advice | None:
    """Speak where due may come before the next round, or after two more."""
    early, late = tree.due.p10, tree.due.p90
    if early is None or early >= rounds.next:
        return None
    between = [r for r in (rounds.next, *rounds.after) if late is None or r < late]
    if len(between) < SPANNED_ROUNDS_N:
        return None
    figures = {"early": early, "last": between[-1]}
    return Advice(
        rule="water.unsure", call=Call.CHECK, because=Said("water.unsure", figures)
    )


def _early(
    tree: TreeView, _rounds: Rounds, at: datetime, _longest_unseen_d: float
) -> Advice | None:
    """Speak where nobody has looked since it might have become due."""
    early = tree.due.p10
    if tree.due_now_frac < EARLY_FRAC or early is None:
        return None
    if tree.looked is not None and tree.looked >= at - timedelta(hours=12):
        return None
    said = Said("water.early", {"due_frac": tree.due_now_frac})
    return Advice(rule="water.early", call=Call.CHECK, because=said)


def _unseen(
    tree: TreeView, _rounds: Rounds, at: datetime, longest_unseen_d: float
) -> Advice | None:
    if tree.looked is None:
        said = Said("water.never_seen", {})
    elif at - tree.looked >= timedelta(days=longest_unseen_d):
        said = Said("water.unseen", {"looked": tree.looked})
    else:
        return None
    return Advice(rule="water.unseen", call=Call.CHECK, because=said)


BY_HAND: Final = Rule(
    name="water.by_hand",
    asks="Is this a tree that is watered only where somebody found it dry?",
    source="growers",
    check=_by_hand,
)
DUE: Final = Rule(
    name="water.due",
    asks="Will it be due, or may it be late, before the next round?",
    source="arbuscula",
    check=_due,
)
PERHAPS: Final = Rule(
    name="water.perhaps",
    asks="May it be due before the next round?",
    source="arbuscula",
    check=_perhaps,
)
UNSURE: Final = Rule(
    name="water.unsure",
    asks="May it be due before the next round, or only two rounds later?",
    source="arbuscula",
    check=_unsure,
)
EARLY: Final = Rule(
    name="water.early",
    asks="Has nobody looked since it might have become due?",
    source="arbuscula",
    check=_early,
)
UNSEEN: Final = Rule(
    name="water.unseen",
    asks="Has nobody looked for longer than this yard allows?",
    source="growers",
    check=_unseen,
)

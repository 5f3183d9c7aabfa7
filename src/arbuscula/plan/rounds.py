"""Rounds: when somebody walks past, and what each tree gets on the way."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from datetime import datetime, time, timedelta
from typing import Final
from zoneinfo import ZoneInfo

from arbuscula.kinds.round import Call, Rounds, Rule, TreeView
from arbuscula.kinds.said import Figure, Said

STILL_IN_HAND: Final = timedelta(hours=2)
AFTER_N: Final = 4
KEPT_TOGETHER: Final = "\u00a0"  # in a label of several words
PAIR_N: Final = 2  # longer runs are told by their ends


def rounds_around(at: datetime, times: Sequence[time], timezone: str) -> Rounds:
    """Return the round in hand, the next, and those after it.

    In hand is the last that began at most two hours ago, else the first to come.
    """
    zone = ZoneInfo(timezone)
    ahead = _walks(at.astimezone(zone), times)
    begun = [walk for walk in ahead if at - STILL_IN_HAND <= walk <= at]
    to_come = [walk for walk in ahead if walk > at]
    in_hand = begun[-1] if begun else to_come[0]
    later = [walk for walk in to_come if walk > in_hand]
    return Rounds(in_hand=in_hand, next=later[0], after=tuple(later[1 : 1 + AFTER_N]))


def _walks(at: datetime, times: Sequence[time]) -> list[datetime]:
    """Return the rounds of some days, as moments: a clock that jumps skips none."""
    days = [at.date() + timedelta(days=n) for n in range(-1, 2 + AFTER_N)]
    walks = (datetime.combine(d, t, tzinfo=at.tzinfo) for d in days for t in times)
    return sorted(walks, key=lambda walk: walk.timestamp())


@dataclass(frozen=True, slots=True, kw_only=True)
class Stop:
    """One tree of a round: what to do there, and why."""

    tree: TreeView
    call: Call
    because: tuple[Said, ...]


def stop_at(
    tree: TreeView,
    rounds: Rounds,
    at: datetime,
    *,
    rules: Sequence[Rule],
    longest_unseen_d: float,
) -> Stop:
    """Return what the rules say of one tree: the first that speaks decides."""
    said = [
        advice
        for rule in rules
        if (advice := rule.check(tree, rounds, at, longest_unseen_d))
    ]
    if not said:
        return Stop(tree=tree, call=Call.NOT_YET, because=(_enough(tree, rounds),))
    first = said[0]
    agreeing = tuple(a.because for a in said if a.call == first.call)
    return Stop(tree=tree, call=first.call, because=agreeing)


def _enough(tree: TreeView, rounds: Rounds) -> Said:
    figures: dict[str, Figure] = {
        "due_frac": tree.due_next_frac,
        "next": rounds.next,
    }
    return Said("water.enough", figures)


def sentences_of(called: Sequence[tuple[str, Call]]) -> Iterator[Said]:
    """Yield what to say at a bench: whom to water, whom to lift, who can wait."""
    messages = (
        (Call.WATER, "round.water"),
        (Call.CHECK, "round.lift"),
        (Call.NOT_YET, "round.not_yet"),
    )
    for call, message_id in messages:
        names = [name for name, own in called if own == call]
        if names:
            whole = (name.replace(" ", KEPT_TOGETHER) for name in names)
            yield Said(message_id, {"which_places": " ".join(_runs([*whole]))})


def _runs(names: Sequence[str]) -> Iterator[str]:
    """Yield names; three or more whole numbers in a row as first..last."""
    run: list[str] = []
    for name in [*names, ""]:
        if run and name.isdigit() and int(name) == int(run[-1]) + 1:
            run.append(name)
            continue
        yield from [f"{run[0]}..{run[-1]}"] if len(run) > PAIR_N else run
        run = [name] if name.isdigit() else []
        if name and not name.isdigit():
            yield name

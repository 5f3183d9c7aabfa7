"""Seen: rounds kept for a while, so that nobody waits for what was thought already.

A round takes as long as there are trees. Whoever asks while a newer one is being
thought gets the last one, which says of which moment and of which book it is.
"""

from collections.abc import Callable
from concurrent.futures import Future, ThreadPoolExecutor
from contextlib import suppress
from dataclasses import dataclass, field
from threading import Lock
from typing import Final

from arbuscula.desk import Desk
from arbuscula.desk.changed import rests_on
from arbuscula.desk.round import Round, walk_round

FRESH_MIN: Final = 10  # an answer may be shown so long again
PATIENCE_S: Final = 0.05


@dataclass(frozen=True, slots=True, kw_only=True)
class Seen:
    """One round, the book that it rests on, and pages drawn from it."""

    walk: Round
    book_n: int
    drawn: dict[str, str] = field(default_factory=dict)


def rounds_seen(
    desk: Desk, *, patience_s: float = PATIENCE_S
) -> Callable[[str | None], Seen]:
    """Return a way to the round that thinks again only when something changed."""
    thinker = ThreadPoolExecutor(1, thread_name_prefix="round")
    thought: dict[str | None, tuple[object, Future[Seen]]] = {}
    last: dict[str | None, Seen] = {}
    lock = Lock()

    def think(yard: str | None, book_n: int) -> Seen:
        try:
            seen = Seen(walk=walk_round(desk, yard=yard), book_n=book_n)
        except BaseException:
            with lock:  # whoever asks next has it tried again
                thought.pop(yard, None)
            raise
        last[yard] = seen
        return seen

    def round_of(yard: str | None) -> Seen:
        book_n, weather_n = rests_on(desk)
        now = desk.clock()
        tenth = now.replace(minute=now.minute // FRESH_MIN, second=0, microsecond=0)
        mark = (book_n, weather_n, tenth)
        with lock:
            if yard not in thought or thought[yard][0] != mark:
                thought[yard] = (mark, thinker.submit(think, yard, book_n))
            coming = thought[yard][1]
        if yard in last:
            with suppress(TimeoutError):
                return coming.result(patience_s)
            return last[yard]
        return coming.result()

    return round_of

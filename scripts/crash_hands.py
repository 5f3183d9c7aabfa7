"""Hands: writers that can be killed, and a count of what they called safe."""

import os
import signal
import time
import traceback
from collections import Counter
from collections.abc import Callable, Iterator
from contextlib import contextmanager
from dataclasses import dataclass, replace
from datetime import UTC, datetime
from pathlib import Path
from typing import Final

import numpy as np

from arbuscula.kinds.events import Event, Noted, Sort
from arbuscula.kinds.said import NotDoneError
from arbuscula.ledger.book import Ledger, all_events, append
from arbuscula.ledger.store.engine import engine_at
from arbuscula.ledger.verify import verify_store

HANDS: Final = ("left", "right")  # two phones write at once
BATCHES_N: Final = (1, 2, 3)  # events that are sent together, in turn
AT: Final = datetime(2026, 7, 6, 6, tzinfo=UTC)
REFUSED: Final = 3  # what a process leaves with when it was told no
LONGEST_S: Final = 0.06  # a writer's life


@dataclass(frozen=True, slots=True, kw_only=True)
class Row:
    """What one way of doing harm came to."""

    what: str
    store: str
    runs_n: int
    acknowledged_n: int
    found_n: int
    lost_n: int
    doubled_n: int = 0
    faults: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True, kw_only=True)
class Site:
    """Where harm is done: a folder, a book's address, how often, how random."""

    folder: Path
    url: str
    runs_n: int
    rng: np.random.Generator
    words: str = ""  # what an event says besides who sent it

    @property
    def store(self) -> str:
        """Which database it is."""
        return "SQLite" if self.url.startswith("sqlite") else "PostgreSQL"

    @property
    def safe(self) -> Path:
        """Where it is written down what was called safe."""
        return self.folder / "safe"


def batch(site: Site, hand: str, n: int) -> list[Event]:
    """Return what a hand sends together, the same whenever it is sent again."""
    return [
        Event(
            id=f"{hand}-{n}-{part}",
            sort=Sort.TREE,
            subject="fig-7",
            kind="noted",
            happened=AT,
            written=AT,
            facts=Noted(text=f"{hand} {n} {part} {site.words}".strip()),
        )
        for part in range(BATCHES_N[n % len(BATCHES_N)])
    ]


def texts(site: Site, hand: str, n: int) -> set[str]:
    """Return what the events of a batch say; no two say the same."""
    return {event.facts.text for event in batch(site, hand, n)}


def write(site: Site, hand: str, most_n: int = 1_000_000) -> None:
    """Send one batch after another, and call each safe that was taken.

    As a phone does it begins with the one that nobody has called safe yet, which
    may well be stored already.
    """
    ledger = Ledger(engine_at(site.url))
    first = 1 + max((n for h, n in told_safe(site) if h == hand), default=-1)
    safe = os.open(site.safe, os.O_WRONLY | os.O_APPEND | os.O_CREAT, 0o600)
    for n in range(first, first + most_n):
        append(ledger, *batch(site, hand, n))
        os.write(safe, f"{hand} {n}\n".encode())


def told_safe(site: Site) -> list[tuple[str, int]]:
    """Return which batches were called safe."""
    if not site.safe.exists():
        return []
    words = (line.split() for line in site.safe.read_text().splitlines())
    return [(hand, int(n)) for hand, n in words]


def forked(task: Callable[[], object]) -> int:
    """Let another process do a task, and return its number."""
    pid = os.fork()
    if pid:
        return pid
    status = 1
    try:
        task()
        status = 0
    except NotDoneError:
        status = REFUSED
    except BaseException:  # noqa: BLE001 - whatever it is, this process ends here
        traceback.print_exc()
    os._exit(status)


def ended(pid: int) -> int | None:
    """Return what a process left with; None if it was killed."""
    _, status = os.waitpid(pid, 0)
    return os.WEXITSTATUS(status) if os.WIFEXITED(status) else None


def killed(site: Site, *tasks: Callable[[], object], longest_s: float) -> None:
    """Begin tasks, and kill them at random moments, in any order."""
    pids = [forked(task) for task in tasks]
    time.sleep(site.rng.uniform(0, longest_s))
    for pid in site.rng.permutation(pids):
        os.kill(int(pid), signal.SIGKILL)
        time.sleep(site.rng.uniform(0, longest_s / 10))
    left = [ended(pid) for pid in pids]
    if not {*left} <= {None, 0, REFUSED}:
        raise AssertionError(left)


@contextmanager
def opened(url: str) -> Iterator[Ledger]:
    """Lend a book for a look."""
    ledger = Ledger(engine_at(url))
    try:
        yield ledger
    finally:
        ledger.engine.dispose()


def counted(site: Site, what: str) -> Row:
    """Return what was called safe, and what of it is in the book.

    Doubled is what was sent once and is told by two events; a batch of which only
    a part is there is a fault.
    """
    with opened(site.url) as ledger:
        there = Counter(event.facts.text for event in all_events(ledger))
        faults = [fault.message_id for fault in verify_store(ledger)]
    safe = {text for hand, n in told_safe(site) for text in texts(site, hand, n)}
    sent = {(hand, int(n)) for hand, n, *_ in map(str.split, there)}
    cut = [f"cut: {h} {n}" for h, n in sent if not texts(site, h, n) <= there.keys()]
    return Row(
        what=what,
        store=site.store,
        runs_n=site.runs_n,
        acknowledged_n=len(safe),
        found_n=len(safe & there.keys()),
        lost_n=len(safe - there.keys()),
        doubled_n=there.total() - len(there),
        faults=(*faults, *cut),
    )


def together(rows: list[Row]) -> Row:
    """Return several counts as one."""
    names = ("runs_n", "acknowledged_n", "found_n", "lost_n", "doubled_n")
    sums = {name: sum(getattr(row, name) for row in rows) for name in names}
    return replace(rows[0], **sums, faults=tuple(f for r in rows for f in r.faults))

"""Calls: what was said of each tree, kept so that it can be scored.

A small database beside the book. What was said stays said: rows are only
added, one a tree and hour at most, the first of them.
"""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from pathlib import Path
from typing import Final

from arbuscula.desk.beside import opened
from arbuscula.units import HOUR_S

NAME: Final = "calls.db"
MADE: Final = """
CREATE TABLE IF NOT EXISTS call (
  yard TEXT NOT NULL, tree TEXT NOT NULL, hour INTEGER NOT NULL,
  at_s REAL NOT NULL, next_s REAL NOT NULL, advice TEXT NOT NULL,
  due_next REAL NOT NULL, early_s REAL, middle_s REAL, last_s REAL,
  PRIMARY KEY (yard, tree, hour)
) STRICT;
CREATE TRIGGER IF NOT EXISTS call_no_update BEFORE UPDATE ON call
BEGIN SELECT RAISE(ABORT, 'what was said stays said'); END;
CREATE TRIGGER IF NOT EXISTS call_no_delete BEFORE DELETE ON call
BEGIN SELECT RAISE(ABORT, 'what was said stays said'); END;
"""


@dataclass(frozen=True, slots=True)
class Given:
    """One call that was given out; None lies past what could be seen."""

    yard: str
    tree: str
    at_s: float
    next_s: float
    advice: str
    due_next: float
    early_s: float | None
    middle_s: float | None
    last_s: float | None


def keep(home: Path, calls: Iterable[Given]) -> None:
    """Keep calls; the first of an hour stays."""
    with opened(home / NAME, MADE) as db:
        db.executemany(
            "INSERT OR IGNORE INTO call VALUES (?, ?, ?, ?, ?, ?, ?, ?, ?, ?)",
            [
                (
                    *(c.yard, c.tree, int(c.at_s // HOUR_S), c.at_s, c.next_s),
                    *(c.advice, c.due_next, c.early_s, c.middle_s, c.last_s),
                )
                for c in calls
            ],
        )


def given_in(home: Path, yard: str, *, since_s: float) -> Mapping[str, list[Given]]:
    """Return the calls of a yard by tree, the oldest first."""
    if not (home / NAME).exists():
        return {}
    by_tree: dict[str, list[Given]] = defaultdict(list)
    with opened(home / NAME, MADE) as db:
        rows = db.execute(
            "SELECT yard, tree, at_s, next_s, advice, due_next, early_s, middle_s, "
            "last_s FROM call WHERE yard = ? AND at_s >= ? ORDER BY at_s",
            (yard, since_s),
        )
        for row in rows:
            given = Given(*row)
            by_tree[given.tree].append(given)
    return by_tree

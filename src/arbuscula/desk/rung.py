"""Rung: which alarm rang where, how bad it was then, and who knows of it.

A small database beside the book. Rows are only added.
"""

from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Final

from arbuscula.desk.beside import opened
from arbuscula.kinds.alarm import Level

NAME: Final = "alarms.db"
MADE: Final = """
CREATE TABLE IF NOT EXISTS rung (
  position_n INTEGER PRIMARY KEY, alarm TEXT NOT NULL, yard TEXT NOT NULL,
  bell TEXT NOT NULL, level TEXT NOT NULL, step INTEGER NOT NULL,
  at_s REAL NOT NULL, words TEXT NOT NULL
) STRICT;
CREATE INDEX IF NOT EXISTS rung_of_alarm ON rung (alarm, bell);
CREATE TABLE IF NOT EXISTS known (
  position_n INTEGER PRIMARY KEY, alarm TEXT NOT NULL, level TEXT NOT NULL,
  at_s REAL NOT NULL
) STRICT;
CREATE INDEX IF NOT EXISTS known_of_alarm ON known (alarm);
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Ring:
    """One alarm that rang at one place."""

    alarm: str
    yard: str
    bell: str
    level: Level
    step_n: int
    at: datetime
    words: str


def steps_rung(home: Path, alarm: str) -> dict[str, int]:
    """Return how bad an alarm was when it rang last, by bell."""
    with opened(home / NAME, MADE) as db:
        query = "SELECT bell, max(step) FROM rung WHERE alarm = ? GROUP BY bell"
        return dict(db.execute(query, (alarm,)).fetchall())


def levels_known(home: Path, alarm: str) -> frozenset[str]:
    """Return the levels at which somebody has acknowledged an alarm."""
    with opened(home / NAME, MADE) as db:
        query = "SELECT level FROM known WHERE alarm = ?"
        return frozenset(level for (level,) in db.execute(query, (alarm,)))


def note_rung(home: Path, ring: Ring) -> None:
    """Write down that an alarm rang."""
    with opened(home / NAME, MADE) as db:
        db.execute(
            "INSERT INTO rung (alarm, yard, bell, level, step, at_s, words) "
            "VALUES (?, ?, ?, ?, ?, ?, ?)",
            (
                *(ring.alarm, ring.yard, ring.bell, ring.level, ring.step_n),
                *(ring.at.timestamp(), ring.words),
            ),
        )


def note_known(home: Path, alarm: str, level: Level, at: datetime) -> None:
    """Write down that somebody knows of an alarm."""
    with opened(home / NAME, MADE) as db:
        db.execute(
            "INSERT INTO known (alarm, level, at_s) VALUES (?, ?, ?)",
            (alarm, level, at.timestamp()),
        )


def rings_since(home: Path, at: datetime) -> tuple[Ring, ...]:
    """Return what rang since a time, the oldest first."""
    if not (home / NAME).exists():
        return ()
    with opened(home / NAME, MADE) as db:
        rows = db.execute(
            "SELECT alarm, yard, bell, level, step, at_s, words FROM rung "
            "WHERE at_s >= ? ORDER BY position_n",
            (at.timestamp(),),
        ).fetchall()
    return tuple(
        Ring(
            alarm=alarm,
            yard=yard,
            bell=bell,
            level=level,
            step_n=step_n,
            at=datetime.fromtimestamp(at_s, at.tzinfo),
            words=words,
        )
        for alarm, yard, bell, level, step_n, at_s, words in rows
    )

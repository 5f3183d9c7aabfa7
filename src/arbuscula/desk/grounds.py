"""Grounds: the weather that an answer rested on, kept so that it can be seen later.

A small database beside the book. What was answered stays answered: rows are only
added. The archive holds the batches themselves, and cannot lose them unseen.
"""

import json
from dataclasses import dataclass
from datetime import datetime
from pathlib import Path
from typing import Final
from zoneinfo import ZoneInfo

from arbuscula.desk.beside import opened
from arbuscula.kinds.forecast import YardWeather
from arbuscula.kinds.said import Said, Sentence

NAME: Final = "grounds.db"
MADE: Final = """
CREATE TABLE IF NOT EXISTS ground (
  position_n INTEGER PRIMARY KEY, yard TEXT NOT NULL, verb TEXT NOT NULL,
  at_s REAL NOT NULL, told_s REAL NOT NULL, digest TEXT NOT NULL,
  used TEXT NOT NULL, stretches TEXT NOT NULL, said TEXT NOT NULL
) STRICT;
CREATE INDEX IF NOT EXISTS ground_of_yard ON ground (yard, at_s);
CREATE TRIGGER IF NOT EXISTS ground_no_update BEFORE UPDATE ON ground
BEGIN SELECT RAISE(ABORT, 'what was answered stays answered'); END;
CREATE TRIGGER IF NOT EXISTS ground_no_delete BEFORE DELETE ON ground
BEGIN SELECT RAISE(ABORT, 'what was answered stays answered'); END;
"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Rested:
    """One stretch of the weather that an answer rests on."""

    from_: datetime
    to: datetime
    source: str
    sort: str
    age_h: float | None


@dataclass(frozen=True, slots=True, kw_only=True)
class Ground:
    """One answer, and what it rested on."""

    verb: str
    at: datetime  # the moment it was asked about
    told: datetime  # when it was asked
    digest: str  # of all weather it hangs on
    used: tuple[int, ...]  # batches of the archive, by position
    stretches: tuple[Rested, ...]
    said: Sentence  # of the night


def stretches_of(
    weather: YardWeather, zone: ZoneInfo, *, since_s: float
) -> tuple[Rested, ...]:
    """Return from whom the weather came since a time, and how old it was."""
    return tuple(
        Rested(
            from_=datetime.fromtimestamp(stretch.from_s, zone),
            to=datetime.fromtimestamp(stretch.until_s, zone),
            source=stretch.source,
            sort=stretch.sort.value,
            age_h=stretch.age_h,
        )
        for stretch in weather.stretches
        if stretch.until_s > since_s
    )


def keep_ground(home: Path, yard: str, ground: Ground) -> None:
    """Keep what one answer rested on."""
    stretches = [
        [s.from_.timestamp(), s.to.timestamp(), s.source, s.sort, s.age_h]
        for s in ground.stretches
    ]
    said = [[part.message_id, _plain(part)] for part in ground.said.parts]
    with opened(home / NAME, MADE) as db:
        db.execute(
            "INSERT INTO ground (yard, verb, at_s, told_s, digest, used, stretches, "
            "said) VALUES (?, ?, ?, ?, ?, ?, ?, ?)",
            (
                *(yard, ground.verb, ground.at.timestamp(), ground.told.timestamp()),
                *(ground.digest, json.dumps(ground.used)),
                *(json.dumps(stretches), json.dumps(said)),
            ),
        )


def _plain(part: Said) -> dict[str, float | str]:
    return {
        name: figure if isinstance(figure, float | str) else figure.isoformat()
        for name, figure in part.figures.items()
    }


def grounds_in(
    home: Path, yard: str, zone: ZoneInfo, *, from_s: float, until_s: float
) -> tuple[Ground, ...]:
    """Return the answers about a span of time, the oldest first."""
    if not (home / NAME).exists():
        return ()
    with opened(home / NAME, MADE) as db:
        rows = db.execute(
            "SELECT verb, at_s, told_s, digest, used, stretches, said FROM ground "
            "WHERE yard = ? AND at_s >= ? AND at_s < ? ORDER BY at_s, position_n",
            (yard, from_s, until_s),
        ).fetchall()
    return tuple(_ground(row, zone) for row in rows)


def _ground(
    row: tuple[str, float, float, str, str, str, str], zone: ZoneInfo
) -> Ground:
    verb, at_s, told_s, digest, used, stretches, said = row

    def at(moment_s: float) -> datetime:
        return datetime.fromtimestamp(moment_s, zone)

    return Ground(
        verb=verb,
        at=at(at_s),
        told=at(told_s),
        digest=digest,
        used=tuple(json.loads(used)),
        stretches=tuple(
            Rested(from_=at(begins), to=at(ends), source=source, sort=sort, age_h=age_h)
            for begins, ends, source, sort, age_h in json.loads(stretches)
        ),
        said=Sentence(tuple(Said(name, parts) for name, parts in json.loads(said))),
    )

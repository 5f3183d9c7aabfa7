"""Beside: small databases beside the book, each made when it is first opened."""

import sqlite3
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from typing import Final

BUSY_S: Final = 30.0


@contextmanager
def opened(path: Path, made: str) -> Iterator[sqlite3.Connection]:
    """Lend a database; what was done to it holds if nothing went wrong."""
    path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    db = sqlite3.connect(path, timeout=BUSY_S)
    try:
        db.executescript(made)
        with db:
            yield db
    finally:
        db.close()

"""Migrations: one step a version; none of them alters `event` in batch."""

from collections.abc import Callable
from typing import Final

from alembic.operations import Operations
from alembic.runtime.migration import MigrationContext
from sqlalchemy import Column, Connection, Text, update

from arbuscula.ledger.store.tables import VERSION


def bring_up(connection: Connection, found: int) -> None:
    """Take the steps that a store of an older version lacks."""
    op = Operations(MigrationContext.configure(connection))
    for step in STEPS[found - 1 :]:
        step(op)
    connection.execute(update(VERSION).values(n=len(STEPS) + 1))


def _give_persons_a_table(op: Operations) -> None:
    op.create_table(
        "person",
        *[
            Column(name, Text, nullable=False, primary_key=name == "id")
            for name in ("id", "role", "name", "contact", "note")
        ],
        sqlite_strict=True,
    )


STEPS: Final[tuple[Callable[[Operations], None], ...]] = (_give_persons_a_table,)

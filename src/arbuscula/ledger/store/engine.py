"""Engine: open the database; one SELECT tells whether it is of today."""

from collections.abc import Iterator
from contextlib import contextmanager
from typing import Final, Protocol

from sqlalchemy import Connection, Engine, create_engine, insert, inspect, select, text
from sqlalchemy import event as on
from sqlalchemy.exc import DBAPIError, OperationalError, ProgrammingError

from arbuscula.kinds.said import Figure, NotDoneError, Said
from arbuscula.ledger.store.tables import METADATA, VERSION

HEAD: Final = 2
BUSY_S: Final = 30  # how long a writer waits for the one before it

PRAGMAS: Final = (
    f"busy_timeout = {BUSY_S * 1000}",
    "journal_mode = WAL",  # readers and the writer do not wait for each other
    "synchronous = FULL",  # NORMAL may lose the last commits when the power fails
    "secure_delete = ON",  # an erased person leaves no letters behind
    "cell_size_check = ON",
)


def engine_at(url: str) -> Engine:
    """Open the store, making it or bringing it up to date where needed."""
    engine = create_engine(url)
    if engine.dialect.name == "sqlite":
        on.listen(engine, "connect", _prepare)
        on.listen(engine, "begin", _begin)
    try:
        if not _is_of_today(engine):
            with writing(engine) as connection:
                _bring_to_today(connection)
    except NotDoneError:
        engine.dispose()
        raise
    return engine


@contextmanager
def reading(engine: Engine) -> Iterator[Connection]:
    """Lend one unchanging view of the store."""
    try:
        with engine.begin() as connection:
            yield connection
    except DBAPIError as error:
        raise NotDoneError(Said("ledger.not_read", _found(error))) from error


@contextmanager
def writing(engine: Engine) -> Iterator[Connection]:
    """Lend the store to one writer at a time; all is written, or nothing."""
    try:
        with engine.execution_options(writes=True).begin() as connection:
            if connection.dialect.name == "postgresql":
                connection.execute(text(ONE_WRITER))
            yield connection
    except DBAPIError as error:
        raise NotDoneError(Said("ledger.not_written", _found(error))) from error


def sweep(engine: Engine) -> None:
    """Take what was erased out of the files, as far as the database lets us."""
    if engine.dialect.name == "sqlite":
        driver = engine.raw_connection()
        driver.cursor().execute("PRAGMA wal_checkpoint(TRUNCATE)")
        driver.close()
        return
    with engine.connect() as connection:
        alone = connection.execution_options(isolation_level="AUTOCOMMIT")
        alone.execute(text("VACUUM (FULL) person"))


ONE_WRITER: Final = (
    "SELECT pg_advisory_xact_lock(hashtext('arbuscula'), hashtext(current_schema()))"
)


def _found(error: DBAPIError) -> dict[str, Figure]:
    """Return what the database itself says is wrong."""
    return {"found": str(error.orig).strip()}


class _Cursor(Protocol):
    def execute(self, sql: str) -> object: ...
    def close(self) -> None: ...


class _Driver(Protocol):
    isolation_level: str | None

    def cursor(self) -> _Cursor: ...


def _prepare(driver: _Driver, _record: object) -> None:
    driver.isolation_level = None  # it begins nothing on its own
    cursor = driver.cursor()
    for pragma in PRAGMAS:
        cursor.execute(f"PRAGMA {pragma}")
    cursor.close()


def _begin(connection: Connection) -> None:
    writes = connection.get_execution_options().get("writes")
    connection.exec_driver_sql("BEGIN IMMEDIATE" if writes else "BEGIN")


def _is_of_today(engine: Engine) -> bool:
    try:
        with engine.begin() as connection:
            return [*connection.scalars(select(VERSION.c.n))] == [HEAD]
    except (OperationalError, ProgrammingError):  # no such table, as a rule
        return False
    except DBAPIError as error:
        raise NotDoneError(Said("ledger.not_read", _found(error))) from error


def _bring_to_today(connection: Connection) -> None:
    """Look again, now as the one writer: somebody may have been faster."""
    tables = inspect(connection).get_table_names()
    if not tables:
        METADATA.create_all(connection)
        connection.execute(insert(VERSION).values(n=HEAD))
        return
    if VERSION.name not in tables:
        raise NotDoneError(Said("ledger.not_ours", {"found": ", ".join(tables)}))
    found = [*connection.scalars(select(VERSION.c.n))]
    if len(found) != 1 or not 1 <= found[0] <= HEAD:
        figures = {"found": ", ".join(map(str, found)), "known": f"{HEAD}"}
        raise NotDoneError(Said("ledger.version_unknown", figures))
    if found[0] < HEAD:
        from arbuscula.ledger.store.migrations import bring_up  # Alembic waits here

        bring_up(connection, found[0])

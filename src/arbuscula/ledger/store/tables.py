"""Tables: `event` only grows; `person` can be erased."""

from typing import Final

from sqlalchemy import DDL, BigInteger, Column, Index, Integer, MetaData, Table, Text
from sqlalchemy import event as on

METADATA: Final = MetaData()
# Bytes in their order, whatever language the database speaks.
WORDS: Final = Text().with_variant(Text(collation="C"), "postgresql")
POSITION: Final = BigInteger().with_variant(Integer, "sqlite")

EVENT: Final = Table(
    "event",
    METADATA,
    Column("seq", POSITION, primary_key=True, autoincrement=False),  # 1, 2, 3 ...
    Column("id", WORDS, nullable=False, unique=True),
    *[
        Column(name, WORDS, nullable=False)
        for name in ("sort", "subject", "kind", "happened", "written", "by", "facts")
    ],
    Column("digest", WORDS, nullable=False),
    Index("event_subject", "subject"),
    sqlite_strict=True,
)

PERSON: Final = Table(  # an event names one by `id` at most
    "person",
    METADATA,
    *[
        Column(name, Text, nullable=False, primary_key=name == "id")
        for name in ("id", "role", "name", "contact", "note")
    ],
    sqlite_strict=True,
)

VERSION: Final = Table(
    "version",
    METADATA,
    Column("n", Integer, primary_key=True, autoincrement=False),
    sqlite_strict=True,
)

REFUSED: Final = "the ledger only grows: correct it"

# REPLACE deletes without asking the trigger on DELETE, hence the third one.
SQLITE_TRIGGERS: Final = {
    name: f"CREATE TRIGGER {name} BEFORE {when} "
    f"BEGIN SELECT RAISE(ABORT, '{REFUSED}'); END"
    for name, when in {
        "event_no_update": "UPDATE ON event",
        "event_no_delete": "DELETE ON event",
        "event_no_replace": "INSERT ON event WHEN EXISTS "
        "(SELECT 1 FROM event WHERE id = NEW.id OR seq >= NEW.seq)",
    }.items()
}

POSTGRESQL_BODY: Final = f"BEGIN RAISE EXCEPTION '{REFUSED}'; END"
POSTGRESQL_TRIGGER: Final = "event_only_grows"
POSTGRESQL_GUARDS: Final = f"""
CREATE FUNCTION {POSTGRESQL_TRIGGER}() RETURNS trigger
LANGUAGE plpgsql AS $${POSTGRESQL_BODY}$$;
CREATE TRIGGER {POSTGRESQL_TRIGGER} BEFORE UPDATE OR DELETE OR TRUNCATE ON event
FOR EACH STATEMENT EXECUTE FUNCTION {POSTGRESQL_TRIGGER}();
ALTER TABLE event ENABLE ALWAYS TRIGGER {POSTGRESQL_TRIGGER}
"""

GUARDS: Final = {
    "sqlite": tuple(SQLITE_TRIGGERS.values()),
    "postgresql": tuple(POSTGRESQL_GUARDS.split(";\n")),
}

for dialect, guards in GUARDS.items():
    for guard in guards:
        ddl = DDL(guard)  # type: ignore[no-untyped-call]
        on.listen(EVENT, "after_create", ddl.execute_if(dialect=dialect))

"""Doors: who may come in from the network: an owner by password, others by invitation.

They stand in one file of the grower's folder. It holds no password and no key, only
what proves them; taking a line out locks that door at once.
"""

import json
from collections.abc import Mapping
from dataclasses import asdict, dataclass, field, replace
from datetime import datetime, timedelta
from hashlib import sha256
from pathlib import Path
from secrets import token_urlsafe
from typing import Final, Literal, TypeAlias

from argon2 import PasswordHasher
from argon2.exceptions import Argon2Error

from arbuscula.desk.fresh import fresh
from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.strict.kinds import kind_from_table

Part: TypeAlias = Literal["owner", "hand", "guest"]
FILE: Final = "doors.json"
LEAST_LETTERS_N: Final = 10
INVITED_FOR: Final = timedelta(days=7)
OPEN_FOR: Final = timedelta(days=90)
TRIES_N: Final = 5
TRIES_IN: Final = timedelta(minutes=15)


@dataclass(frozen=True, slots=True, kw_only=True)
class Door:
    """One way in: an invitation, or a browser that was let in."""

    part: Part
    name: str
    by: str = ""  # the mark of a person, written on what this one records
    until: datetime
    invited: bool = False  # nobody has come in by it yet


@dataclass(frozen=True, slots=True, kw_only=True)
class Doors:
    """All ways in, by the digest of their keys."""

    schema: Literal["arbuscula.doors/1"] = "arbuscula.doors/1"
    password: str | None = None  # as argon2 keeps it
    open: Mapping[str, Door] = field(default_factory=dict)


def doors_in(home: Path) -> Doors:
    """Return the doors of a folder; there is none until one is made."""
    path = home / FILE
    if not path.exists():
        return Doors()
    try:
        table = json.loads(path.read_bytes())
    except ValueError:
        raise ArbusculaError(Said("doors.damaged", {"file": str(path)})) from None
    return kind_from_table(table, Doors, name=FILE)


def keep(home: Path, doors: Doors) -> None:
    """Write the doors down; only their owner may read them."""
    table = asdict(doors)
    if doors.password is None:
        del table["password"]
    for door in table["open"].values():
        door["until"] = door["until"].isoformat()
    with fresh(home / FILE) as new:
        new.write_text(json.dumps(table), encoding="ascii")


def with_password(doors: Doors, password: str) -> Doors:
    """Return the doors with a new password; whoever came in by the old one is out."""
    if len(password) < LEAST_LETTERS_N:
        figures = {"least": f"{LEAST_LETTERS_N}"}
        raise ArbusculaError(Said("doors.short_password", figures))
    others = {key: door for key, door in doors.open.items() if door.part != "owner"}
    return replace(doors, password=PasswordHasher().hash(password), open=others)


def is_password(doors: Doors, password: str) -> bool:
    """Return whether this is the owner's password."""
    if doors.password is None:
        return False
    try:
        return PasswordHasher().verify(doors.password, password)
    except Argon2Error:
        return False


def invited(
    doors: Doors, part: Part, name: str, by: str, now: datetime
) -> tuple[Doors, str]:
    """Return the doors with an invitation, and its key, which is told only here."""
    return _opened(
        doors,
        Door(part=part, name=name, by=by, until=now + INVITED_FOR, invited=True),
    )


def let_in(doors: Doors, door: Door, now: datetime) -> tuple[Doors, str]:
    """Return the doors with a browser let in, and its key."""
    return _opened(doors, replace(door, invited=False, until=now + OPEN_FOR))


def _opened(doors: Doors, door: Door) -> tuple[Doors, str]:
    key = token_urlsafe(24)
    return replace(doors, open={**doors.open, _digest(key): door}), key


def door_of(doors: Doors, key: str | None, now: datetime) -> Door | None:
    """Return the door that a key opens, if it is not past its time."""
    door = doors.open.get(_digest(key)) if key else None
    return door if door and door.until > now else None


def without(doors: Doors, key: str) -> Doors:
    """Return the doors without the one of this key."""
    kept = {d: door for d, door in doors.open.items() if d != _digest(key)}
    return replace(doors, open=kept)


def shut(doors: Doors, name: str) -> Doors:
    """Return the doors without any of somebody's; there must be one."""
    kept = {d: door for d, door in doors.open.items() if door.name != name}
    if len(kept) == len(doors.open):
        names = {door.name for door in doors.open.values()}
        figures = {"found": name, "near": ", ".join(sorted(names)) or "-"}
        raise ArbusculaError(Said("doors.unknown", figures))
    return replace(doors, open=kept)


def _digest(key: str) -> str:
    return sha256(key.encode()).hexdigest()


@dataclass(slots=True)
class Tries:
    """Passwords that were wrong lately, by where they came from."""

    failed: dict[str, list[datetime]] = field(default_factory=dict)

    def too_many(self, host: str, now: datetime) -> bool:
        """Return whether somebody has to wait."""
        lately = [at for at in self.failed.get(host, []) if now - at < TRIES_IN]
        self.failed[host] = lately
        return len(lately) >= TRIES_N

    def note(self, host: str, now: datetime) -> None:
        """Note that a password was wrong."""
        self.failed.setdefault(host, []).append(now)

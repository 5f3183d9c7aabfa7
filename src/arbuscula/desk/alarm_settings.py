"""Alarm settings: where alarms ring, out of one file that nobody else may read."""

import re
from collections.abc import Iterator
from pathlib import Path
from typing import Final
from urllib.parse import urlsplit

from arbuscula.desk.private import private_settings
from arbuscula.kinds.alarm import AlarmSettings, Mail
from arbuscula.kinds.said import ArbusculaError, NotDoneError, Said
from arbuscula.strict.quote import plain

FILE: Final = "alarms.toml"
SCHEMES: Final = ("http", "https")
HERE: Final = ("127.0.0.1", "localhost", "::1")
MAILBOX: Final = re.compile(
    r"[A-Za-z0-9.!#$%&'*+/=?^_`{|}~-]{1,64}@[A-Za-z0-9.-]{1,253}"
)
HOST: Final = re.compile(r"(?P<name>[A-Za-z0-9.-]{1,253})(:(?P<port>[0-9]{1,5}))?")
LAST_PORT_N: Final = 65_535
USUAL_PORT: Final = "587"


def alarm_settings(home: Path) -> AlarmSettings:
    """Return where alarms ring; all faults of the file are told at once.

    Errors: no such file, one that others may read, what cannot be an address.
    """
    path = home / FILE
    settings = private_settings(path, AlarmSettings)
    if settings is None:
        raise NotDoneError(Said("alarm.no_settings", {"file": str(path)}))
    if faults := [*_faults(settings)]:
        raise ArbusculaError(*faults)
    return settings


def mail_host(mail: Mail) -> tuple[str, int]:
    """Return name and port of the host that takes in mail."""
    found = HOST.fullmatch(mail.host)
    name, port = (found["name"], found["port"]) if found else (mail.host, None)
    return name, int(port or USUAL_PORT)


def _faults(settings: AlarmSettings) -> Iterator[Said]:
    if settings.mail is not None:
        yield from _mail_faults(settings.mail)
    elif not (settings.webhook or settings.post):
        yield Said("alarm.nowhere", {"file": FILE})
    for address in (*settings.webhook, *settings.post):
        if not _is_page(address.url):
            figures = {"found": plain(address.url), "allowed": " or ".join(SCHEMES)}
            yield Said("address.not_web", figures)


def _is_page(url: str) -> bool:
    try:
        parts = urlsplit(url)
        seen = url.isascii() and url.isprintable() and " " not in url
        return (
            seen
            and parts.scheme in SCHEMES
            and bool(parts.hostname and parts.port != 0)
        )
    except ValueError:
        return False


def _mail_faults(mail: Mail) -> Iterator[Said]:
    found = HOST.fullmatch(mail.host)
    if not found or int(found["port"] or USUAL_PORT) not in range(1, LAST_PORT_N + 1):
        yield Said("alarm.no_host", {"found": plain(mail.host)})
    if not mail.to:
        yield Said("alarm.no_mailbox", {"found": "nothing"})
    for box in (mail.sender, *mail.to):
        if not MAILBOX.fullmatch(box):
            yield Said("alarm.no_mailbox", {"found": plain(box)})
    is_open = mail.security == "none" and mail.host.partition(":")[0] not in HERE
    if mail.password and is_open:
        yield Said("alarm.password_in_clear", {"host": plain(mail.host)})

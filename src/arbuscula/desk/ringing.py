"""Ringing: one message to one place, by mail or by a post on the web.

Every place gets so many seconds and no more. What went wrong is one clear fault
that names the host and no secret.
"""

import json
from collections.abc import Callable, Iterator
from contextlib import closing
from dataclasses import dataclass
from datetime import datetime
from email.message import EmailMessage
from email.policy import SMTP
from email.utils import format_datetime, make_msgid
from functools import partial
from hashlib import sha256
from typing import Final
from urllib.parse import urlsplit

from arbuscula.desk.alarm_settings import mail_host
from arbuscula.desk.answers import Json
from arbuscula.desk.patience import in_time
from arbuscula.kinds.alarm import AlarmSettings, Mail
from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.strict.quote import plain

SILENT_S: Final = 10.0
LONGEST_S: Final = 30.0
READ_BYTES: Final = 65_536  # of an answer nobody reads
TOLD: Final = range(200, 300)
DIGEST_N: Final = 12


@dataclass(frozen=True, slots=True, kw_only=True)
class Message:
    """What is to be rung out: a head, plain words, and the same as data."""

    subject: str
    text: str
    data: Json
    at: datetime


@dataclass(frozen=True, slots=True)
class Bell:
    """One place where alarms ring; its key tells no secret."""

    kind: str  # mail, webhook or post
    key: str
    host: str
    ring: Callable[[Message], None]


def bells_of(settings: AlarmSettings) -> Iterator[Bell]:
    """Yield every place where alarms ring."""
    if settings.mail is not None:
        mail = settings.mail
        own = ",".join((mail.host, mail.sender, *mail.to))
        yield _bell("mail", own, mail_host(mail)[0], partial(_mailed, mail))
    for address in settings.webhook:
        yield _bell("webhook", address.url, _host(address.url), _hooked(address.url))
    for address in settings.post:
        yield _bell("post", address.url, _host(address.url), _posted(address.url))


def rung(bell: Bell, message: Message) -> tuple[Said, ...]:
    """Ring once; return why it did not, or nothing."""
    late = _fault(bell, "no answer in time")
    try:
        in_time(lambda: bell.ring(message), LONGEST_S, late=late)
    except ArbusculaError as error:
        return error.faults
    except Exception as error:  # noqa: BLE001 - a bell that fails is told, whatever it is
        return (_fault(bell, str(error) or type(error).__name__),)
    return ()


def _bell(kind: str, own: str, host: str, ring: Callable[[Message], None]) -> Bell:
    digest = sha256(own.encode()).hexdigest()[:DIGEST_N]
    return Bell(kind=kind, key=f"{kind} {digest}", host=host, ring=ring)


def _host(url: str) -> str:
    return urlsplit(url).netloc.rpartition("@")[2]


def _fault(bell: Bell, found: str) -> Said:
    figures: dict[str, Figure] = {
        "kind": bell.kind,
        "host": bell.host,
        "found": plain(" ".join(found.split())),
    }
    return Said("alarm.not_sent", figures)


# By mail


def _mailed(mail: Mail, message: Message) -> None:
    import smtplib
    import ssl

    host, port = mail_host(mail)
    secured = ssl.create_default_context()
    if mail.security == "tls":
        server: smtplib.SMTP = smtplib.SMTP_SSL(
            host, port, timeout=SILENT_S, context=secured
        )
    else:
        server = smtplib.SMTP(host, port, timeout=SILENT_S)
    with server:
        if mail.security == "starttls":
            server.starttls(context=secured)
        if mail.user:
            server.login(mail.user, mail.password)
        refused = server.sendmail(mail.sender, mail.to, _letter(mail, message))
    if refused:
        raise ArbusculaError(Said("alarm.refused", {"found": ", ".join(refused)}))


def _letter(mail: Mail, message: Message) -> bytes:
    """Return a letter; its heads hold no sign that begins another one."""
    letter = EmailMessage()
    letter["Subject"] = _one_line(message.subject)
    letter["From"] = mail.sender
    letter["To"] = ", ".join(mail.to)
    letter["Date"] = format_datetime(message.at)
    letter["Message-ID"] = make_msgid(domain=mail.sender.rpartition("@")[2])
    letter["Auto-Submitted"] = "auto-generated"
    letter.set_content(message.text)
    return letter.as_bytes(policy=SMTP)


def _one_line(text: str) -> str:
    return " ".join("".join(c if c.isprintable() else " " for c in text).split())


# By the web


def _hooked(url: str) -> Callable[[Message], None]:
    def ring(message: Message) -> None:
        body = json.dumps(message.data, ensure_ascii=False, allow_nan=False)
        _sent(url, body.encode(), "application/json")

    return ring


def _posted(url: str) -> Callable[[Message], None]:
    def ring(message: Message) -> None:
        _sent(url, message.text.encode(), "text/plain; charset=utf-8")

    return ring


def _sent(url: str, body: bytes, kind: str) -> None:
    """Post to one address; nothing is followed, no file opened, little is read."""
    from urllib.request import (
        HTTPHandler,
        HTTPSHandler,
        OpenerDirector,
        ProxyHandler,
        Request,
    )

    opener = OpenerDirector()
    for handler in (ProxyHandler(), HTTPHandler(), HTTPSHandler()):
        opener.add_handler(handler)
    heads = {"Content-Type": kind, "User-Agent": "arbuscula"}
    request = Request(url, data=body, headers=heads, method="POST")  # noqa: S310 - the scheme is known
    response = opener.open(request, timeout=SILENT_S)
    with closing(response):
        status = response.status
        response.read(READ_BYTES)
    if status not in TOLD:
        found = f"{status}"
        raise ArbusculaError(Said("alarm.status", {"host": _host(url), "found": found}))

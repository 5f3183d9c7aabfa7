"""Guard: known hosts, writes from our own pages only, small bodies, strict headers."""

import re
from typing import Final
from urllib.parse import urlsplit

from starlette.datastructures import Headers, MutableHeaders
from starlette.exceptions import HTTPException
from starlette.responses import PlainTextResponse
from starlette.types import ASGIApp, Message, Receive, Scope, Send

from arbuscula.web.render import style_digest

LOOPBACK: Final = frozenset({"127.0.0.1", "::1", "localhost"})
READING: Final = frozenset({"GET", "HEAD", "OPTIONS"})
MOST_BYTES: Final = 1_000_000
PHOTO: Final = ("POST", "/photo")
MOST_PHOTO_BYTES: Final = 4_000_000
OK: Final = 200
HASHED: Final = re.compile(r"/static/[\w-]+-[0-9A-Z]{8}\.\w+")
FOR_GOOD: Final = "public, max-age=31536000, immutable"
POLICY: Final = (
    f"default-src 'self'; style-src 'self' 'sha256-{style_digest()}'; "
    "img-src 'self' data:; object-src 'none'; "
    "frame-ancestors 'none'; base-uri 'none'; form-action 'self'"
)
HEADERS: Final = {
    "content-security-policy": POLICY,
    "x-content-type-options": "nosniff",
    "referrer-policy": "same-origin",
    "cross-origin-opener-policy": "same-origin",
}


class Guard:
    """One layer around the whole app."""

    def __init__(self, app: ASGIApp, hosts: frozenset[str] = LOOPBACK) -> None:
        self.app, self.hosts = app, hosts

    async def __call__(self, scope: Scope, receive: Receive, send: Send) -> None:
        """Let a request in, bounded, or refuse it."""
        if scope["type"] != "http":
            await self.app(scope, receive, send)
            return
        sending = with_headers(send, scope["path"])
        most_bytes = most_bytes_of(scope["method"], scope["path"])
        if refusal := refused(
            scope["method"], Headers(scope=scope), self.hosts, most_bytes
        ):
            await refusal(scope, receive, sending)
            return
        await self.app(scope, bounded(receive, most_bytes), sending)


def most_bytes_of(method: str, path: str) -> int:
    """Return how large a body may be: a photo may be larger than words."""
    return MOST_PHOTO_BYTES if (method, path) == PHOTO else MOST_BYTES


def refused(
    method: str, headers: Headers, hosts: frozenset[str], most_bytes: int
) -> PlainTextResponse | None:
    """Return why a request is not let in at all."""
    host = headers.get("host", "")
    if (_host_name(f"//{host}") or "") not in hosts:  # a name made to point at us
        return PlainTextResponse("unknown host\n", 421)
    if method not in READING and not _from_our_pages(headers, host):
        return PlainTextResponse("written from another site\n", 403)
    length = headers.get("content-length", "0")
    if not length.isdigit() or int(length) > most_bytes:
        return PlainTextResponse(f"{_too_large(most_bytes)}\n", 413)
    return None


def _too_large(most_bytes: int) -> str:
    return f"too large: {most_bytes // 1_000_000} MB are the most"


def _host_name(address: str) -> str | None:
    try:
        return urlsplit(address).hostname
    except ValueError:
        return None


def _from_our_pages(headers: Headers, host: str) -> bool:
    site, origin = headers.get("sec-fetch-site"), headers.get("origin")
    if site not in (None, "same-origin", "none"):
        return False
    return origin is None or origin.partition("://")[2] == host


def bounded(receive: Receive, most_bytes: int) -> Receive:
    """Count bytes as they come: a body in pieces announces no length."""
    seen_bytes = 0

    async def counted() -> Message:
        nonlocal seen_bytes
        message = await receive()
        seen_bytes += len(message.get("body", b""))
        if seen_bytes > most_bytes:
            raise HTTPException(413, _too_large(most_bytes))
        return message

    return counted


def with_headers(send: Send, path: str) -> Send:
    """Put our headers on every reply; what has a hash in its name is kept for good."""

    async def sending(message: Message) -> None:
        if message["type"] == "http.response.start":
            headers = MutableHeaders(scope=message)
            for name, value in HEADERS.items():
                headers.setdefault(name, value)
            if HASHED.fullmatch(path) and message["status"] == OK:
                headers["cache-control"] = FOR_GOOD
        await send(message)

    return sending

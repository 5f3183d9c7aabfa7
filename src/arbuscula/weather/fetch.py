"""Fetch: one page from the network, or one clear fault.

It gives up early: on a slow host, on a body beyond bounds while it comes, and
on any other scheme.
"""

import json
from collections.abc import Iterator, Mapping
from contextlib import closing, suppress
from dataclasses import dataclass
from email.message import Message
from email.utils import parsedate_to_datetime
from http.client import HTTPException, HTTPResponse, IncompleteRead
from importlib.metadata import version
from time import monotonic
from typing import Final
from urllib.parse import urljoin, urlsplit
from urllib.request import (
    HTTPHandler,
    HTTPSHandler,
    OpenerDirector,
    ProxyHandler,
    Request,
)

from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.units import (
    DAY_S,
    HOUR_S,
)

SCHEMES: Final = ("http", "https")
MOST_BYTES: Final = 20_000_000
AT_ONCE_BYTES: Final = 65_536
SILENT_S: Final = 20.0  # until a host says something
LONGEST_S: Final = 60.0  # until it has said it all
HOPS_N: Final = 3
SHOWN_N: Final = 200  # letters of a reason that are told
LONGEST_HOLD_S: Final = DAY_S
BUSY_H: Final = 1.0  # where a host does not say for how long

TOLD: Final = range(200, 300)
BUSY: Final = 429
FAILING: Final = 500
MOVED: Final = (301, 302, 303, 307, 308)
NOT_MODIFIED: Final = 304
DEPRECATED: Final = 203
MESSAGES: Final = {
    401: "weather.forbidden",
    403: "weather.forbidden",
    404: "weather.not_there",
    BUSY: "weather.busy",
}


@dataclass(frozen=True, slots=True, kw_only=True)
class Page:
    """What a host answered."""

    status: int
    body: bytes
    last_modified: str
    lasts_s: float  # until it expires, by the host's own clock


def agent(contact: str = "") -> str:
    """Return the name we give ourselves to a host, and whom to write to."""
    return f"arbuscula/{version('arbuscula')} {contact}".strip()


def fetch(
    url: str,
    *,
    contact: str = "",
    last_modified: str = "",
    silent_s: float = SILENT_S,
    longest_s: float = LONGEST_S,
) -> Page:
    """Return a page of a host; one that has not changed since has no body.

    Errors: another scheme, no answer, a slow or cut or huge one, any status
      that is not 2xx or 304.
    """
    headers = {"User-Agent": agent(contact), "Accept": "application/json, text/*;q=0.5"}
    if last_modified:
        headers["If-Modified-Since"] = last_modified
    limit_s = monotonic() + longest_s
    _refuse_scheme(url, SCHEMES)
    try:
        for _ in range(HOPS_N):
            with closing(_opened(url, headers, silent_s)) as response:
                if response.status not in MOVED:
                    return _page(response, url, limit_s)
                to = urljoin(url, response.headers.get("Location", ""))
            _refuse_scheme(to, (urlsplit(url).scheme,))
            url = to
    except IncompleteRead as error:
        got = len(error.partial)
        fault = _fault("weather.cut", url, got=f"{got}", promised="more")
        raise ArbusculaError(fault) from None
    except (OSError, HTTPException, ValueError) as error:
        fault = _fault("weather.unreachable", url, found=_why(error))
        raise ArbusculaError(fault) from None
    raise ArbusculaError(_fault("weather.moved", url))


def _why(error: Exception) -> str:
    reason = getattr(error, "reason", error)
    return str(reason)[:SHOWN_N] or type(error).__name__


def _opened(url: str, headers: Mapping[str, str], silent_s: float) -> HTTPResponse:
    """Return the answer whatever its status; nothing is followed, no file opened."""
    opener = OpenerDirector()
    for handler in (ProxyHandler(), HTTPHandler(), HTTPSHandler()):
        opener.add_handler(handler)
    request = Request(url, headers=dict(headers))  # noqa: S310 - the scheme is known
    response: HTTPResponse = opener.open(request, timeout=silent_s)
    return response


def _refuse_scheme(url: str, allowed: tuple[str, ...]) -> None:
    scheme = urlsplit(url).scheme
    if scheme not in allowed:
        figures = {"found": scheme or "none", "allowed": " or ".join(allowed)}
        raise ArbusculaError(_fault("weather.scheme", url, **figures))


def _page(response: HTTPResponse, url: str, limit_s: float) -> Page:
    is_same = response.status == NOT_MODIFIED
    body = b"" if is_same else b"".join(_parts(response, url, limit_s))
    if not is_same and response.status not in TOLD:
        raise ArbusculaError(_refused(response, url, body))
    return Page(
        status=response.status,
        body=body,
        last_modified=response.headers.get("Last-Modified", ""),
        lasts_s=_lasts_s(response.headers),
    )


def _parts(response: HTTPResponse, url: str, limit_s: float) -> Iterator[bytes]:
    """Yield the body, and stop as soon as it is too large, too slow or cut."""
    promised = response.headers.get("Content-Length", "")
    got = 0
    while part := response.read1(AT_ONCE_BYTES):
        got += len(part)
        if got > MOST_BYTES or (promised.isdigit() and int(promised) > MOST_BYTES):
            allowed_mb = f"{MOST_BYTES / 1e6:.0f}"
            fault = _fault("weather.too_large", url, allowed_mb=allowed_mb)
            raise ArbusculaError(fault)
        if monotonic() > limit_s:
            raise ArbusculaError(_fault("weather.slow", url))
        yield part
    if promised.isdigit() and got < int(promised):
        fault = _fault("weather.cut", url, got=f"{got}", promised=promised)
        raise ArbusculaError(fault)


def _refused(response: HTTPResponse, url: str, body: bytes) -> Said:
    """Return the fault that a status tells, with the host's own reason."""
    status = response.status
    figures: dict[str, Figure] = {"status": f"{status}", "found": _reason(body)}
    if status == BUSY or status >= FAILING:
        figures["wait_h"] = _wait_h(response.headers.get("Retry-After", ""))
    usual = "weather.failing" if status >= FAILING else "weather.rejected"
    return _fault(MESSAGES.get(status, usual), url, **figures)


def _reason(body: bytes) -> str:
    """Return what a host said of its refusal, in one line."""
    text = body.decode("utf-8", "replace")
    with suppress(ValueError, TypeError, KeyError, RecursionError):
        text = str(json.loads(text)["reason"])
    return " ".join(text.split())[:SHOWN_N] or "nothing"


def _wait_h(retry_after: str) -> float:
    return int(retry_after) / HOUR_S if retry_after.isdigit() else BUSY_H


def _lasts_s(headers: Message) -> float:
    """Return how long the host lets the page hold, whatever our own clock shows."""
    try:
        made, ends = (
            parsedate_to_datetime(headers.get(name, "")) for name in ("Date", "Expires")
        )
        lasts_s = (ends - made).total_seconds()
    except (TypeError, ValueError):
        return 0.0
    return min(max(lasts_s, 0.0), LONGEST_HOLD_S)


def _fault(message_id: str, url: str, **figures: Figure) -> Said:
    """Return a fault that names the host, never the address with its key."""
    host = urlsplit(url).netloc.rpartition("@")[2]
    return Said(message_id, {"host": host, **figures})

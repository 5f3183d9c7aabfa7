"""Trusting: how a phone comes to know the server's own authority, and forgets it."""

from dataclasses import dataclass
from datetime import datetime
from typing import TYPE_CHECKING, Literal

import segno
from fastapi import APIRouter, FastAPI, Request
from fastapi.responses import Response
from markupsafe import Markup

from arbuscula.web.face import REFUSALS, html, twin

if TYPE_CHECKING:
    from arbuscula.web.certificate import Certified

router = APIRouter()  # nobody has to knock: what is shown here is public


@dataclass(frozen=True, slots=True, kw_only=True)
class Trust:
    """The answer: what is to be trusted, and for what it can speak."""

    schema: Literal["arbuscula.trust/1"] = "arbuscula.trust/1"
    fingerprint: str  # SHA-256, of the authority
    names: tuple[str, ...]  # it can speak for these alone
    until: datetime
    address: str  # of the page that tells how
    authority: str  # its certificate, in PEM


def trusted(app: FastAPI, shown: "Certified", page: str) -> None:
    """Show on an app's own page what its certificate rests on."""
    first = not hasattr(app.state, "trust")
    app.state.trust = Trust(
        fingerprint=shown.fingerprint,
        names=shown.names,
        until=shown.until,
        address=page,
        authority=shown.authority.read_text(encoding="ascii"),
    )
    if first:
        app.include_router(router)


def _trust(request: Request) -> Trust:
    trust: Trust = request.app.state.trust
    return trust


@router.get("/trust", include_in_schema=False)
def trust_page(request: Request) -> Response:
    """Tell how a phone is made to trust this server, and what to mind."""
    trust = _trust(request)
    drawn = segno.make(trust.address, micro=False).svg_inline(scale=8, border=3)
    return html(request, "trust.html", trust=trust, qr=Markup(drawn))  # noqa: S704 - of our own address


@router.get("/trust.json", responses=REFUSALS)
def trust_twin(request: Request) -> Response:
    """Return what is to be trusted as data."""
    return twin(request, _trust(request))


@router.get("/authority.crt", include_in_schema=False)
def authority(request: Request) -> Response:
    """Return the authority's public certificate as phones take it."""
    told = _trust(request).authority
    return Response(told, media_type="application/x-x509-ca-cert")

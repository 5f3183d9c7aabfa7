"""App: the web face of one desk."""

from threading import Lock
from typing import Final

from fastapi import FastAPI, HTTPException, Request
from fastapi.exception_handlers import http_exception_handler
from fastapi.responses import FileResponse, JSONResponse, Response
from fastapi.staticfiles import StaticFiles
from starlette.middleware.gzip import GZipMiddleware

from arbuscula.desk import Desk
from arbuscula.kinds.said import ArbusculaError, NotDoneError, Said
from arbuscula.reports.words import Voice, sentence
from arbuscula.web import doors, importing, knocking, photos, reading, writing
from arbuscula.web.face import OF_THE_STORE, TURNED_AWAY, Face, html, voice_of
from arbuscula.web.guard import LOOPBACK, Guard
from arbuscula.web.render import STATIC
from arbuscula.web.seen import PATIENCE_S, rounds_seen

WORTH_PACKING_BYTES: Final = 2000
FORBIDDEN: Final = 403
NOBODY: Final = (  # is called so
    "desk.no_yard",
    "desk.unknown_tree",
    "desk.unknown_yard",
    "name.none_yet",
    "name.several",
    "name.unknown",
)
PACKED_HARD_N: Final = 3  # of nine: drawings pack well at once


def create_app(
    desk: Desk,
    voice: Voice,
    *,
    hosts: frozenset[str] = LOOPBACK,
    by_browser: bool = True,
    is_open: bool = True,
    patience_s: float = PATIENCE_S,
) -> FastAPI:
    """Return the web face of one desk."""
    rounds = rounds_seen(desk, patience_s=patience_s)
    app = FastAPI(title="arbuscula", docs_url=None, redoc_url=None)
    app.state.face = Face(
        desk=desk,
        voice=voice,
        by_browser=by_browser,
        is_open=is_open,
        rounds=rounds,
        tries=doors.Tries(),
        turning=Lock(),
    )
    app.add_middleware(
        GZipMiddleware, minimum_size=WORTH_PACKING_BYTES, compresslevel=PACKED_HARD_N
    )
    app.add_middleware(Guard, hosts=hosts)
    app.add_exception_handler(ArbusculaError, explained)
    app.add_exception_handler(HTTPException, turned_away)
    app.mount("/static", StaticFiles(directory=str(STATIC)), name="static")
    app.add_api_route("/sw.js", worker, include_in_schema=False)
    for room in (reading, writing, importing, photos, knocking):
        app.include_router(room.router)
    return app


def explained(request: Request, error: Exception) -> Response:
    """Explain what can be explained, in the reader's words."""
    if not isinstance(error, ArbusculaError):
        raise error
    told = [sentence(fault, voice_of(request)) for fault in error.faults]
    status = 409 if isinstance(error, NotDoneError) else 400
    if all(fault.message_id in NOBODY for fault in error.faults):
        status = 404
    if any(fault.message_id in OF_THE_STORE for fault in error.faults):
        status = 503
    return _told(request, told, status)


async def turned_away(request: Request, error: Exception) -> Response:
    """Say whose page it is to one who came in and may not have it."""
    if not isinstance(error, HTTPException):
        raise error
    if error.status_code != FORBIDDEN:
        return await http_exception_handler(request, error)
    said = Said(error.detail if error.detail in TURNED_AWAY else TURNED_AWAY[0], {})
    return _told(request, [sentence(said, voice_of(request))], FORBIDDEN)


def _told(request: Request, told: list[str], status: int) -> Response:
    """Return faults as data to a script, as a page to somebody who reads."""
    if request.url.path.endswith(".json") or request.method != "GET":
        return JSONResponse({"faults": told}, status)
    return html(request, "fault.html", status=status, told=told)


def worker() -> Response:
    """Return the service worker, which must lie at the root to serve all pages."""
    headers = {"cache-control": "no-cache"}
    return FileResponse(str(STATIC / "sw.js"), 200, headers, "text/javascript")

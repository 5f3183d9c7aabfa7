"""Knocking: the door that the owner opens by password, and others by invitation."""

import asyncio

from fastapi import APIRouter, Request
from fastapi.responses import RedirectResponse, Response

from arbuscula.web import doors
from arbuscula.web.doors import Door
from arbuscula.web.face import COOKIE, face_of, form, html

router = APIRouter(prefix="/door", include_in_schema=False)


@router.get("")
def door_page(request: Request) -> Response:
    """Ask for the password."""
    return html(request, "door.html", wrong="")


@router.post("")
async def knock(request: Request) -> Response:
    """Let the owner in by password; whoever guesses has to wait."""
    face = face_of(request)
    now = face.desk.clock()
    host = request.client.host if request.client else ""
    if face.tries.too_many(host, now):
        return html(request, "door.html", status=429, wrong="doors.wait")
    password = (await form(request)).get("password", "")
    known = doors.doors_in(face.desk.home)
    if not await asyncio.to_thread(doors.is_password, known, password):
        face.tries.note(host, now)
        return html(request, "door.html", status=403, wrong="doors.wrong")
    return _let_in(request, Door(part="owner", name="owner", until=now))


@router.get("/in/{key}")
def invitation_page(request: Request, key: str) -> Response:
    """Ask an invited one to come in; whoever only looks at the link uses nothing up."""
    desk = face_of(request).desk
    door = doors.door_of(doors.doors_in(desk.home), key, desk.clock())
    if door is None or not door.invited:
        return _not_invited(request)
    return html(request, "invited.html", invited=door.name)


@router.post("/in/{key}")
def come_in(request: Request, key: str) -> Response:
    """Let somebody in who was invited; an invitation serves once."""
    face = face_of(request)
    home = face.desk.home
    with face.turning:
        known = doors.doors_in(home)
        door = doors.door_of(known, key, face.desk.clock())
        if door is None or not door.invited:
            return _not_invited(request)
        doors.keep(home, doors.without(known, key))
    return _let_in(request, door)


def _not_invited(request: Request) -> Response:
    return html(request, "door.html", status=403, wrong="doors.not_invited")


@router.post("/leave")
def leave(request: Request) -> Response:
    """Lock the door behind this browser."""
    face, key = face_of(request), request.cookies.get(COOKIE, "")
    home = face.desk.home
    with face.turning:
        doors.keep(home, doors.without(doors.doors_in(home), key))
    headers = {"clear-site-data": '"cache", "storage"'}
    reply = RedirectResponse("/door", 303, headers)
    reply.delete_cookie(COOKIE)
    return reply


def _let_in(request: Request, door: Door) -> Response:
    face = face_of(request)
    home = face.desk.home
    with face.turning:
        known, key = doors.let_in(doors.doors_in(home), door, face.desk.clock())
        doors.keep(home, known)
    reply = RedirectResponse("/round", 303)
    reply.set_cookie(
        COOKIE,
        key,
        max_age=int(doors.OPEN_FOR.total_seconds()),
        httponly=True,
        samesite="lax",
        secure=request.url.scheme == "https",
    )
    return reply

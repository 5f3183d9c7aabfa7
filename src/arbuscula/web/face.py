"""Face: what every page needs at hand, and who asks for it."""

from collections.abc import Callable
from dataclasses import dataclass
from datetime import datetime
from threading import Lock
from typing import Final
from urllib.parse import parse_qsl

from fastapi import HTTPException, Request
from fastapi.responses import HTMLResponse, JSONResponse

from arbuscula.desk import Desk
from arbuscula.desk.answers import data
from arbuscula.reports.words import Voice, sentence
from arbuscula.web import doors
from arbuscula.web.doors import Door
from arbuscula.web.render import page
from arbuscula.web.seen import Seen

COOKIE: Final = "arbuscula"
WRITES: Final = ("owner", "hand")
OF_THE_STORE: Final = ("ledger.not_read", "ledger.not_written")  # now, not for good


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """Why nothing was done, in the reader's words."""

    faults: list[str]


REFUSALS: Final[dict[int | str, dict[str, object]]] = {
    303: {"description": "Knock first."},
    400: {"model": Refused, "description": "It cannot be understood."},
    401: {"description": "Knock first."},
    403: {"description": "A guest does not write."},
    404: {"model": Refused, "description": "Nothing is called so."},
    409: {"model": Refused, "description": "It was not done."},
    503: {"model": Refused, "description": "The book cannot be reached just now."},
}


@dataclass(slots=True)
class Face:
    """What every page needs at hand."""

    desk: Desk
    voice: Voice
    is_open: bool  # only this machine reaches it: nobody has to knock
    rounds: Callable[[str | None], Seen]
    tries: doors.Tries
    turning: Lock  # held while the file of doors is read and written again


# Who is there


def face_of(request: Request) -> Face:
    """Return the face that this app shows."""
    face: Face = request.app.state.face
    return face


def whoever(request: Request) -> Door | None:
    """Return who came in; nobody if they still have to knock."""
    face = face_of(request)
    now = face.desk.clock()
    if face.is_open:
        ever = datetime.max.replace(tzinfo=now.tzinfo)
        return Door(part="owner", name="", until=ever)
    known = doors.doors_in(face.desk.home)
    door = doors.door_of(known, request.cookies.get(COOKIE), now)
    return None if door is None or door.invited else door


def inside(request: Request) -> None:
    """Let in who may read; send everybody else to the door."""
    if whoever(request) is None:
        raise HTTPException(303, headers={"location": "/door"})


def writer(request: Request) -> Door:
    """Return who came in and may write."""
    door = whoever(request)
    if door is None:
        raise HTTPException(401)
    if door.part not in WRITES:
        raise HTTPException(403)
    return door


def owner(request: Request) -> Door:
    """Return the owner, who alone takes in what changes the whole book."""
    door = writer(request)
    if door.part != "owner":
        raise HTTPException(403)
    return door


# What is asked and answered


def html(
    request: Request, name: str, *, status: int = 200, **shown: object
) -> HTMLResponse:
    """Return a page."""
    face, door = face_of(request), whoever(request)
    told = {
        "here": request.url.path.split("/")[1],
        "door": None if face.is_open else door,
        "may_write": door is not None and door.part in WRITES,
        "is_owner": door is not None and door.part == "owner",
    }
    return HTMLResponse(page(name, face.voice, **told, **shown), status)


def twin(request: Request, answer: object) -> JSONResponse:
    """Return an answer as data, its sentences beside their figures."""
    voice = face_of(request).voice
    return JSONResponse(data(answer, lambda said: sentence(said, voice)))


async def form(request: Request) -> dict[str, str]:
    """Return the fields of a form; the guard has bounded its size."""
    body = (await request.body()).decode("utf-8", "replace")
    return dict(parse_qsl(body, keep_blank_values=True, max_num_fields=50))

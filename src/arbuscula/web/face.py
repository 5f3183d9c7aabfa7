"""Face: what every page needs at hand, and who asks for it."""

from collections.abc import Callable, Sequence
from dataclasses import dataclass, replace
from datetime import datetime
from threading import Lock
from typing import Final
from urllib.parse import parse_qsl

from fastapi import HTTPException, Request
from fastapi.responses import HTMLResponse, JSONResponse

from arbuscula.desk import Desk
from arbuscula.desk.answers import data
from arbuscula.reports.words import Voice, language_asked, sentence
from arbuscula.web import doors
from arbuscula.web.doors import Door
from arbuscula.web.render import page
from arbuscula.web.seen import Seen

COOKIE: Final = "arbuscula"
VARIES: Final = {"vary": "Accept-Language"}
WRITES: Final = ("owner", "hand")
TURNED_AWAY: Final = ("doors.only_looks", "doors.only_owner")
OF_THE_STORE: Final = ("ledger.not_read", "ledger.not_written")  # now, not for good


@dataclass(frozen=True, slots=True, kw_only=True)
class Refused:
    """Why nothing was done, in the reader's words."""

    faults: list[str]


REFUSALS: Final[dict[int | str, dict[str, object]]] = {
    303: {"description": "Knock first."},
    400: {"model": Refused, "description": "It cannot be understood."},
    401: {"description": "Knock first."},
    403: {"model": Refused, "description": "It is for others."},
    404: {"model": Refused, "description": "Nothing is called so."},
    409: {"model": Refused, "description": "It was not done."},
    503: {"model": Refused, "description": "The book cannot be reached just now."},
}


@dataclass(slots=True)
class Face:
    """What every page needs at hand."""

    desk: Desk
    voice: Voice
    by_browser: bool  # each reader in the language that their browser asks for
    is_open: bool  # only this machine reaches it: nobody has to knock
    rounds: Callable[[str | None], Seen]
    tries: doors.Tries
    turning: Lock  # held while the file of doors is read and written again


# Who is there


def face_of(request: Request) -> Face:
    """Return the face that this app shows."""
    face: Face = request.app.state.face
    return face


def voice_of(request: Request) -> Voice:
    """Return how this reader is spoken to."""
    face = face_of(request)
    if not face.by_browser:
        return face.voice
    asked = language_asked(request.headers.get("accept-language", ""))
    return replace(face.voice, language=asked or face.voice.language)


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
    return _of_parts(request, WRITES, TURNED_AWAY[0])


def owner(request: Request) -> Door:
    """Return the owner, who alone takes in what changes the whole book."""
    return _of_parts(request, ("owner",), TURNED_AWAY[1])


def _of_parts(request: Request, parts: Sequence[str], message_id: str) -> Door:
    door = whoever(request)
    if door is None:
        raise HTTPException(401)
    if door.part not in parts:
        raise HTTPException(403, message_id)
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
    words = page(name, voice_of(request), **told, **shown)
    return HTMLResponse(words, status, VARIES)


def twin(request: Request, answer: object) -> JSONResponse:
    """Return an answer as data, its sentences beside their figures."""
    voice = voice_of(request)
    told = data(answer, lambda said: sentence(said, voice))
    return JSONResponse(told, headers=VARIES)


async def form(request: Request) -> dict[str, str]:
    """Return the fields of a form; the guard has bounded its size."""
    body = (await request.body()).decode("utf-8", "replace")
    return dict(parse_qsl(body, keep_blank_values=True, max_num_fields=50))

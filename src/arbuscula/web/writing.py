"""Writing: the one way in which a page writes down, once however often it is sent."""

import asyncio
from collections.abc import AsyncIterator, Awaitable, Callable
from dataclasses import dataclass, field
from datetime import datetime
from typing import Annotated, Final

from fastapi import APIRouter, Body, Depends, Request
from fastapi.responses import RedirectResponse, Response, StreamingResponse
from pydantic import Field

from arbuscula.desk import Desk
from arbuscula.desk.bench import BenchWish, add_bench
from arbuscula.desk.changed import book_n
from arbuscula.desk.record import RecordWish, record, undo
from arbuscula.desk.yard import add_yard, list_yards
from arbuscula.kinds.place import Exposure
from arbuscula.kinds.said import ArbusculaError, NotDoneError, Said
from arbuscula.reports.words import sentence
from arbuscula.web.doors import Door
from arbuscula.web.face import (
    OF_THE_STORE,
    REFUSALS,
    face_of,
    form,
    html,
    inside,
    voice_of,
    writer,
)

ASKED_S: Final = 0.5  # how often the book is asked whether it grew
MOST_ITEMS: Final = 500
Line = Annotated[str, Field(max_length=300)]
Id = Annotated[str, Field(min_length=8, max_length=80, pattern=r"^[\w-]+$")]
Writer = Annotated[Door, Depends(writer)]

router = APIRouter()


@dataclass(frozen=True, slots=True, kw_only=True)
class Item:
    """One thing that a page writes down, or takes back."""

    id: Id
    subject: Line = ""
    words: Annotated[list[Line], Field(max_length=20)] = field(default_factory=list)
    only: Annotated[str, Field(max_length=20_000)] | None = None
    undo: Line | None = None  # the id of what is taken back
    at: datetime


@dataclass(frozen=True, slots=True, kw_only=True)
class Refusal:
    """What was not written down, and why."""

    id: str
    words: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Written:
    """What the book has now, and what it would not take."""

    accepted: list[str]
    refused: list[Refusal]


@router.post("/record", responses=REFUSALS)
def record_items(
    request: Request,
    door: Writer,
    items: Annotated[list[Item], Body(max_length=MOST_ITEMS)],
) -> Written:
    """Write down what a page has kept; what is there already is not written again."""
    face, voice = face_of(request), voice_of(request)
    written = Written(accepted=[], refused=[])
    for item in items:
        try:
            _record(face.desk, item, door)
        except ArbusculaError as error:
            if any(fault.message_id in OF_THE_STORE for fault in error.faults):
                raise  # it will do later: the page keeps what was not taken
            words = " ".join(sentence(fault, voice) for fault in error.faults)
            written.refused.append(Refusal(id=item.id, words=words))
        else:
            written.accepted.append(item.id)
    return written


def _record(desk: Desk, item: Item, door: Door) -> None:
    if item.undo is not None:
        _take_back(desk, item.undo, door)
        return
    wish = RecordWish(
        subject=item.subject,
        words=tuple(item.words),
        only=item.only,
        at=item.at.isoformat(),
        id=item.id,
        by=door.by,
    )
    record(desk, wish)


def _take_back(desk: Desk, event_id: str, door: Door) -> None:
    """Take an event back; sent twice, it was taken back before."""
    try:
        undo(desk, event_id, by=door.by)
    except NotDoneError as error:
        if [fault.message_id for fault in error.faults] != ["record.undone_already"]:
            raise


# A second screen


@router.get("/changes", dependencies=[Depends(inside)], include_in_schema=False)
async def changes(request: Request) -> StreamingResponse:
    """Tell whenever the book has grown."""
    growth = _growth(face_of(request).desk, request.is_disconnected)
    headers = {"cache-control": "no-store"}
    return StreamingResponse(growth, 200, headers, "text/event-stream")


async def _growth(
    desk: Desk, is_gone: Callable[[], Awaitable[bool]]
) -> AsyncIterator[str]:
    """Yield the position of the book, now and whenever it grows."""
    seen_n = -1
    while not await is_gone():
        now_n = await asyncio.to_thread(book_n, desk)
        if now_n != seen_n:
            seen_n = now_n
            yield f"event: changed\ndata: {now_n}\n\n"
        await asyncio.sleep(ASKED_S)


# The first ten minutes


@router.get("/begin", include_in_schema=False, dependencies=[Depends(inside)])
def begin_page(request: Request) -> Response:
    """Ask for a yard and a bench."""
    return _asked(request, {}, ())


@router.post("/begin", include_in_schema=False, dependencies=[Depends(writer)])
async def begin(request: Request) -> Response:
    """Set up a yard and a bench; what is wrong is said beside what was typed."""
    face, told = face_of(request), await form(request)
    try:
        await asyncio.to_thread(_begin, face.desk, told)
    except ArbusculaError as error:
        return _asked(request, told, error.faults)
    return RedirectResponse("/round", 303)


def _asked(
    request: Request, told: dict[str, str], faults: tuple[Said, ...]
) -> Response:
    desk = face_of(request).desk
    return html(
        request,
        "begin.html",
        status=400 if faults else 200,
        is_first=not list_yards(desk).yards,
        told=told,
        faults=faults,
        exposures=[exposure.value for exposure in Exposure],
        species=[(key, one.latin) for key, one in desk.library().species.items()],
    )


def _begin(desk: Desk, told: dict[str, str]) -> None:
    if not list_yards(desk).yards:
        add_yard(desk, told.get("yard", ""), told.get("town", ""))
    count = told.get("trees", "")
    of_each = ("species", "pot") if count else ()
    wish = BenchWish(
        name=told.get("bench", ""),
        said={key: told[key] for key in ("exposure", "facing_deg") if told.get(key)},
        trees_n=int(count) if count.isdecimal() else 0,
        each={key: told[key] for key in of_each if told.get(key)},
    )
    add_bench(desk, wish)

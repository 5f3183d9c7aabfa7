"""Importing: a table of trees is shown first; only what was shown is taken in."""

import asyncio
from collections.abc import Mapping
from dataclasses import dataclass
from email.parser import Parser
from typing import Annotated, Final

from fastapi import APIRouter, Depends, Request
from fastapi.responses import JSONResponse, RedirectResponse, Response
from pydantic import Field

from arbuscula.desk.table_import import (
    ImportWish,
    ask_table,
    import_trees,
    look_at_table,
)
from arbuscula.kinds.said import ArbusculaError, NotDoneError, Said
from arbuscula.strict.quote import plain
from arbuscula.strict.text import text_of_bytes
from arbuscula.web.face import (
    OF_THE_STORE,
    REFUSALS,
    face_of,
    html,
    inside,
    owner,
    twin,
)
from arbuscula.web.guard import MOST_BYTES

PASTED: Final = "table"  # what a table without a file is called
Name = Annotated[str, Field(max_length=100)]

router = APIRouter(dependencies=[Depends(inside), Depends(owner)])


@dataclass(frozen=True, slots=True, kw_only=True)
class TableSent:
    """A table of trees that is to be looked at, or taken in."""

    name: Name = PASTED
    text: Annotated[str, Field(max_length=MOST_BYTES)]
    yard: Name | None = None
    make_benches: bool = False
    since: Name | None = None
    digest: Name | None = None  # of a look: nothing else is written
    take_in: bool = False


@router.get("/import.json", responses=REFUSALS)
def import_asked(request: Request) -> Response:
    """Return what a table of trees may hold."""
    return twin(request, ask_table(face_of(request).desk))


@router.post("/import.json", responses=REFUSALS)
def import_sent(request: Request, sent: TableSent) -> JSONResponse:
    """Look at a table of trees; take it in if that is asked for."""
    desk, wish = face_of(request).desk, _wish(sent)
    if not sent.take_in:
        return twin(request, look_at_table(desk, wish))
    try:
        return twin(request, import_trees(desk, wish))
    except ArbusculaError as error:  # all of it, or nothing: it was not done
        raise NotDoneError(*error.faults) from error


@router.get("/import", include_in_schema=False)
def import_page(request: Request) -> Response:
    """Ask for a table."""
    if not ask_table(face_of(request).desk).yards:
        return RedirectResponse("/begin", 303)
    return _shown(request, TableSent(text=""))


@router.post("/import", include_in_schema=False)
async def import_form(request: Request) -> Response:
    """Show what a table would write and all that is wrong, or take it in."""
    fields = fields_of(request.headers.get("content-type", ""), await request.body())
    return await asyncio.to_thread(_looked_or_taken, request, fields)


def _looked_or_taken(request: Request, fields: Mapping[str, "Filled"]) -> Response:
    desk, sent = face_of(request).desk, TableSent(text="")
    try:
        sent = _table_sent(fields)
        if sent.take_in:
            taken = import_trees(desk, _wish(sent))
            return _shown(request, TableSent(text=""), file=sent.name, taken=taken)
        return _shown(request, sent, seen=look_at_table(desk, _wish(sent)))
    except NotDoneError as error:
        if any(fault.message_id in OF_THE_STORE for fault in error.faults):
            raise
        seen = look_at_table(desk, _wish(sent))  # as it would be written now
        return _shown(request, sent, 409, error.faults, seen=seen)
    except ArbusculaError as error:
        return _shown(request, sent, 400, error.faults)


def _shown(
    request: Request,
    sent: TableSent,
    status: int = 200,
    faults: tuple[Said, ...] = (),
    **shown: object,
) -> Response:
    told = {"file": "", "seen": None, "taken": None, **shown}
    asked = ask_table(face_of(request).desk)
    return html(
        request,
        "import.html",
        status=status,
        sent=sent,
        faults=faults,
        asked=asked,
        **told,
    )


def _wish(sent: TableSent) -> ImportWish:
    return ImportWish(
        name=plain(sent.name),
        text=sent.text.removeprefix("\ufeff"),
        yard=sent.yard or None,
        make_benches=sent.make_benches,
        since=sent.since or None,
        digest=sent.digest or None,
    )


# A form with a file


@dataclass(frozen=True, slots=True, kw_only=True)
class Filled:
    """What one field of a form holds, and what its file is called."""

    file: str
    sent: bytes


def fields_of(content_type: str, body: bytes) -> dict[str, Filled]:
    """Return the fields of a form as browsers send it with a file.

    Bytes become letters one by one, and bytes again, so that no file changes.
    """
    head = f"content-type: {content_type}\r\n\r\n"
    whole = Parser().parsestr(head + body.decode("latin-1"))
    filled = {}
    for part in whole.walk():
        name = part.get_param("name", header="content-disposition")
        if part.is_multipart() or name is None:
            continue
        file = (part.get_filename() or "").encode("latin-1", "replace")
        filled[str(name)] = Filled(
            file=file.decode("utf-8", "replace"),
            sent=str(part.get_payload()).encode("latin-1", "replace"),
        )
    return filled


def _table_sent(fields: Mapping[str, Filled]) -> TableSent:
    """Return the table of a form: the file that was chosen, else what was pasted."""
    words = {
        name: filled.sent.decode("utf-8", "replace").strip()
        for name, filled in fields.items()
        if name not in ("file", "text")
    }
    nothing = Filled(file="", sent=b"")
    file, pasted = fields.get("file", nothing), fields.get("text", nothing)
    name = (file.file or words.get("name", "") or PASTED)[-100:]
    table = file if file.file else pasted
    return TableSent(
        name=name,
        text=text_of_bytes(table.sent, name=plain(name)),
        yard=words.get("yard"),
        make_benches="make_benches" in words,
        since=words.get("since"),
        digest=words.get("digest"),
        take_in=words.get("do") == "take in",
    )

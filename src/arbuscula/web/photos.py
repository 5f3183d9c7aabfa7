"""Photos: what phones sent, kept and shown under its digest."""

import asyncio
from typing import Annotated, Final

from fastapi import APIRouter, Depends, HTTPException, Path, Request
from fastapi.responses import FileResponse, Response

from arbuscula.desk.photos import (
    MEDIA_TYPES,
    PhotoKept,
    keep_photo,
    media_type_of,
    photo_at,
)
from arbuscula.web.face import REFUSALS, face_of, inside, writer

Digest = Annotated[str, Path(pattern="^[0-9a-f]{64}$")]
PICTURE: Final = {"schema": {"type": "string", "format": "binary"}}
SENT: Final = {"required": True, "content": dict.fromkeys(MEDIA_TYPES, PICTURE)}
SHOWN: Final = {
    "cache-control": "private, max-age=31536000, immutable",  # its name is its content
    "cross-origin-resource-policy": "same-origin",
}

router = APIRouter()


@router.post(
    "/photo",
    dependencies=[Depends(writer)],
    openapi_extra={"requestBody": SENT},
    responses=REFUSALS | {413: {"description": "It is too large: 4 MB are the most."}},
)
async def keep(request: Request) -> PhotoKept:
    """Keep a picture without its place; sent twice it is kept once, named alike.

    It is named here: by plain http a browser works out no digest. What it shows is
    told by a tap that follows.
    """
    content = await request.body()
    home = face_of(request).desk.home
    return await asyncio.to_thread(keep_photo, home, content)


@router.get(
    "/photo/{digest}",
    dependencies=[Depends(inside)],
    include_in_schema=False,
)
def photo(request: Request, digest: Digest) -> Response:
    """Show a picture."""
    path = photo_at(face_of(request).desk.home, digest)
    if path is None:
        raise HTTPException(404)
    return FileResponse(path, 200, SHOWN, media_type_of(path))

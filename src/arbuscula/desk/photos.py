"""Photos: pictures are kept beside the book, once each, under the digest of all of it.

The book names a picture by its digest and its size. The file holds nothing but the
picture: no place, no hour, no camera.
"""

import re
from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace
from hashlib import sha256
from pathlib import Path
from typing import Final, Literal

from arbuscula.desk import Desk
from arbuscula.desk.fresh import explained, fresh
from arbuscula.desk.told import PHOTOGRAPHED, told_from
from arbuscula.kinds.events import Event, Photographed
from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.ledger.book import all_events
from arbuscula.photo.stripped import MEDIA_TYPE_OF, sort_of, stripped
from arbuscula.state.book import standing
from arbuscula.strict.quote import plain
from arbuscula.strict.text import bytes_of_file

FOLDER: Final = "photos"
MEDIA_TYPES: Final = tuple(MEDIA_TYPE_OF.values())
DIGEST: Final = re.compile("[0-9a-f]{64}")
MOST_BYTES: Final = 40_000_000  # of a file; a page sends less
MOST_N: Final = 100  # faults that are told


@dataclass(frozen=True, slots=True, kw_only=True)
class PhotoKept:
    """The answer: under which digest a picture is kept."""

    schema: Literal["arbuscula.photo/1"] = "arbuscula.photo/1"
    picture: str
    bytes_n: int


def keep_photo(home: Path, content: bytes) -> PhotoKept:
    """Keep a picture without what was written beside it; kept again it stays."""
    bare = stripped(content)
    digest = sha256(bare).hexdigest()
    path = home / FOLDER / digest[:2] / f"{digest}.{sort_of(bare)}"
    if not path.exists() or _digest(path) != digest:
        with explained(path):
            path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
        with fresh(path) as new:
            new.write_bytes(bare)
    return PhotoKept(picture=digest, bytes_n=len(bare))


def photo_at(home: Path, digest: str) -> Path | None:
    """Return where a picture is kept; None if it is not here."""
    if not DIGEST.fullmatch(digest):
        return None
    beside = home / FOLDER / digest[:2]
    paths = (beside / f"{digest}.{sort}" for sort in MEDIA_TYPE_OF)
    return next((path for path in paths if path.is_file()), None)


def media_type_of(path: Path) -> str:
    """Return what a browser calls a picture that is kept here."""
    return MEDIA_TYPE_OF[path.suffix.removeprefix(".")]


def photos_n(home: Path) -> int:
    """Count the pictures that are kept."""
    paths = (home / FOLDER).glob("*/*.*")
    return sum(1 for path in paths if DIGEST.fullmatch(path.stem))


# Into the book


def with_file_kept(desk: Desk, words: tuple[str, ...]) -> tuple[str, ...]:
    """Return words in which a picture's file is told by the digest it is kept under.

    Only who sits at this machine may have a file of it read: no page calls this.
    """
    told = told_from(words)
    file = told.said.get("picture", "")
    if told.kind != PHOTOGRAPHED or not file or DIGEST.fullmatch(file):
        return words
    kept = keep_photo(desk.home, bytes_of_file(Path(file), most_bytes=MOST_BYTES))
    said = {**told.said, "picture": kept.picture}
    return (PHOTOGRAPHED, *(f"{key}={text}" for key, text in said.items()))


def as_kept(home: Path, facts: Photographed) -> Photographed:
    """Return what the book says of a picture that is kept; refuse any other."""
    path = photo_at(home, facts.picture)
    if path is None:
        raise ArbusculaError(Said("photo.not_kept", {"found": plain(facts.picture)}))
    return replace(facts, bytes_n=path.stat().st_size)


# Out of it


def verify_photos(desk: Desk) -> tuple[Said, ...]:
    """Say which pictures that the book names are missing or damaged."""
    return tuple(_faults(desk.home, standing(all_events(desk.ledger()))))[:MOST_N]


def _faults(home: Path, events: Iterable[Event]) -> Iterator[Said]:
    first = {
        event.facts.picture: event
        for event in reversed([*events])
        if isinstance(event.facts, Photographed)
    }
    for digest, event in first.items():
        path = photo_at(home, digest)
        figures: dict[str, Figure] = {
            "subject": event.subject,
            "at": event.happened,
            "picture": digest,
        }
        if path is None:
            yield Said("photo.missing", figures)
        elif _digest(path) != digest:
            yield Said("photo.damaged", {**figures, "file": str(path)})


def _digest(path: Path) -> str:
    return sha256(path.read_bytes()).hexdigest()

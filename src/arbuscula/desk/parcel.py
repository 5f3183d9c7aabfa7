"""Parcel: a folder as one file, with a list of what is in it.

It is a zip file, so that any machine can open it, also without this program.
"""

import json
import zlib
from collections.abc import Iterator
from contextlib import contextmanager
from dataclasses import dataclass
from datetime import datetime
from hashlib import sha256
from pathlib import Path, PurePosixPath
from typing import IO, Final, Literal
from zipfile import ZIP_DEFLATED, BadZipFile, ZipFile, ZipInfo

from arbuscula.desk.answers import data
from arbuscula.kinds.said import ArbusculaError, NotDoneError, Said
from arbuscula.strict.kinds import kind_from_table

MANIFEST: Final = "manifest.json"
MOST_BYTES: Final = 200_000_000  # of the list: a million photos
BLOCK_BYTES: Final = 1 << 20
DAMAGED: Final = (
    BadZipFile,
    EOFError,
    KeyError,
    NotImplementedError,  # a way of packing that nobody used
    OverflowError,
    RuntimeError,  # a password that nobody gave
    ValueError,
    zlib.error,
)


@dataclass(frozen=True, slots=True, kw_only=True)
class Contents:
    """What was counted in a folder."""

    made_at: datetime
    program: str  # its version
    position_n: int = 0  # of the book's last event
    digest: str = ""  # of the book up to there
    persons_n: int = 0
    batches_n: int = 0  # of weather
    photos_n: int = 0


@dataclass(frozen=True, slots=True, kw_only=True)
class Part:
    """One file of a parcel."""

    name: str
    bytes_n: int
    sha256: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Manifest:
    """The list that lies in a parcel."""

    schema: Literal["arbuscula.backup/1"] = "arbuscula.backup/1"
    contents: Contents
    parts: tuple[Part, ...]


def pack(folder: Path, path: Path, contents: Contents) -> Manifest:
    """Pack every file of a folder into one, and the list of them."""
    files = sorted(file for file in folder.rglob("*") if file.is_file())
    with ZipFile(path, "w", ZIP_DEFLATED) as parcel:
        parts = tuple(_packed(parcel, folder, file) for file in files)
        manifest = Manifest(contents=contents, parts=parts)
        parcel.writestr(_named(MANIFEST), json.dumps(data(manifest), indent=1))
    return manifest


def _named(name: str) -> ZipInfo:
    """Return a name without a date, so that equal contents make equal files."""
    info = ZipInfo(name)
    info.compress_type = ZIP_DEFLATED
    return info


def _packed(parcel: ZipFile, folder: Path, file: Path) -> Part:
    name = file.relative_to(folder).as_posix()
    with (
        file.open("rb") as source,
        parcel.open(_named(name), "w", force_zip64=True) as target,
    ):
        bytes_n, digest = _copied(source, target)
    return Part(name=name, bytes_n=bytes_n, sha256=digest)


def unpack(path: Path, folder: Path) -> Manifest:
    """Unpack a parcel; nothing that is not as it was packed is let through."""
    with _opened(path) as parcel:
        manifest = _manifest(parcel, path)
        for part in manifest.parts:
            _unpacked(parcel, part, folder, path)
    return manifest


def manifest_of(path: Path) -> Manifest:
    """Return the list of a parcel, without a look at what it lists."""
    with _opened(path) as parcel:
        return _manifest(parcel, path)


@contextmanager
def _opened(path: Path) -> Iterator[ZipFile]:
    if not path.is_file():
        raise ArbusculaError(Said("backup.not_there", {"file": str(path)}))
    try:
        with ZipFile(path) as parcel:
            yield parcel
    except DAMAGED as error:
        figures = {"file": path.name, "found": str(error).strip("'\"")}
        raise NotDoneError(Said("backup.damaged", figures)) from error


def _manifest(parcel: ZipFile, path: Path) -> Manifest:
    names = parcel.namelist()
    if MANIFEST not in names or parcel.getinfo(MANIFEST).file_size > MOST_BYTES:
        raise NotDoneError(Said("backup.no_list", {"file": path.name}))
    table = json.loads(parcel.read(MANIFEST))
    try:
        manifest = kind_from_table(table, Manifest, name=f"{path.name}, {MANIFEST}")
    except ArbusculaError as error:
        raise NotDoneError(*error.faults) from None
    listed = [MANIFEST, *(part.name for part in manifest.parts)]
    if odd := {*listed} ^ {*names} | {n for n in listed if not _is_inside(n)}:
        figures = {"file": path.name, "part": ", ".join(sorted(odd))}
        raise NotDoneError(Said("backup.another_list", figures))
    return manifest


def _is_inside(name: str) -> bool:
    """Return whether a name leads to a file below the folder, on any system."""
    plain = PurePosixPath(name)
    is_odd = plain.is_absolute() or ".." in plain.parts or {*name} & {*"\\:\0"}
    return not is_odd and str(plain) == name


def _unpacked(parcel: ZipFile, part: Part, folder: Path, path: Path) -> None:
    into = folder / part.name
    into.parent.mkdir(parents=True, exist_ok=True)
    into.touch(mode=0o600)  # some hold keys
    with parcel.open(part.name) as source, into.open("wb") as target:
        found = _copied(source, target, most_bytes=part.bytes_n)
    if found != (part.bytes_n, part.sha256):
        figures = {"file": path.name, "part": part.name}
        raise NotDoneError(Said("backup.part_changed", figures))


def _copied(
    source: IO[bytes], target: IO[bytes], *, most_bytes: int | None = None
) -> tuple[int, str]:
    """Copy a file, no more than a block past the most; return size and digest."""
    bytes_n, digest = 0, sha256()
    while block := source.read(BLOCK_BYTES):
        target.write(block)
        digest.update(block)
        bytes_n += len(block)
        if most_bytes is not None and bytes_n > most_bytes:
            break
    return bytes_n, digest.hexdigest()

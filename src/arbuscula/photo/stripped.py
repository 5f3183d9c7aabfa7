"""Stripped: a picture without what a camera wrote beside it: place, hour, owner.

What draws the picture stays to the byte: JPEG (ITU-T T.81), PNG (ISO/IEC 15948) and
WebP (RFC 9649) are read as the lists of parts that they are. Of a JPEG's Exif the one
word that turns it upright is kept. What follows the end of a picture is left out.
"""

import re
from collections.abc import Iterator
from typing import Final, Literal, TypeAlias

from arbuscula.kinds.said import ArbusculaError, Said

Sort: TypeAlias = Literal["jpg", "png", "webp"]
Part: TypeAlias = tuple[bytes, bytes]  # what it is, and the whole of it
MEDIA_TYPE_OF: Final[dict[str, str]] = {
    "jpg": "image/jpeg",
    "png": "image/png",
    "webp": "image/webp",
}

# JPEG
BEGIN, END, SCAN, EXIF = b"\xff\xd8", b"\xff\xd9", b"\xff\xda", b"\xff\xe1"
SAID_BESIDE: Final = {bytes((0xFF, n)) for n in (*range(0xE0, 0xF0), 0xFE)}
DRAWS: Final = {  # of what is said beside, this bears on how it looks
    b"\xff\xe0": b"JFIF\0",
    b"\xff\xe2": b"ICC_PROFILE\0",
    b"\xff\xee": b"Adobe",
}
NEXT_MARKER: Final = re.compile(rb"\xff[^\x00\xd0-\xd7\xff]")
TURNED: Final = 0x0112
UPRIGHT: Final = 1
TURNS: Final = range(1, 9)

# PNG
SIGNATURE: Final = b"\x89PNG\r\n\x1a\n"
CHUNKS: Final = {b"IHDR", b"PLTE", b"IDAT", b"IEND"} | {
    *(b"tRNS", b"gAMA", b"cHRM", b"sRGB", b"iCCP", b"sBIT", b"pHYs", b"bKGD"),
}

# WebP
RIFF: Final = {b"VP8 ", b"VP8L", b"VP8X", b"ALPH", b"ICCP"}
SAYS_MORE: Final = 0x08 | 0x04  # flags for Exif and XMP
MOVES: Final = 0x02


def sort_of(content: bytes) -> Sort:
    """Return what kind of picture this is, or refuse it."""
    if content.startswith(b"\xff\xd8\xff"):
        return "jpg"
    if content.startswith(SIGNATURE):
        return "png"
    if content.startswith(b"RIFF") and content[8:12] == b"WEBP":
        return "webp"
    raise ArbusculaError(Said("photo.unknown_sort", {}))


def stripped(content: bytes) -> bytes:
    """Return the picture alone; stripped again it stays as it is."""
    sort = sort_of(content)
    try:
        made = {"jpg": _jpeg, "png": _png, "webp": _webp}[sort](content)
    except (IndexError, ValueError):
        raise ArbusculaError(Said("photo.not_read", {"sort": sort})) from None
    return made


# JPEG


def _jpeg(content: bytes) -> bytes:
    parts = [*_segments(content)]
    turned = next((turn for mark, part in parts if (turn := _turn(mark, part))), None)
    kept = [part for mark, part in parts if _draws(mark, part)]
    upright = turned in (None, UPRIGHT)
    return BEGIN + (b"" if upright else _exif(turned or UPRIGHT)) + b"".join(kept)


def _segments(content: bytes) -> Iterator[Part]:
    """Yield marker and segment, with the coded picture that follows a scan's head."""
    at = len(BEGIN)
    while (mark := content[at : at + 2]) != END:
        if len(mark) < len(END) or mark[0] != END[0]:
            raise ValueError(at)
        if mark[1] == mark[0]:  # fill
            at += 1
            continue
        end = at + 2 + _length(content, at + 2)
        if mark == SCAN:
            end = _found(content, end)
        yield mark, content[at:end]
        at = end
    yield END, END


def _length(content: bytes, at: int) -> int:
    length = int.from_bytes(content[at : at + 2])
    if length < len(END) or at + length > len(content):
        raise ValueError(at)
    return length


def _found(content: bytes, at: int) -> int:
    marker = NEXT_MARKER.search(content, at)
    if marker is None:
        raise ValueError(at)
    return marker.start()


def _draws(mark: bytes, part: bytes) -> bool:
    """Return whether a segment bears on how the picture looks."""
    if mark not in SAID_BESIDE:
        return True
    return mark in DRAWS and part[4:].startswith(DRAWS[mark])


def _turn(mark: bytes, part: bytes) -> int | None:
    """Return how an Exif segment says that the camera was held, if it does."""
    if mark != EXIF or part[4:10] != b"Exif\0\0":
        return None
    tiff = part[10:]
    order: Literal["little", "big"] = "little" if tiff[:2] == b"II" else "big"
    at = int.from_bytes(tiff[4:8], order)
    for n in range(int.from_bytes(tiff[at : at + 2], order)):
        entry = tiff[at + 2 + 12 * n : at + 14 + 12 * n]
        if int.from_bytes(entry[:2], order) == TURNED:
            turn = int.from_bytes(entry[8:10], order)
            return turn if turn in TURNS else None
    return None


def _exif(turn: int) -> bytes:
    """Return an Exif segment that says how the camera was held and nothing else."""
    entry = TURNED.to_bytes(2) + (3).to_bytes(2) + (1).to_bytes(4) + turn.to_bytes(2)
    tiff = b"MM\0*" + (8).to_bytes(4) + (1).to_bytes(2) + entry + bytes(2) + bytes(4)
    said = b"Exif\0\0" + tiff
    return EXIF + (2 + len(said)).to_bytes(2) + said


# PNG and WebP


def _png(content: bytes) -> bytes:
    parts = [*_chunks(content)]
    return SIGNATURE + b"".join(part for name, part in parts if name in CHUNKS)


def _chunks(content: bytes) -> Iterator[Part]:
    """Yield name and chunk, up to the end of the picture."""
    at, name = len(SIGNATURE), b""
    while name != b"IEND":
        end = at + 12 + int.from_bytes(content[at : at + 4])
        name = content[at + 4 : at + 8]
        if end > len(content):
            raise ValueError(at)
        yield name, content[at:end]
        at = end


def _webp(content: bytes) -> bytes:
    kept = b"".join(_still(name, part) for name, part in _riff(content) if name in RIFF)
    return b"RIFF" + (4 + len(kept)).to_bytes(4, "little") + b"WEBP" + kept


def _riff(content: bytes) -> Iterator[Part]:
    at, end = 12, 8 + int.from_bytes(content[4:8], "little")
    while at < end:
        size = int.from_bytes(content[at + 4 : at + 8], "little")
        after = at + 8 + size + size % 2
        if after > len(content):
            raise ValueError(at)
        yield content[at : at + 4], content[at:after]
        at = after


def _still(name: bytes, part: bytes) -> bytes:
    """Return a chunk that promises no Exif; one that promises motion is refused."""
    if name != b"VP8X":
        return part
    if part[8] & MOVES:
        raise ValueError(name)
    return part[:8] + bytes([part[8] & ~SAYS_MORE]) + part[9:]

"""Text: a file of the grower becomes words, or bytes, or one clear fault."""

import stat
from pathlib import Path
from typing import Final

from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.strict.near import near_names
from arbuscula.strict.quote import plain

MOST_BYTES: Final = 64_000_000  # a year of one-minute rows is half of it


def text_of_file(path: Path, *, most_bytes: int = MOST_BYTES) -> str:
    """Return the text of a file; refuse by size before a byte is read."""
    return text_of_bytes(bytes_of_file(path, most_bytes=most_bytes), name=str(path))


def bytes_of_file(path: Path, *, most_bytes: int = MOST_BYTES) -> bytes:
    """Return what is in a file; refuse by size before a byte is read."""
    try:
        found = path.stat()
        if not stat.S_ISREG(found.st_mode):
            raise ArbusculaError(_fault("file.not_a_file", path))
        if found.st_size > most_bytes:
            raise ArbusculaError(_too_large(path, found.st_size, most_bytes))
        return path.read_bytes()
    except FileNotFoundError:
        raise ArbusculaError(_missing(path)) from None
    except (OSError, ValueError) as error:  # a name may hold what no disk can
        reason = getattr(error, "strerror", None) or str(error)
        fault = _fault("file.unreadable", path, found=reason.lower())
        raise ArbusculaError(fault) from None


def text_of_bytes(sent: bytes, *, name: str) -> str:
    """Return the text that some bytes are, or one clear fault."""
    try:
        return sent.decode("utf-8-sig")
    except UnicodeDecodeError:
        raise ArbusculaError(Said("file.not_text", {"file": name})) from None


def _fault(message_id: str, path: Path, **figures: Figure) -> Said:
    return Said(message_id, {"file": str(path), **figures})


def _too_large(path: Path, found_bytes: int, most_bytes: int) -> Said:
    found_mb, allowed_mb = (f"{b / 1e6:,.0f}" for b in (found_bytes, most_bytes))
    figures: dict[str, Figure] = {"found_mb": found_mb, "allowed_mb": allowed_mb}
    return _fault("file.too_large", path, **figures)


def _missing(path: Path) -> Said:
    """Return the fault of a file that is not there, with the names near it."""
    near = ", ".join(map(plain, near_names(path.name, _beside(path))))
    if near:
        return _fault("file.missing_near", path, near=near)
    return _fault("file.missing", path)


def _beside(path: Path) -> list[str]:
    try:
        return sorted(other.name for other in path.parent.iterdir())
    except OSError:
        return []

"""Fresh: a file that is there whole or not at all, whatever happens meanwhile."""

import os
from collections.abc import Iterator
from contextlib import contextmanager
from pathlib import Path
from tempfile import TemporaryDirectory, mkstemp

from arbuscula.kinds.said import NotDoneError, Said


@contextmanager
def fresh(path: Path) -> Iterator[Path]:
    """Lend a new file beside this one; it takes its place once it is on the disk.

    Nobody but its owner may read it.
    """
    with explained(path):
        handle, name = mkstemp(suffix=".new", prefix=f".{path.name}-", dir=path.parent)
        os.close(handle)
        new = Path(name)
        try:
            yield new
            to_disk(new)
            os.replace(new, path)  # noqa: PTH105 - one step, also where it exists
        finally:
            new.unlink(missing_ok=True)
        folder_to_disk(path.parent)


@contextmanager
def scratch(beside: Path) -> Iterator[Path]:
    """Lend a folder beside a file, on the same disk, and clear it away."""
    with (
        explained(beside),
        TemporaryDirectory(
            prefix=f".{beside.name}-", suffix=".new", dir=beside.parent
        ) as name,
    ):
        yield Path(name)


@contextmanager
def explained(path: Path) -> Iterator[None]:
    """Say why a file or a folder could not be written."""
    try:
        yield
    except OSError as error:
        found = (error.strerror or str(error)).lower()
        figures = {"file": str(error.filename or path), "found": found}
        raise NotDoneError(Said("file.not_written", figures)) from error


def to_disk(path: Path) -> None:
    """Wait until a file is on the disk."""
    with path.open("rb+") as file:
        os.fsync(file.fileno())


def tree_to_disk(folder: Path) -> None:
    """Wait until a folder and all below it are on the disk."""
    for path in (*folder.rglob("*"), folder):
        if path.is_file():
            to_disk(path)
        else:
            folder_to_disk(path)


def folder_to_disk(path: Path) -> None:
    """Wait until a folder's names are on the disk, where a system knows how."""
    if os.name == "posix":
        handle = os.open(path, os.O_RDONLY)
        try:
            os.fsync(handle)
        finally:
            os.close(handle)

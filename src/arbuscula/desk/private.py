"""Private: settings beside the book that nobody else of this machine may read."""

import os
import stat
from collections.abc import Mapping
from pathlib import Path
from typing import Final, TypeVar

from arbuscula.desk.fresh import explained, fresh
from arbuscula.kinds.said import ArbusculaError, Said
from arbuscula.strict.kinds import kind_from_toml
from arbuscula.strict.text import text_of_file
from arbuscula.strict.written import Plain, toml_text

Kind = TypeVar("Kind")
OTHERS: Final = 0o077  # may they read, write or run it
MOST_BYTES: Final = 1_000_000


def private_settings(path: Path, kind: type[Kind]) -> Kind | None:
    """Read a file of settings strictly; None where there is none.

    Errors: one that others may read, and all faults of what stands in it.
    """
    if not path.exists():
        return None
    mode = path.stat().st_mode
    if os.name == "posix" and stat.S_IMODE(mode) & OTHERS:
        raise ArbusculaError(Said("settings.open", {"file": str(path)}))
    text = text_of_file(path, most_bytes=MOST_BYTES)
    return kind_from_toml(text, kind, name=path.name)


def keep_private(path: Path, table: Mapping[str, Plain]) -> None:
    """Write a file of settings anew, whole or not at all."""
    with explained(path):
        path.parent.mkdir(mode=0o700, parents=True, exist_ok=True)
    with fresh(path) as new:
        new.write_text(toml_text(table), encoding="utf-8")

"""Kept: compiled code, kept in a folder that all its sources name.

The compiler's own cache looks at the one file that a function begins in, and
goes on returning old numbers when another one changes.
"""

from collections.abc import Callable, Mapping
from functools import cache
from hashlib import sha256
from importlib.metadata import version
from pathlib import Path
from typing import TYPE_CHECKING, Any, Final, cast

import numba

from arbuscula.kernel import twins
from arbuscula.kernel.lanes import carry_blocks
from arbuscula.kernel.text import (
    Read,
    Width,
    compiled,
    constants,
    read,
    sources,
    widened,
)
from arbuscula.science.water import balance

if TYPE_CHECKING:
    from types import FunctionType

ENTRY: Final = cast("FunctionType", carry_blocks)
TWINS: Final = {
    cast("FunctionType", balance.lost_frac): cast("FunctionType", twins.lost_frac)
}
MADE_WITH: Final = ("numba", "llvmlite", "numpy")


@cache
def compiled_in(folder: Path, width: Width) -> Callable[..., None]:
    """Return the kernel so wide; what is compiled once is found again."""
    place = folder / key_of(rests_on(width))
    known: Read = {}
    for plain, twin in TWINS.items():
        known[plain] = read(twin, width, known)
    settings: Any = numba.config
    usual = settings.CACHE_DIR
    settings.CACHE_DIR = str(place)
    try:
        return compiled(widened(ENTRY, width, known), kept=True)
    finally:
        settings.CACHE_DIR = usual


def rests_on(width: Width) -> dict[str, bytes]:
    """Return all that compiled code rests on, by name."""
    files = {str(path): path.read_bytes() for path in kernel_sources()}
    told = {
        "width": width,
        "constants": "\n".join(constants(ENTRY, TWINS)),
        **{name: version(name) for name in MADE_WITH},
    }
    return files | {name: said.encode() for name, said in told.items()}


def kernel_sources() -> set[Path]:
    """Return every file that the kernel is read from, or made by."""
    return {*Path(__file__).parent.glob("*.py"), *sources(ENTRY, TWINS)}


def key_of(parts: Mapping[str, bytes]) -> str:
    """Return a short name that changes with any of these."""
    digest = sha256()
    for name in sorted(parts):
        digest.update(f"{name}\0{len(parts[name])}\0".encode() + parts[name])
    return digest.hexdigest()[:24]

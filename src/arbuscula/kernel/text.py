"""Text: functions of the reference as a compiler reads them.

One text, two readers. A function is taken as it stands, with all that it calls:
constants become as wide as the lanes, the dataclasses that it makes become
tuples, and a twin stands in for what does not become vectors by itself.
"""

from collections import namedtuple
from collections.abc import Callable, Iterator, Mapping
from dataclasses import fields, is_dataclass
from functools import cache
from inspect import getfile
from pathlib import Path
from types import FunctionType
from typing import Any, Final, Literal, TypeAlias

import numba
import numpy as np

Width: TypeAlias = Literal["float32", "float64"]
Read: TypeAlias = dict[Callable[..., Any], Callable[..., Any]]

# Sums may be taken in another order, and nothing is a gap: gaps are seen before.
MAY: Final = frozenset({"nnan", "ninf", "nsz", "arcp", "contract", "reassoc"})


def compiled(
    text: FunctionType, *, within: bool = False, kept: bool = False
) -> Callable[..., Any]:
    """Return a text compiled: to be written out within its callers, or kept on disk."""
    to_machine = numba.njit(
        cache=kept,
        error_model="numpy",
        fastmath=set(MAY),
        forceinline=within,
        nogil=True,
    )
    return to_machine(text)


def read(function: FunctionType, width: Width, known: Read) -> Callable[..., Any]:
    """Return a function of the reference, compiled, and all that it calls."""
    if function not in known:
        known[function] = compiled(widened(function, width, known), within=True)
    return known[function]


def widened(function: FunctionType, width: Width, known: Read) -> FunctionType:
    """Return a function whose numbers, tuples and callees are a compiler's."""
    code = function.__code__
    ours = {n: _made(p, width, known) for n, p in _named(function).items()}
    text = code.replace(
        co_consts=tuple(_made(part, width, known) for part in code.co_consts),
        co_argcount=code.co_argcount + code.co_kwonlyargcount,
        co_kwonlyargcount=0,  # the compiler binds every argument by name
    )
    return FunctionType(text, function.__globals__ | ours, function.__name__)


def sources(function: FunctionType, twins: Mapping[Any, FunctionType]) -> set[Path]:
    """Return every file that a compiled function was read from."""
    return {Path(getfile(part)) for part in _reached(function, twins)}


def constants(function: FunctionType, twins: Mapping[Any, FunctionType]) -> list[str]:
    """Return every constant that is read by name, wherever it was written."""
    functions = [p for p in _reached(function, twins) if isinstance(p, FunctionType)]
    return sorted(
        f"{part.__module__} {name} {value!r}"
        for part in functions
        for name, value in _named(part).items()
        if isinstance(value, int | float)
    )


def _reached(part: Any, twins: Mapping[Any, FunctionType]) -> Iterator[Any]:  # noqa: ANN401 - a function or a class
    yield part
    if isinstance(part, FunctionType):
        if part in twins:
            yield from _reached(twins[part], {})
        for called in _named(part).values():
            if isinstance(called, FunctionType) or is_dataclass(called):
                yield from _reached(called, twins)


def _named(function: FunctionType) -> dict[str, Any]:
    """Return what a function names of its module."""
    world = function.__globals__
    return {n: world[n] for n in function.__code__.co_names if n in world}


def _made(part: Any, width: Width, known: Read) -> Any:  # noqa: ANN401 - whatever a text names
    """Return a part of a text as the compiler is to have it."""
    if isinstance(part, float):
        return np.dtype(width).type(part)
    if isinstance(part, tuple):
        return tuple(_made(each, width, known) for each in part)
    if isinstance(part, type) and is_dataclass(part):
        return _tuple_of(part)
    if isinstance(part, FunctionType):
        return read(part, width, known)
    return part


@cache
def _tuple_of(noun: type) -> type:
    """Return a tuple with a dataclass's names."""
    return namedtuple(noun.__name__, [f.name for f in fields(noun)])  # noqa: PYI024 - its fields are known at run time

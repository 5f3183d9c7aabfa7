"""Faults: several readings, and what is wrong with any of them, told at once."""

from collections.abc import Callable
from typing import TypeVar

from arbuscula.kinds.said import ArbusculaError, Said

Kind = TypeVar("Kind")


def gathered(read: Callable[[], Kind], faults: list[Said]) -> Kind | None:
    """Return what is read, or nothing, and then keep its faults for later."""
    try:
        return read()
    except ArbusculaError as error:
        faults += error.faults
        return None

"""Patience: what is given up in time, even while a name is looked up."""

from collections.abc import Callable
from queue import Empty, SimpleQueue
from threading import Thread
from typing import TypeVar

from arbuscula.kinds.said import ArbusculaError, Said

Done = TypeVar("Done")


def in_time(do: Callable[[], Done], longest_s: float, *, late: Said) -> Done:
    """Return what is done within so many seconds; else it is left to itself."""
    done: SimpleQueue[tuple[Done, ...]] = SimpleQueue()
    failed: list[Exception] = []

    def work() -> None:
        try:
            done.put((do(),))
        except Exception as error:  # noqa: BLE001 - it is raised where one waits
            failed.append(error)
            done.put(())

    Thread(target=work, daemon=True).start()
    try:
        outcome = done.get(timeout=longest_s)
    except Empty:
        raise ArbusculaError(late) from None
    if failed:
        raise failed[0]
    return outcome[0]

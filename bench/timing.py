"""Timing: what everything here is measured with."""

from collections.abc import Callable
from time import perf_counter


def best_s(work: Callable[[], object], times: int = 3, *, rounds_n: int = 1) -> float:
    """Return what a work takes in the best of several runs of so many rounds."""
    took = []
    for _ in range(times):
        begun = perf_counter()
        for _ in range(rounds_n):
            work()
        took.append((perf_counter() - begun) / rounds_n)
    return min(took)

"""Twins: what becomes vectors where the reference calls a library."""

from typing import Final

MOST: Final = 40.0  # lifetimes: later nothing is left that a number could hold
PART: Final = 1.0 / 256.0  # of the time: eight doublings


def lost_frac(lifetimes_ratio: float) -> float:
    """Return what is gone after so many lifetimes of an even decay.

    A series for a small part of the time, then eight doublings: in as much time
    again, what is gone grows by what is gone of that which was left. Its terms
    are paired, and both numbers carried along, so that lanes wait for no one.
    """
    x = min(lifetimes_ratio, MOST) * PART
    xx = x * x
    even = 1.0 + xx * (1.0 / 6.0 + xx * (1.0 / 120.0 + xx / 5040.0))
    odd = 1.0 / 2.0 + xx * (1.0 / 24.0 + xx * (1.0 / 720.0 + xx / 40320.0))
    gone = x * (even - x * odd)
    left = 1.0 - gone
    gone, left = gone + gone * left, left * left
    gone, left = gone + gone * left, left * left
    gone, left = gone + gone * left, left * left
    gone, left = gone + gone * left, left * left
    gone, left = gone + gone * left, left * left
    gone, left = gone + gone * left, left * left
    gone, left = gone + gone * left, left * left
    return gone + gone * left

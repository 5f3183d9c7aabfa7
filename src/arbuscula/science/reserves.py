"""Reserves: what a tree has stored and spent, as a simple account."""

import numpy as np

from arbuscula.kinds.world import Curve


def reserves_frac(draws_frac: Curve, growth_y: Curve, *, refill_y: float) -> float:
    """Return what is left after some draws, each with the growth until the next.

    The account starts full, is never above full nor below nil, and fills in
    proportion to growth.

    Shape: both of one length, in the order in which they happened.
    Errors: none raised.
    Holds for: draws and growth that are not below nil.
    Source: arbuscula; a bookkeeping that may forbid, never permit.
    """
    left = 1.0
    for draw, growth in zip(draws_frac, growth_y, strict=True):
        left = max(left - float(draw), 0.0)
        left = min(left + float(growth) / refill_y, 1.0)
    return float(np.clip(left, 0.0, 1.0))

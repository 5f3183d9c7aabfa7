"""Forecast: the members carried on, and the moments they pass a line."""

from dataclasses import fields

import numpy as np

from arbuscula.kinds.library import Unknowns
from arbuscula.kinds.values import Num
from arbuscula.kinds.water import Ball
from arbuscula.kinds.weather import Row
from arbuscula.science.water.balance import usable_frac
from arbuscula.state.ensemble import MEMBERS_N, normals
from arbuscula.state.water import Course, Grid
from arbuscula.units import DAY_S


def day_ratio(bounds_s: Row, unknown: Unknowns, key: str) -> Grid:
    """Return how far each member's demand is off on each day, step by step.

    Two parts, the bench's and the tree's own, drawn anew each day; days are
    counted from the first bound.
    """
    day = ((bounds_s[:-1] - bounds_s[0]) // DAY_S).astype(int)
    off_ln = np.stack(
        [
            unknown.day_bench_ln.value * normals("bench", f"day {n}")
            + unknown.day_tree_ln.value * normals(key, f"day {n}")
            for n in range(int(day.max(initial=-1)) + 1)
        ]
        or [np.zeros(MEMBERS_N)],
        axis=-1,
    )
    return np.exp(off_ln)[:, day]


def first_below_s(course: Course, ball: Ball, bounds_s: Row, line_frac: Num) -> Row:
    """Return when each member first has no more than this share left.

    Within a step the fall is taken as even. Already below: the first bound;
    never: infinity.
    """
    left = np.asarray(usable_frac(course.water_ml, _column(ball)))
    below = np.asarray(left <= line_frac)
    place = np.argmax(below, axis=-1)
    members = np.arange(left.shape[0])
    before = np.maximum(place - 1, 0)
    fall = left[members, before] - left[members, place]
    over = left[members, before] - line_frac
    share = np.where(fall > 0, over / np.where(fall > 0, fall, 1), 0.0)
    crossed_s = bounds_s[before] + share * (bounds_s[place] - bounds_s[before])
    at_s = np.where(place == 0, bounds_s[0], crossed_s)
    return np.where(below.any(axis=-1), at_s, np.inf)


def _column(ball: Ball) -> Ball:
    """Return the ball with its members down a column, to meet time across."""

    def column(part: Num) -> Num:
        return part[:, np.newaxis] if isinstance(part, np.ndarray) else part

    return Ball(**{f.name: column(getattr(ball, f.name)) for f in fields(ball)})

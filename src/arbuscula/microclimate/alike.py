"""Alike: benches that meet the weather in one way, to be worked out once."""

from collections.abc import Iterable, Mapping
from dataclasses import replace

from arbuscula.kinds.place import Bench


def as_met(benches: Mapping[str, Bench], keys: Iterable[str]) -> dict[str, Bench]:
    """Return benches without name, room and place in the walk: alike ones are equal."""
    return {
        key: replace(
            benches[key], name="", order_n=None, capacity_n=None, length_m=None
        )
        for key in keys
    }

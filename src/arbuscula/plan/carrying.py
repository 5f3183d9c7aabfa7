"""Carrying: who goes where while there is room, in how many trips, by when."""

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from datetime import datetime, timedelta

from arbuscula.kinds.moving import Carried, CarryFigures, Load, Room


@dataclass(slots=True)
class _Left:
    """What is left of a place, as it fills."""

    pots_n: int | None
    wide_cm: float | None

    def takes(self, width_cm: float) -> bool:
        """Return whether one more fits."""
        too_many = self.pots_n is not None and self.pots_n < 1
        return not too_many and (self.wide_cm is None or self.wide_cm >= width_cm)

    def took(self, width_cm: float) -> None:
        """Count one more."""
        self.pots_n = None if self.pots_n is None else self.pots_n - 1
        self.wide_cm = None if self.wide_cm is None else self.wide_cm - width_cm


def allotted(loads: Sequence[Load], rooms: Sequence[Room]) -> dict[str, str | None]:
    """Return the place of each, the first served first; None: no room is left.

    Those who find no place of their own take what is left once all have looked.
    """
    left = {r.key: _Left(r.left_n, r.left_cm) for r in rooms}
    places: dict[str, str | None] = dict.fromkeys(load.key for load in loads)
    for load in loads:
        places[load.key] = _taken(load, load.may_go, left)
    for load in loads:
        if places[load.key] is None:
            places[load.key] = _taken(load, load.if_need_be, left)
    return places


def _taken(load: Load, may_go: Sequence[str], left: Mapping[str, _Left]) -> str | None:
    """Return the first place with room for one more, and count it there."""
    open_to = (k for k in may_go if k in left and left[k].takes(load.width_cm))
    place = next(open_to, None)
    if place is not None:
        left[place].took(load.width_cm)
    return place


def in_trips(
    loads: Sequence[Load], places: Mapping[str, str | None], figures: CarryFigures
) -> tuple[Carried, ...]:
    """Return each with its trip; a trip goes to one place and is as heavy as can be.

    Trips go in the order of their first tree.
    """
    most_kg, most_n = figures.load_kg.value, figures.hold_n.value
    filling: dict[str, tuple[int, int, float]] = {}  # place: trip, pots, mass
    last_n, carried = 0, []
    for load in loads:
        place = places[load.key]
        if place is None:
            carried.append(Carried(key=load.key, to=None, trip_n=None))
            continue
        trip_n, pots_n, mass_kg = filling.get(place, (0, 0, 0.0))
        if not trip_n or pots_n + 1 > most_n or mass_kg + load.mass_kg > most_kg:
            last_n += 1
            trip_n, pots_n, mass_kg = last_n, 0, 0.0
        filling[place] = (trip_n, pots_n + 1, mass_kg + load.mass_kg)
        carried.append(Carried(key=load.key, to=place, trip_n=trip_n))
    return tuple(carried)


def start_by(
    dark: datetime, *, trips_n: int, before_n: int, figures: CarryFigures
) -> datetime:
    """Return when a trip must start so that the last one is done before dark."""
    still_n = trips_n - before_n
    return dark - timedelta(minutes=figures.trip_min.value * still_n)

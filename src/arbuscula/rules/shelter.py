"""Rules about shelter: where a tree may be carried on a cold night.

A hardy tree goes to the cold frame, never to the warm house; one that fears the
cold to the brightest place that keeps its floor.
"""

from collections.abc import Iterator, Sequence
from typing import Final

from arbuscula.kinds.moving import CarryFigures, Refuge
from arbuscula.kinds.place import Exposure, Floor
from arbuscula.kinds.round import NightView
from arbuscula.kinds.said import Said

HARDY: Final = (Exposure.COLD_FRAME, Exposure.SHELTER_FLOOR, Exposure.GLASSHOUSE)
TENDER: Final = (  # the brightest first
    Exposure.GLASSHOUSE,
    Exposure.LAMP,
    Exposure.WINDOW,
    Exposure.SHELTER_FLOOR,
    Exposure.ROOM,
    Exposure.COLD_FRAME,
)


def may_go(
    night: NightView, refuges: Sequence[Refuge], figures: CarryFigures
) -> tuple[str, ...]:
    """Return the places where a tree may spend the night, the best first."""
    if is_hardy(night, figures):
        return _keys(_for_hardy(night, refuges, figures))
    keep = [r for r in refuges if r.low_c.p10 >= night.warn_below_c]
    return _keys(sorted(keep, key=lambda refuge: TENDER.index(refuge.exposure)))


def if_need_be(
    night: NightView, refuges: Sequence[Refuge], figures: CarryFigures
) -> tuple[str, ...]:
    """Return places under a tree's floor that are warmer than outside, best first."""
    if is_hardy(night, figures):
        return ()
    help_ = [
        refuge
        for refuge in refuges
        if night.low_c.p10 < refuge.low_c.p10 < night.warn_below_c
    ]
    return _keys(sorted(help_, key=lambda refuge: -refuge.low_c.p10))


def _keys(refuges: Sequence[Refuge]) -> tuple[str, ...]:
    return tuple(refuge.key for refuge in refuges)


def is_hardy(night: NightView, figures: CarryFigures) -> bool:
    """Return whether a tree wants its cold: its floor is at frost or under."""
    return night.warn_below_c <= figures.hardy_below_c.value


def _for_hardy(
    night: NightView, refuges: Sequence[Refuge], figures: CarryFigures
) -> list[Refuge]:
    cool = [
        refuge
        for refuge in refuges
        if refuge.exposure in HARDY
        and refuge.low_c.p50 <= figures.hardy_not_above_c.value
        and refuge.low_c.p10 >= night.warn_below_c
    ]
    return sorted(cool, key=lambda refuge: HARDY.index(refuge.exposure))


def short_of(night: NightView, refuge: Refuge) -> Said | None:
    """Say that a shelter itself falls under a tree's floor, or keep silent."""
    if refuge.low_c.p10 >= night.warn_below_c:
        return None
    figures = {"low_c": refuge.low_c.p10, "below_c": night.warn_below_c}
    return Said("shelter.falls_short", figures)


def if_it_stays(floor: Floor | None) -> Iterator[Said]:
    """Yield what to do with a tree for which there is no room."""
    if floor != "battens":
        yield Said("stays.battens", {})
    yield Said("stays.fleece", {})
    yield Said("stays.off_glass", {})

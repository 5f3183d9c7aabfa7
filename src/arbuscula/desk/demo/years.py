"""Years: what happened at Stone Stair, day by day, as its grower wrote it down.

All of it is made up: by a calendar of the trade, by weather that was made up as
well, and by chance with a seed. Nobody looks every day, some looks go wrong, and
in the first year only Saturdays were written down.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date, timedelta
from typing import Final

import numpy as np

from arbuscula.desk.demo.made_weather import Days
from arbuscula.desk.demo.nursery import (
    BENCHES,
    BUYERS,
    HOUSE,
    PLANTS,
    RICH,
    SHELF,
    TERRACE,
    TUNNEL,
    WINDOW,
    Began,
)
from arbuscula.desk.record import RecordWish

YEARS_D: Final = 730
FIRST_D: Final = 2  # of setting up
WRITTEN_D: Final = 95  # at the end, when everything was written down
AWAY_D: Final = range(40, 45)  # before the end: nobody wrote
SATURDAY: Final = 5
DUE_MM: Final = 6.0  # of light, when a bench is watered
CAUGHT_MM: Final = 8.0  # of rain: the round with the can is left out
DIM_MM, LAMP_MM = 0.5, 1.0  # a day, whatever the sky is like
OUT, IN = (5, 16), (9, 28)  # of the figs: practice, no source
LEFT_OUT: Final = ("F-5", "R-1")  # carried out again in spring and forgotten
LIGHT_FRAC, HALF_FRAC = 0.62, 0.3  # of what a pot gives, lifted
LAPSE_FRAC: Final = 0.05  # of the looks
WEIGHED: Final = {"F-2": 3150, "E-1": 2480, "Be-1": 2960}  # drained, in grams


@dataclass(frozen=True, slots=True, kw_only=True)
class Stay:
    """How a bench feels a day of light and rain."""

    light_frac: float
    least_mm: float
    rained_on: bool = False


FELT: Final = {
    TERRACE: Stay(light_frac=1.0, least_mm=0.2, rained_on=True),
    TUNNEL: Stay(light_frac=0.75, least_mm=0.2, rained_on=True),
    HOUSE: Stay(light_frac=0.65, least_mm=0.3),
    WINDOW: Stay(light_frac=0.25, least_mm=DIM_MM),
    SHELF: Stay(light_frac=0.0, least_mm=LAMP_MM),
}


def told(begins: date, ends: date, days: Days) -> list[RecordWish]:
    """Return everything that was written down between two days, in order."""
    rng = np.random.default_rng([begins.toordinal(), len(PLANTS)])
    wishes = [*_calendar(begins, ends), *_rounds(begins, ends, days, rng)]
    return sorted(_together(wishes), key=lambda wish: wish.at or "")


def _together(wishes: list[RecordWish]) -> Iterator[RecordWish]:
    """Yield what was said of several at one time as one line of the book's owner."""
    whom: dict[tuple[str | None, tuple[str, ...]], list[str]] = {}
    for wish in wishes:
        whom.setdefault((wish.at, wish.words), []).append(wish.subject)
    for (at, words), names in whom.items():
        yield RecordWish(subject=",".join(names), words=words, at=at)


# The calendar of the trade


def _calendar(begins: date, ends: date) -> Iterator[RecordWish]:
    """Yield the work of each season that lies between two days."""
    for year in range(begins.year, ends.year + 1):
        for wish in _of_year(year, first=year == begins.year):
            if wish.at and f"{begins:%Y-%m-%d}" < wish.at[:10] < f"{ends:%Y-%m-%d}":
                yield wish
    yield from _of_this_book(begins)


def _of_year(year: int, *, first: bool) -> Iterator[RecordWish]:
    odd = year % 2
    hardy = [p for p in PLANTS if p.bench in (TERRACE, TUNNEL) and p.form is None]
    for n, plant in enumerate(p for p in hardy if len(p.label) % 2 == odd):
        day = f"{year}-03-{3 + n:02d}"
        mix = f"mix={plant.mix}"
        yield _at(day, "10:00", plant.label, "roots inspected", "covered_frac=0.85")
        yield _at(day, "10:40", plant.label, "repotted", mix, "removed_frac=0.25")
    for plant in hardy:
        yield _at(f"{year}-04-02", "09:00", plant.label, "buds swelling")
    yield from _moves(year)
    for n, label in enumerate(("F-1", "F-3", "S-1")):
        day = f"{year}-06-{4 + n:02d}"
        yield _at(day, "09:30", label, "repotted", "removed_frac=0.25", "tied=yes")
    for label in ("F-2", "F-4", "J-1"):
        yield from _wire(year, label)
    for bench, months in ((TUNNEL, range(4, 9)), (HOUSE, range(5, 9))):
        for month in months:
            words = ("fed", "foliage-24-8-16", "strength_frac=0.5")
            yield _at(f"{year}-{month:02d}-11", "18:30", bench, *words)
    yield _at(f"{year}-06-24", "17:00", "F-6", "flush hardened")
    yield _at(f"{year}-06-25", "17:00", "F-6", "defoliated", "removed_frac=0.9")
    yield _at(f"{year}-07-02", "17:30", "M-2", "pruned", "trim", "removed_frac=0.2")
    yield from _pests(year)
    for plant in hardy[::4]:
        yield _at(
            f"{year}-10-20", "11:00", plant.label, "trunk", f"{30 + 2 * year % 9}"
        )
    yield _at(f"{year}-11-04", "12:00", "Z-2", "leaves dropping", "many=no")
    if not first:
        yield _at(f"{year}-02-20", "15:00", "F-4", "priced", "240 EUR")


def _moves(year: int) -> Iterator[RecordWish]:
    """Yield the figs' way out to the nets and home, and what was left out."""
    outside = [p.label for p in PLANTS if p.summers_out]
    for label in outside:
        yield _at(_day(year, OUT), "16:00", label, "set down", TUNNEL)
        yield _at(_day(year, IN), "16:00", label, "set down", HOUSE)
    for label in LEFT_OUT:
        yield _at(f"{year}-10-03", "11:00", label, "set down", TERRACE)
        yield _at(f"{year}-10-03", "11:30", label, "noted", "out for photographs")


def _wire(year: int, label: str) -> Iterator[RecordWish]:
    metal = ("copper", "2") if label == "J-1" else ("aluminium", "2.5")
    wire = (f"metal={metal[0]}", f"gauge_mm={metal[1]}")
    until = f"check_by={year}-06-19"
    yield _at(f"{year}-06-12", "14:00", label, "wired", *wire, until)
    for day, bite in (("06-19", 0), ("06-26", 0), ("07-03", 1)):
        yield _at(f"{year}-{day}", "08:50", label, "wire checked", f"bite_n={bite}")
    yield _at(f"{year}-07-05", "15:00", label, "unwired", "bite_n=1")


def _pests(year: int) -> Iterator[RecordWish]:
    yield _at(
        f"{year}-08-08", "09:10", "J-2", "pest seen", "two-spotted-mite", "where=inside"
    )
    yield _at(f"{year}-08-08", "09:20", "J-2", "into quarantine", "mites")
    yield _at(
        f"{year}-08-09",
        "20:00",
        "J-2",
        "treated",
        "two-spotted-mite",
        "product=water jet",
        "reentry_h=0",
    )
    yield _at(f"{year}-09-06", "09:00", "J-2", "out of quarantine")
    yield _at(f"{year}-02-11", "11:00", "Be-2", "pest seen", "soft-scale", "seen_n=6")
    yield _at(
        f"{year}-02-12",
        "11:00",
        "Be-2",
        "treated",
        "soft-scale",
        "product=wiped off by hand",
    )


def _of_this_book(begins: date) -> Iterator[RecordWish]:
    """Yield what happened once, so many days after the book was opened."""

    def on(days_n: int, clock: str, subject: str, *words: str) -> RecordWish:
        return _at(f"{begins + timedelta(days=days_n)}", clock, subject, *words)

    for plant in PLANTS:
        yield on(1, "12:00", plant.label, "received", f"how={_came(plant)}")
    yield on(70, "10:00", "Car-2", "into hospital", "kept too wet in dark weeks")
    yield on(96, "10:00", "Car-2", "died", "roots rotten")
    yield on(130, "18:00", "Por-1", "kept", "drier")
    yield on(420, "08:00", "E-1", "labels exchanged", "E-2")
    yield on(470, "10:30", "Tray 1", "divided", "into=F-8,F-9,F-10", "left_n=40")
    for label in ("F-8", "F-9", "F-10"):
        pot = ("pot=round 15 cm", f"mix={RICH}")
        yield on(470, "11:30", label, "slip-potted", *pot)
    yield on(471, "10:30", "Tray 2", "failed", "what=cutting", "lost_n=22")
    yield on(600, "16:00", "M-1", "percolation timed", "poured_ml=500", "time_s=21")
    yield on(700, "09:00", "F-1", "reserved", f"buyer={BUYERS[2]}")


def _came(plant: Began) -> str:
    return "raised" if plant.form == "tray" or plant.crown == "small" else "bought"


# The rounds


def _rounds(
    begins: date, ends: date, days: Days, rng: np.random.Generator
) -> Iterator[RecordWish]:
    """Yield waterings as the light asked for them, and looks in between."""
    thirst = {plant.label: float(rng.lognormal(0.0, 0.25)) for plant in PLANTS}
    gone_mm = dict.fromkeys(BENCHES, 0.0)
    for n in range((ends - begins).days):
        day, left_d = begins + timedelta(days=n), (ends - begins).days - n
        for bench, stay in FELT.items():
            caught = stay.rained_on and days.rain_mm[n] > CAUGHT_MM
            asked_mm = stay.light_frac * days.lawn_mm[n] + stay.least_mm
            gone_mm[bench] = 0.0 if caught else gone_mm[bench] + asked_mm
        if n < FIRST_D or left_d in AWAY_D:
            continue
        if left_d <= WRITTEN_D:
            yield from _looks(day, gone_mm, thirst, rng)
            yield from _weighings(day, left_d)
        for bench in BENCHES:
            if gone_mm[bench] < DUE_MM:
                continue
            if left_d <= WRITTEN_D or day.weekday() == SATURDAY:
                yield _at(f"{day}", "18:20", bench, "watered")
            gone_mm[bench] = 0.0


def _looks(
    day: date,
    gone_mm: dict[str, float],
    thirst: dict[str, float],
    rng: np.random.Generator,
) -> Iterator[RecordWish]:
    """Yield what three trees weighed in the hand; some looks go wrong."""
    if day.weekday() in (1, 4):
        return
    for n in rng.choice(len(PLANTS), size=3, replace=False):
        plant = PLANTS[n]
        if plant.label in _gone(plant) or plant.summers_out or plant.form:
            continue
        gone_frac = gone_mm[plant.bench] / DUE_MM / 2 * thirst[plant.label]
        if rng.random() < LAPSE_FRAC:
            gone_frac = rng.random()
        found = _lifted(gone_frac)
        yield _at(f"{day}", "07:40", plant.label, "check", found)


def _gone(plant: Began) -> tuple[str, ...]:
    """Return the labels that nobody looks at any more: dead, or doubtful."""
    return ("Car-2", "E-1", "E-2") if plant.label in ("Car-2", "E-1", "E-2") else ()


def _lifted(gone_frac: float) -> str:
    if gone_frac > LIGHT_FRAC:
        return "light"
    return "half" if gone_frac > HALF_FRAC else "heavy"


def _weighings(day: date, left_d: int) -> Iterator[RecordWish]:
    """Yield a pot soaked and weighed, and weighed again on the next evening."""
    for n, (label, drained_g) in enumerate(WEIGHED.items()):
        if left_d == 20 + n:
            yield _at(f"{day}", "19:10", label, "watered")
            yield _at(
                f"{day}", "20:00", label, "weighed", f"{drained_g}", "drained=yes"
            )
        if left_d == 19 + n:
            yield _at(
                f"{day}", "18:00", label, "weighed", f"{drained_g - 110 - 15 * n}"
            )


def _day(year: int, month_day: tuple[int, int]) -> str:
    month, day = month_day
    return f"{year}-{month:02d}-{day:02d}"


def _at(day: str, clock: str, subject: str, *words: str) -> RecordWish:
    return RecordWish(subject=subject, words=tuple(words), at=f"{day} {clock}")

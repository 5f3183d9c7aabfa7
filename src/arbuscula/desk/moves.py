"""Moves: how trees are led into another light, and how it went."""

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import UTC, date, datetime, time, timedelta
from functools import cache
from itertools import pairwise
from typing import Final, Literal, TypeAlias

import numpy as np

from arbuscula.desk import Desk
from arbuscula.desk.bench_climate import spot_of
from arbuscula.desk.bench_season import season_on_bench
from arbuscula.desk.followed import Followed, Yarded, followed, yarded_at
from arbuscula.desk.names import Known, all_meant, known_from, label_of, meant
from arbuscula.desk.nights import under_sky
from arbuscula.desk.sheltering import masses_kg, room_of, stands_of, width_cm
from arbuscula.kinds.events import Event, LeavesDropping, SetDown, Sort
from arbuscula.kinds.moving import LightMove, Load, Room, Step
from arbuscula.kinds.said import ArbusculaError, Figure, Said
from arbuscula.ledger.book import all_events
from arbuscula.microclimate.shelter import IN_ROOMS, rows_on_bench
from arbuscula.plan.carrying import allotted
from arbuscula.rules.moving_in import is_into_less, shade_told, steps_in, why_in
from arbuscula.rules.moving_out import is_into_more, steps_out, why_out
from arbuscula.science.light import sun_light_mol_m2_d
from arbuscula.state.book import PLANTS
from arbuscula.units import mj_m2_d_from_w_m2
from arbuscula.weather.usual import usual_weather

Way: TypeAlias = Literal["in", "out", "straight"]
AROUND: Final = timedelta(days=15)  # whose light is that of a day
YEARS_N: Final = 10
DARKEST_RATIO: Final = 0.5  # of the light wanted, on a bench for a step
SHADED_MOST_RATIO: Final = 0.75  # of full light, for days that count as shade
WHOLE_YEAR: Final = ("01-01", "12-31")


@dataclass(frozen=True, slots=True, kw_only=True)
class Stand:
    """Who stands where, in what light, from one day to another."""

    trees: tuple[str, ...]  # labels
    bench: str
    name: str
    from_: date
    until: date | None  # None: for good
    light_mol_m2_d: float
    net_frac: float  # light that a net must take there; 0: none


@dataclass(frozen=True, slots=True, kw_only=True)
class BenchMove:
    """The answer: a move, step by step."""

    schema: Literal["arbuscula.bench_move/1"] = "arbuscula.bench_move/1"
    to: str
    way: Way
    here_mol_m2_d: float
    there_mol_m2_d: float
    stands: tuple[Stand, ...]
    no_room: tuple[str, ...]  # labels of those for whom there is none
    why: Said
    notes: tuple[Said, ...]


def move(desk: Desk, names: str, to: str, *, on: date | None = None) -> BenchMove:
    """Say how trees of one bench are led to another: who stands where on which day."""
    known = known_from(all_events(desk.ledger()))
    target = meant(known, to, Sort.BENCH).name
    keys = _trees(known, names)
    here = _bench_of_all(known, keys)
    at = desk.clock()
    now = followed(desk, yarded_at(desk, known.benches[target].yard, at), at)
    tender, wanted = _tenderest(desk, known, keys), on or at.date()
    start, left_d = _when(desk, now.yarded, here, target, wanted, tender)
    lights = {key: light_of(desk, now.yarded, key, start) for key in now.yarded.benches}
    led = LightMove(
        here_mol_m2_d=lights[here], there_mol_m2_d=lights[target], left_d=left_d
    )
    way, steps, why = _steps(desk, led)
    waits = tuple(_waits(desk, now.yarded, start, wanted, target, tender))
    if way == "straight" and waits:
        why = Said("move.same_light", {})
    placed, no_room = _with_room(desk, now, keys, target)
    stands = tuple(
        _stand(desk, now, placed, step, target, lights, start) for step in steps
    )
    return BenchMove(
        to=target,
        way=way,
        here_mol_m2_d=led.here_mol_m2_d,
        there_mol_m2_d=led.there_mol_m2_d,
        stands=stands if placed else (),
        no_room=tuple(label_of(known, key) for key in no_room),
        why=why,
        notes=(
            *waits,
            *_indoors(desk, now.yarded, keys, target),
            *_notes(desk, led, way, stands),
        ),
    )


def _trees(known: Known, names: str) -> list[str]:
    """Return the trees that are named, or all of a bench."""
    found = all_meant(known, names, Sort.BENCH, *PLANTS)
    there = known.book.benches
    keys = [k for one in found for k in there.get(one.name, (one.name,))]
    return [key for key in dict.fromkeys(keys) if key in known.book.kept]


def _bench_of_all(known: Known, keys: Sequence[str]) -> str:
    benches = {known.book.kept[key].bench or "" for key in keys}
    if len(benches) != 1 or benches - known.benches.keys():
        names = [known.benches[key].name for key in benches if key in known.benches]
        raise ArbusculaError(Said("move.one_bench", {"found": ", ".join(names) or "-"}))
    return benches.pop()


def _tenderest(desk: Desk, known: Known, keys: Sequence[str]) -> str:
    """Return the species among some trees that fears the cold most."""
    kinds = desk.library().species
    return max(
        (known.book.kept[key].species for key in keys),
        key=lambda name: kinds[name].warmth.warn_below_c.value,
    )


def _waits(
    desk: Desk, yarded: Yarded, start: date, wanted: date, target: str, tender: str
) -> Iterator[Said]:
    """Yield that they stay until nights are mild, or that they never are there."""
    floor_c = desk.library().species[tender].warmth.warn_below_c.value
    bench = yarded.benches[target]
    if start > wanted:
        told: dict[str, Figure] = {"first": start, "floor_c": floor_c}
        yield Said("move.waits", {**told, "bench": bench.name})
    elif target in under_sky(desk, yarded.benches):
        practice = season_on_bench(desk, bench.name, species=tender).outdoors.practice
        if practice.out is None:
            yield Said("move.never_mild", {"bench": bench.name, "floor_c": floor_c})


def _indoors(
    desk: Desk, yarded: Yarded, keys: Sequence[str], target: str
) -> Iterator[Said]:
    """Yield that hardy trees want their cold, and find none in a room."""
    if yarded.benches[target].exposure not in IN_ROOMS:
        return
    kinds, figures = desk.library().species, desk.library().moving.carry
    hardy = [
        yarded.nouns[key].label or key
        for key in keys
        if kinds[yarded.nouns[key].species].warmth.warn_below_c.value
        <= figures.hardy_below_c.value
    ]
    if hardy:
        yield Said("move.hardy_in_room", {"labels": ", ".join(hardy)})


def _when(
    desk: Desk, yarded: Yarded, here: str, target: str, wanted: date, tender: str
) -> tuple[date, float | None]:
    """Return when to begin, and how many days are left where they stand.

    Out of a roof only when nights are usually mild out there, for the one that
    fears the cold most; from under the sky before they are no longer.
    """
    benches, outdoors = yarded.benches, under_sky(desk, yarded.benches)
    if target in outdoors and here not in outdoors:
        season = season_on_bench(desk, benches[target].name, species=tender)
        practice = season.outdoors.practice
        opens = practice.out
        if opens and (practice.out, practice.in_) != WHOLE_YEAR:
            closes = practice.in_ or opens
            inside = _is_between(wanted, opens, closes)
            return (wanted if inside else _next(wanted, opens)), None
    if here in outdoors and target not in outdoors:
        season = season_on_bench(desk, benches[here].name, species=tender)
        practice = season.outdoors.practice
        if practice.in_ and (practice.out, practice.in_) != WHOLE_YEAR:
            inside = _is_between(wanted, practice.out or practice.in_, practice.in_)
            left_d = (_next(wanted, practice.in_) - wanted).days
            return wanted, float(left_d) if inside else 0.0
    return wanted, None


def _is_between(day: date, opens: str, closes: str) -> bool:
    """Return whether a day lies in a stretch of the round year."""
    today = f"{day:%m-%d}"
    if opens <= closes:
        return opens <= today < closes
    return today >= opens or today < closes


def _next(day: date, month_and_day: str) -> date:
    """Return the next such day, today among them."""
    this = date.fromisoformat(f"{day.year}-{month_and_day}")
    return this if this >= day else this.replace(year=day.year + 1)


def light_of(desk: Desk, yarded: Yarded, bench_key: str, day: date) -> float:
    """Return the usual light on a bench in the weeks around a day."""
    bench, spot = yarded.benches[bench_key], spot_of(desk, yarded.yard)
    middle = datetime.combine(day, time(0), tzinfo=UTC)
    first_s, last_s = (
        moment.timestamp() for moment in (middle - AROUND, middle + AROUND)
    )
    rows = usual_weather(desk.world(), spot)(first_s, last_s, None, YEARS_N)
    there = rows_on_bench(rows, bench, desk.library().shelters[bench.exposure], spot)
    mean_w_m2 = float(np.mean(there.shortwave_w_m2))
    return float(sun_light_mol_m2_d(mj_m2_d_from_w_m2(mean_w_m2)))


def _steps(desk: Desk, led: LightMove) -> tuple[Way, tuple[Step, ...], Said]:
    figures = desk.library().moving.dose
    if is_into_less(led, figures):
        return "in", steps_in(led, figures), why_in(led, figures)
    if is_into_more(led, figures):
        return "out", steps_out(led, figures), why_out(figures)
    once = Step(from_d=0, lasts_d=None, light_mol_m2_d=led.there_mol_m2_d)
    return "straight", (once,), Said("move.straight", {})


def _with_room(
    desk: Desk, now: Followed, keys: Sequence[str], bench: str
) -> tuple[list[str], list[str]]:
    """Return for whom there is room on a bench, and for whom there is none."""
    mass_kg = masses_kg(now)
    places = allotted(
        [
            Load(
                key=key,
                width_cm=width_cm(desk, key, now.yarded.nouns[key]),
                mass_kg=mass_kg[key],
                may_go=(bench,),
            )
            for key in keys
        ],
        [_room_for(desk, now, keys, bench)],
    )
    return [k for k in keys if places[k]], [k for k in keys if not places[k]]


def _room_for(desk: Desk, now: Followed, keys: Sequence[str], bench: str) -> Room:
    """Return the room on a bench; those who stand there already have theirs."""
    room = room_of(desk, now, bench)
    there = [key for key in keys if now.yarded.nouns[key].bench == bench]
    wide_cm = sum(width_cm(desk, key, now.yarded.nouns[key]) for key in there)
    return replace(
        room,
        left_n=None if room.left_n is None else room.left_n + len(there),
        left_cm=None if room.left_cm is None else room.left_cm + wide_cm,
    )


def _stand(
    desk: Desk,
    now: Followed,
    keys: Sequence[str],
    step: Step,
    target: str,
    lights: dict[str, float],
    start: date,
) -> Stand:
    """Return where all stand in one step: on a bench of that light, or under a net.

    No step is darker than both ends; and shade before a move in is shade outside.
    """
    here = now.yarded.nouns[keys[0]].bench if keys else None
    least = min(lights[here or target], lights[target])
    outdoors = under_sky(desk, now.yarded.benches)
    goes_in = (here or target) in outdoors and target not in outdoors
    fitting = [
        bench
        for bench, light in lights.items()
        if bench not in (here, target)
        and max(least, DARKEST_RATIO * step.light_mol_m2_d) <= light
        and light <= step.light_mol_m2_d * (1 + 1e-9)
        and (bench in outdoors or not goes_in)
        and not _with_room(desk, now, keys, bench)[1]
    ]
    is_last = step.lasts_d is None
    best = max(fitting, key=lambda bench: lights[bench], default=None)
    bench = target if is_last or best is None else best
    is_darker = goes_in or lights[target] < step.light_mol_m2_d
    if not is_last and best is None and is_darker:
        bench = here or target  # shaded where it stands
    net_frac = max(0.0, 1 - step.light_mol_m2_d / max(lights[bench], 1e-9))
    until = None if step.lasts_d is None else timedelta(days=step.from_d + step.lasts_d)
    return Stand(
        trees=tuple(now.yarded.nouns[key].label or key for key in keys),
        bench=bench,
        name=now.yarded.benches[bench].name,
        from_=start + timedelta(days=step.from_d),
        until=None if until is None else start + until,
        light_mol_m2_d=min(step.light_mol_m2_d, lights[bench]),
        net_frac=0.0 if is_last or bench == best else net_frac,
    )


def _notes(
    desk: Desk, led: LightMove, way: Way, stands: Sequence[Stand]
) -> Iterator[Said]:
    """Yield what to expect, and what comes before any dose."""
    figures = desk.library().moving.dose
    line = desk.library().benches.fig.dies_below_mol_m2_d.value
    if led.there_mol_m2_d < line:
        told = {"light_mol_m2_d": led.there_mol_m2_d, "line_mol_m2_d": line}
        yield Said("move.too_dark", told)
    if way == "in" and stands:
        waves_d = timedelta(days=figures.drops_d.value)
        yield Said("move.waves", {"until": stands[-1].from_ + waves_d})
        yield Said("move.before_in", {})
    if way == "out":
        yield Said("move.back_and_on", {})
    yield Said("move.cold_overrides", {})


# How it went


@dataclass(frozen=True, slots=True, kw_only=True)
class Moved:
    """One move of a tree as the book tells it, beside what was to be expected."""

    at: datetime
    from_: str
    to: str
    light_ratio: float  # there over here
    shaded_d: float  # days in between before, in less light than where it had stood
    told: tuple[Said, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class TreeMoves:
    """The answer: the moves of one tree, the last first."""

    schema: Literal["arbuscula.tree_moves/1"] = "arbuscula.tree_moves/1"
    tree: str
    label: str
    moves: tuple[Moved, ...]


def tree_moves(desk: Desk, name: str) -> TreeMoves:
    """Say how a tree was moved into other light, and whether its leaves told of it."""
    known = known_from(all_events(desk.ledger()))
    key = meant(known, name, *PLANTS).name
    here = known.benches.get(known.book.kept[key].bench or "")
    yarded = yarded_at(desk, here.yard if here else None, desk.clock())
    stood = [
        one for one in stands_of(known.events, [key])[key] if one[1] in yarded.benches
    ]
    told = [
        _moved(desk, known, yarded, key, stood[: n + 2]) for n in range(len(stood) - 1)
    ]
    return TreeMoves(tree=key, label=label_of(known, key), moves=tuple(reversed(told)))


def _moved(
    desk: Desk,
    known: Known,
    yarded: Yarded,
    key: str,
    stood: Sequence[tuple[datetime, str]],
) -> Moved:
    """Return the last of some stands as a move; a stay in shade before it counts."""
    figures, (since, to) = desk.library().moving.dose, stood[-1]
    lights = {b: light_of(desk, yarded, b, since.date()) for _, b in stood[-3:]}
    shaded_d, from_ = 0.0, stood[-2][1]
    *before, (shaded_since, shade), _ = stood
    for _, sun in before[-1:]:
        if lights[to] < lights[shade] < SHADED_MOST_RATIO * lights[sun]:
            shaded_d, from_ = (since - shaded_since) / timedelta(days=1), sun
    led = LightMove(here_mol_m2_d=lights[from_], there_mol_m2_d=lights[to])
    is_less = is_into_less(led, figures)
    return Moved(
        at=since,
        from_=yarded.benches[from_].name,
        to=yarded.benches[to].name,
        light_ratio=led.there_mol_m2_d / max(led.here_mol_m2_d, 1e-9),
        shaded_d=shaded_d if is_less else 0.0,
        told=tuple(_told(desk, known, key, since, shaded_d)) if is_less else (),
    )


def _told(
    desk: Desk, known: Known, key: str, since: datetime, shaded_d: float
) -> Iterator[Said]:
    """Yield what the shade was worth, and the leaves that fell beside the waves."""
    figures = desk.library().moving.dose
    yield shade_told(shaded_d, figures)
    until = since + timedelta(days=figures.drops_d.value)
    fell = [
        event.happened
        for event in known.book.lives.get(key, ())
        if isinstance(event.facts, LeavesDropping) and since <= event.happened <= until
    ]
    is_over, told = desk.clock() > until, {"until": until.date()}
    if fell:
        figures_: dict[str, Figure] = {"times_n": float(len(fell)), **told}
        figures_["last"] = max(fell).date()
        yield Said("moved.fell_over" if is_over else "moved.fell", figures_)
    else:
        yield Said("moved.quiet_over" if is_over else "moved.quiet", told)


def waves_ahead(desk: Desk, now: Followed, at: datetime) -> Iterator[Said]:
    """Yield, bench by bench, whose leaves are still to be expected to fall."""
    lasts = timedelta(days=desk.library().moving.dose.drops_d.value)
    found: dict[str, list[tuple[datetime, str]]] = {}
    for key, when, bench in _into_less(desk, now, at, since=at - lasts):
        label = now.yarded.nouns[key].label or key
        found.setdefault(bench, []).append((when, label))
    for bench, pairs in found.items():
        figures: dict[str, Figure] = {
            "bench": now.yarded.benches[bench].name,
            "labels": ", ".join(label for _, label in pairs),
            "until": (max(when for when, _ in pairs) + lasts).date(),
        }
        yield Said("moved.expect", figures)


def _into_less(
    desk: Desk, now: Followed, at: datetime, *, since: datetime
) -> Iterator[tuple[str, datetime, str]]:
    """Yield who was moved into less light lately and still stands there."""
    nouns, benches, lives = now.yarded.nouns, now.yarded.benches, now.yarded.book.lives
    moved = [key for key in nouns if any(_set_down(e, since) for e in lives[key])]
    light = cache(lambda bench: light_of(desk, now.yarded, bench, at.date()))
    for key, stood in stands_of(now.yarded.events, moved).items():
        for (_, before), (when, after) in pairwise(stood):
            if when < since or after != nouns[key].bench or before not in benches:
                continue
            led = LightMove(here_mol_m2_d=light(before), there_mol_m2_d=light(after))
            if is_into_less(led, desk.library().moving.dose):
                yield key, when, after


def _set_down(event: Event, since: datetime) -> bool:
    return isinstance(event.facts, SetDown) and event.happened >= since

"""Night: who comes in, where to and how, and what else threatens, line by line."""

from collections.abc import Iterator, Sequence

from arbuscula.desk.sheltering import Carrying, ComesIn
from arbuscula.desk.today import Today
from arbuscula.kinds.said import Figure, Said
from arbuscula.reports.labels import some_of
from arbuscula.reports.words import Voice, sentence


def tonight_in_words(answer: Today, voice: Voice) -> Iterator[str]:
    """Yield the lines of an evening: carry, cover, shut, open; and other dangers."""
    names = {bench.bench: bench.name for bench in answer.benches}
    work = answer.carrying
    if work is not None and work.trips_n:
        figures: dict[str, Figure] = {
            "trips_n": float(work.trips_n),
            "start": work.start_by,
            "dark": work.dark,
        }
        yield sentence(Said("carry.trips", figures), voice)
    for trip in _trips(answer.bring_in):
        yield _carried(trip, names, voice)
    if work is not None:
        yield from _work(work, answer, voice)
    for night in answer.nights[1:]:
        if night.low_c is not None and night.trees_n:
            ahead: dict[str, Figure] = {"on": night.evening, "low_c": night.low_c.p50}
            ahead["trees_n"] = float(night.trees_n)
            yield sentence(Said("today.night_ahead", ahead), voice)
    for out in answer.go_out:
        told = {"label": out.label, "bench": names.get(out.to, out.to)}
        why = sentence(out.why, voice)
        yield sentence(Said("today.goes_out", {**told, "why": why}), voice)
    for danger in answer.dangers:
        do, trees = sentence(danger.do, voice), some_of(danger.trees, voice)
        figures = {"bench": danger.name, "trees": trees, "do": do}
        yield sentence(Said("today.danger", figures), voice)


def _trips(bring_in: Sequence[ComesIn]) -> Iterator[Sequence[ComesIn]]:
    """Yield those that are carried together, and those that stay, bench by bench."""
    together: dict[tuple[int | None, str], list[ComesIn]] = {}
    for coming in bring_in:
        stays = coming.bench if coming.trip is None else ""
        together.setdefault((coming.trip, stays), []).append(coming)
    yield from together.values()


def _carried(trip: Sequence[ComesIn], names: dict[str, str], voice: Voice) -> str:
    """Return one trip, with the reason of the one that is worst off."""
    first = trip[0]
    cautions = dict.fromkeys(sentence(c, voice) for one in trip for c in one.cautions)
    figures: dict[str, Figure] = {
        "labels": some_of([one.label for one in trip], voice),
        "why": "; ".join([sentence(first.why, voice), *cautions]),
        "below_h": first.below_h.p90,
    }
    if first.to is None or first.trip is None:
        return sentence(Said("today.stays_out", figures), voice)
    to: dict[str, Figure] = {
        "bench": names.get(first.to, first.to),
        "trip": f"{first.trip}",
    }
    return sentence(Said("today.comes_in", {**figures, **to}), voice)


def _work(work: Carrying, answer: Today, voice: Voice) -> Iterator[str]:
    for place in work.places:
        figures: dict[str, Figure] = {"bench": place.name, "low_c": place.low_c.p10}
        if place.takes_n:
            figures["takes_n"] = float(place.takes_n)
            yield sentence(Said("carry.place", figures), voice)
    if any(coming.to is None for coming in answer.bring_in):
        helps = "; ".join(sentence(said, voice) for said in work.if_left)
        yield sentence(Said("carry.if_left", {"helps": helps}), voice)
    for job in work.jobs:
        at: dict[str, Figure] = {"at": job.at, "do": sentence(job.do, voice)}
        yield sentence(Said("carry.job", at), voice)
    for note in work.notes:
        yield sentence(note, voice)

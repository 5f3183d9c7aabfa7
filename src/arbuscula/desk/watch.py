"""Watch: look at what threatens a yard's trees, and ring where people are.

An alarm rings once at each place, and again only if it worsens. Whoever
acknowledged a warning hears of it again only as damage.
"""

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, replace
from datetime import datetime, timedelta
from hashlib import sha256
from typing import Final, Literal, TypeAlias
from zoneinfo import ZoneInfo

from arbuscula.desk import Desk
from arbuscula.desk.alarm_settings import alarm_settings
from arbuscula.desk.answers import Json, data
from arbuscula.desk.followed import Yarded, yarded_at
from arbuscula.desk.grounds import Ground, keep_ground, stretches_of
from arbuscula.desk.listening import kept_fresh
from arbuscula.desk.ringing import Bell, Message, bells_of, rung
from arbuscula.desk.rung import (
    Ring,
    levels_known,
    note_known,
    note_rung,
    rings_since,
    steps_rung,
)
from arbuscula.desk.threats import threats_to
from arbuscula.desk.voices import silences
from arbuscula.kinds.alarm import Alarm, Level, Peril, Quiet, Threat
from arbuscula.kinds.forecast import YardWeather
from arbuscula.kinds.place import Yard
from arbuscula.kinds.said import ArbusculaError, Figure, Said, Sentence
from arbuscula.ledger.book import all_events
from arbuscula.rules.alarm import alarm_of
from arbuscula.rules.cold import DAMAGE_FRAC
from arbuscula.state.book import last_words
from arbuscula.strict.quote import plain

ID_N: Final = 8  # letters that tell an alarm from all others
SHOWN_N: Final = 12  # labels in one sentence
LEAD: Final = timedelta(hours=3)  # to carry trees in once the quiet is over
RECENT: Final = timedelta(days=7)  # in which an alarm may still be acknowledged
EVERYTHING: Final = "all"

Say: TypeAlias = Callable[[Said], str]
State: TypeAlias = Literal["rings", "again", "rung", "known", "waits", "failed", "off"]


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmTold:
    """One alarm as it stands, and whether it rang just now."""

    id: str
    peril: Peril
    level: Level
    state: State
    bench: str
    species: str
    trees: tuple[str, ...]  # labels
    begins: datetime | None
    warn_frac: float
    damage_frac: float
    because: Said


@dataclass(frozen=True, slots=True, kw_only=True)
class Watch:
    """The answer: what threatens, what rang, and what could not be sent."""

    schema: Literal["arbuscula.watch/1"] = "arbuscula.watch/1"
    at: datetime
    yard: str
    alarms: tuple[AlarmTold, ...]
    unsent: tuple[Said, ...]
    notes: tuple[Said, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Look:
    """The answer: every threat by bench, species and hour; nothing rings."""

    schema: Literal["arbuscula.watch_look/1"] = "arbuscula.watch_look/1"
    at: datetime
    yard: str
    threats: tuple[Threat, ...]
    alarms: tuple[Said, ...]
    notes: tuple[Said, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Known:
    """The answer: what somebody knows of from now on."""

    schema: Literal["arbuscula.watch_known/1"] = "arbuscula.watch_known/1"
    alarms: tuple[Ring, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class Tested:
    """The answer: which places rang, and which did not."""

    schema: Literal["arbuscula.watch_test/1"] = "arbuscula.watch_test/1"
    rang: tuple[str, ...]
    unsent: tuple[Said, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Seen:
    """What was seen of one yard at one time."""

    yarded: Yarded
    at: datetime
    weather: YardWeather
    threats: tuple[Threat, ...]
    notes: tuple[Said, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class _Standing:
    """One alarm, its name, and whom it has reached so far."""

    id: str
    alarm: Alarm
    steps: dict[str, int]  # by bell
    known: frozenset[str]


def watched_yards(desk: Desk, yard: str | None = None) -> tuple[str, ...]:
    """Return the yards that are watched: the one that is named, or all."""
    if yard is not None:
        return (yard,)
    return tuple(last_words(all_events(desk.ledger()), Yard, desk.clock()))


def look(desk: Desk, *, yard: str | None = None, is_asking: bool = True) -> Look:
    """Say what threatens a yard's trees, hour by hour. Nothing rings."""
    seen = _seen(desk, yard, is_asking=is_asking)
    alarms = [alarm for threat in seen.threats if (alarm := alarm_of(threat))]
    return Look(
        at=seen.at,
        yard=seen.yarded.yard.name,
        threats=seen.threats,
        alarms=tuple(_line(seen, alarm, _id(seen, alarm.threat)) for alarm in alarms),
        notes=seen.notes,
    )


def watch(
    desk: Desk, say: Say, *, yard: str | None = None, is_asking: bool = True
) -> Watch:
    """Look at a yard and ring what is new or has become worse."""
    settings = alarm_settings(desk.home)
    seen = _seen(desk, yard, is_asking=is_asking)
    alarms = [alarm for threat in seen.threats if (alarm := alarm_of(threat))]
    all_standing = [_standing(desk, seen, alarm) for alarm in alarms]
    states = {s.id: _before(s, seen.at, settings.quiet) for s in all_standing}
    off = {s.id for s in all_standing if s.alarm.threat.peril not in settings.perils}
    states |= dict.fromkeys(off, "off")
    unsent: list[Said] = []
    for bell in bells_of(settings):
        due = [s for s in all_standing if states[s.id] != "off" and _is_due(s, bell)]
        due = [s for s in due if states[s.id] not in ("known", "waits")]
        faults = _ring(desk, seen, bell, due, say) if due else ()
        unsent += faults
        for one in due:
            states[one.id] = _after(one, states[one.id], is_sent=not faults)
    if any(state in ("rings", "again") for state in states.values()):
        _keep_ground(desk, seen, all_standing)
    return Watch(
        at=seen.at,
        yard=seen.yarded.yard.name,
        alarms=tuple(_told(seen, one, states[one.id]) for one in all_standing),
        unsent=tuple(unsent),
        notes=seen.notes,
    )


def acknowledge(desk: Desk, ids: Sequence[str]) -> Known:
    """Take note that somebody knows of alarms: by their letters, or of all."""
    now = desk.clock()
    recent = {ring.alarm: ring for ring in rings_since(desk.home, now - RECENT)}
    meant: dict[str, Ring] = {}
    faults: list[Said] = []
    for words in ids:
        found = {
            alarm: ring
            for alarm, ring in recent.items()
            if words == EVERYTHING or (words and alarm.startswith(words.lower()))
        }
        meant |= found
        if not found:
            faults.append(Said("alarm.not_there", {"found": plain(words)}))
    if faults:
        raise ArbusculaError(*faults)
    for ring in meant.values():
        note_known(desk.home, ring.alarm, ring.level, now)
    return Known(alarms=tuple(meant.values()))


def ring_a_test(desk: Desk, say: Say) -> Tested:
    """Ring everywhere once, so that one knows it can be heard."""
    bells = [*bells_of(alarm_settings(desk.home))]
    words = say(Said("alarm.test", {}))
    answer: dict[str, Json] = {"schema": "arbuscula.alarm/1", "text": words}
    message = Message(subject=words, text=words + "\n", data=answer, at=desk.clock())
    went = [(bell, rung(bell, message)) for bell in bells]
    return Tested(
        rang=tuple(f"{bell.kind} {bell.host}" for bell, faults in went if not faults),
        unsent=tuple(fault for _, faults in went for fault in faults),
    )


# What is seen


def _seen(desk: Desk, yard: str | None, *, is_asking: bool) -> _Seen:
    before = yarded_at(desk, yard, desk.clock())
    notes = kept_fresh(desk, before.key, before.yard) if is_asking else ()
    zone = ZoneInfo(before.yard.timezone)
    at = desk.clock().astimezone(zone)
    yarded = yarded_at(desk, yard, at)
    threats, weather = threats_to(desk, yarded, at)
    return _Seen(
        yarded=yarded,
        at=at,
        weather=weather,
        threats=(*threats, *silences(desk, yarded, at)),
        notes=notes,
    )


def _id(seen: _Seen, threat: Threat) -> str:
    parts = (threat.peril, threat.bench, threat.species, threat.when)
    own = "\x1f".join((seen.yarded.key, *parts))
    return sha256(own.encode()).hexdigest()[:ID_N]


def _standing(desk: Desk, seen: _Seen, alarm: Alarm) -> _Standing:
    own_id = _id(seen, alarm.threat)
    return _Standing(
        id=own_id,
        alarm=alarm,
        steps=steps_rung(desk.home, own_id),
        known=levels_known(desk.home, own_id),
    )


# Who is rung up


def _before(one: _Standing, at: datetime, quiet: Quiet | None) -> State:
    if "damage" in one.known or one.alarm.level in one.known:
        return "known"
    return "waits" if _can_wait(one.alarm, at, quiet) else "rung"


def _is_due(one: _Standing, bell: Bell) -> bool:
    return one.alarm.step_n > one.steps.get(bell.key, 0)


def _after(one: _Standing, before: State, *, is_sent: bool) -> State:
    if not is_sent:
        return before if before in ("rings", "again") else "failed"
    return "again" if one.steps else "rings"


def _can_wait(alarm: Alarm, at: datetime, quiet: Quiet | None) -> bool:
    """Return whether an alarm may wait until the quiet is over."""
    ends = _quiet_until(at, quiet) if quiet else None
    if ends is None:
        return False
    threat = alarm.threat
    if threat.peril is Peril.SILENT:
        return True
    if threat.peril is Peril.BLIND:
        return threat.warn_frac < DAMAGE_FRAC  # usual nights do no harm
    return threat.begins is not None and threat.begins >= ends + LEAD


def _quiet_until(at: datetime, quiet: Quiet) -> datetime | None:
    """Return when the quiet ends that holds now, if it does."""
    now = at.timetz().replace(tzinfo=None)
    over_night = quiet.begins > quiet.ends
    if over_night:
        is_quiet = now >= quiet.begins or now < quiet.ends
    else:
        is_quiet = quiet.begins <= now < quiet.ends
    if not is_quiet:
        return None
    ends = datetime.combine(at.date(), quiet.ends, tzinfo=at.tzinfo)
    return ends if ends > at else ends + timedelta(days=1)


def _ring(
    desk: Desk, seen: _Seen, bell: Bell, due: Sequence[_Standing], say: Say
) -> tuple[Said, ...]:
    """Ring one bell for all that is due at it; note what rang."""
    faults = rung(bell, _message(seen, due, say))
    if not faults:
        for one in due:
            ring = Ring(
                alarm=one.id,
                yard=seen.yarded.key,
                bell=bell.key,
                level=one.alarm.level,
                step_n=one.alarm.step_n,
                at=seen.at,
                words=say(_line(seen, one.alarm, one.id)),
            )
            note_rung(desk.home, ring)
    return faults


def _message(seen: _Seen, due: Sequence[_Standing], say: Say) -> Message:
    worst_first = sorted(due, key=lambda one: -one.alarm.step_n)
    lines = [say(_line(seen, one.alarm, one.id)) for one in worst_first]
    if any(one.alarm.threat.peril is Peril.BLIND for one in due):
        lines += map(say, seen.notes)
    lines.append(say(Said("alarm.how_to_know", {"ids": " ".join(o.id for o in due)})))
    thanks = [
        say(Said("weather.from", {"source": source, "words": words}))
        for source, words in seen.weather.attributions.items()
        if words
    ]
    subject, text = say(_subject(seen, worst_first)), "\n\n".join([*lines, *thanks])
    told = [_told(seen, one, "again" if one.steps else "rings") for one in worst_first]
    answer: dict[str, Json] = {
        "schema": "arbuscula.alarm/1",
        "at": seen.at.isoformat(),
        "yard": seen.yarded.yard.name,
        "text": text,
        "alarms": data(told, say),
    }
    return Message(subject=subject, text=text + "\n", data=answer, at=seen.at)


def _subject(seen: _Seen, worst_first: Sequence[_Standing]) -> Said:
    perils = dict.fromkeys(one.alarm.threat.peril.value for one in worst_first)
    figures: dict[str, Figure] = {
        "yard": seen.yarded.yard.name,
        "perils": ", ".join(perils),
    }
    if worst_first[0].alarm.level == "damage":
        return Said("alarm.subject_damage", figures)
    return Said("alarm.subject", figures)


# What is told


def _told(seen: _Seen, one: _Standing, state: State) -> AlarmTold:
    threat = one.alarm.threat
    return AlarmTold(
        id=one.id,
        peril=threat.peril,
        level=one.alarm.level,
        state=state,
        bench=_bench_name(seen, threat),
        species=threat.species,
        trees=tuple(_labels(seen, threat)),
        begins=threat.begins,
        warn_frac=threat.warn_frac,
        damage_frac=threat.damage_frac,
        because=_line(seen, one.alarm, one.id),
    )


def _line(seen: _Seen, alarm: Alarm, own_id: str) -> Said:
    """Return an alarm as one line: where, what, from when, whom."""
    threat = alarm.threat
    because = alarm.because
    if not threat.bench or not threat.trees:
        return because
    labels = [*_labels(seen, threat)]
    more = ["..."] if len(labels) > SHOWN_N else []
    where: dict[str, Figure] = {
        "bench": _bench_name(seen, threat),
        "of_species": threat.species,
        "labels": ", ".join([*labels[:SHOWN_N], *more]),
        "from_at": threat.begins or seen.at,
        "id": own_id,
    }
    return replace(because, figures={**because.figures, **where})


def _bench_name(seen: _Seen, threat: Threat) -> str:
    bench = seen.yarded.benches.get(threat.bench)
    return bench.name if bench else threat.bench


def _labels(seen: _Seen, threat: Threat) -> Iterator[str]:
    for name in threat.trees:
        yield seen.yarded.nouns[name].label or name


def _keep_ground(desk: Desk, seen: _Seen, standing: Sequence[_Standing]) -> None:
    keep_ground(
        desk.home,
        seen.yarded.key,
        Ground(
            verb="watch",
            at=seen.at,
            told=desk.clock(),
            digest=seen.weather.digest,
            used=seen.weather.used,
            stretches=stretches_of(
                seen.weather, ZoneInfo(seen.yarded.yard.timezone), since_s=0.0
            ),
            said=Sentence(tuple(_line(seen, s.alarm, s.id) for s in standing)),
        ),
    )

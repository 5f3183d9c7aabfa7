"""Alarm: what threatens trees on a bench, and where alarms ring."""

from collections.abc import Mapping
from dataclasses import dataclass
from datetime import datetime, time
from enum import StrEnum
from typing import Literal, TypeAlias

from arbuscula.kinds.said import Figure, Said
from arbuscula.kinds.values import Value

Level: TypeAlias = Literal["warning", "damage"]
Security: TypeAlias = Literal["starttls", "tls", "none"]


class Peril(StrEnum):
    """What may come over trees."""

    COLD = "cold"
    ROOTS = "cold roots"
    HEAT = "hot roots"
    WIND = "wind"
    RAIN = "rain"
    SILENT = "silence"  # of a sensor or a line
    BLIND = "no forecast"


@dataclass(frozen=True, slots=True, kw_only=True)
class Threat:
    """One peril to one species on one bench, as the members tell it.

    What is of the whole yard names no bench, what is of a bench no species.
    """

    peril: Peril
    when: str  # the night or the day it is of; with the rest it tells events apart
    bench: str = ""
    species: str = ""
    trees: tuple[str, ...] = ()
    warn_frac: float  # chances to pass the warning line, and the line of damage
    damage_frac: float = 0.0
    by_hour: tuple[tuple[datetime, float], ...] = ()  # chance past the warning line
    begins: datetime | None = None  # the first hour of a tenth of that chance
    figures: Mapping[str, Figure]  # to be told with it


@dataclass(frozen=True, slots=True, kw_only=True)
class Alarm:
    """A threat that passes what is borne, and why."""

    threat: Threat
    level: Level
    step_n: int  # grows as it worsens
    because: Said


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmFigures:
    """The numbers behind alarms, from `alarms.toml`."""

    ice_frac: Value  # of a ball's water, from which roots that bear no frost die
    rain_warn_mm: Value  # within an hour
    rain_damage_mm: Value
    silent_ratio: Value  # over the usual pause between two readings
    silent_least_h: Value
    silent_readings_n: Value  # before a pause is usual


@dataclass(frozen=True, slots=True, kw_only=True)
class Mail:
    """Where mail is handed in, and to whom it goes."""

    host: str  # with its port where it is not 587: mail.example.org:465
    to: tuple[str, ...]
    sender: str
    security: Security = "starttls"
    user: str = ""
    password: str = ""


@dataclass(frozen=True, slots=True, kw_only=True)
class WebAddress:
    """An address of the web that takes in what is posted there."""

    url: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Quiet:
    """When only what cannot wait may ring, by the yard's clock."""

    begins: time
    ends: time


@dataclass(frozen=True, slots=True, kw_only=True)
class AlarmSettings:
    """Where alarms ring, out of `alarms.toml`."""

    mail: Mail | None = None
    webhook: tuple[WebAddress, ...] = ()  # gets JSON
    post: tuple[WebAddress, ...] = ()  # gets plain words
    quiet: Quiet | None = None
    perils: tuple[Peril, ...] = tuple(Peril)  # those that ring

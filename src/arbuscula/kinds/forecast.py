"""Forecast: who told what weather, when, and how long that holds."""

from collections.abc import Mapping
from dataclasses import dataclass
from enum import StrEnum
from typing import Annotated, Protocol

from arbuscula.kinds.events import Reading
from arbuscula.kinds.said import Said
from arbuscula.kinds.values import Value, Within
from arbuscula.kinds.weather import Spot, WeatherRows


class WeatherSort(StrEnum):
    """How weather is known, the surest first."""

    OBSERVED = "observed"
    FORECAST = "forecast"
    NORMALS = "normals"  # what the years of a place are like; never stored


@dataclass(frozen=True, slots=True, kw_only=True)
class Batch:
    """What one source told for one yard at one time.

    Each quantity of the rows has the axis of the rows, and before it that of
    the members where there are any. NaN is what the source did not tell.
    """

    yard: str
    source: str
    sort: WeatherSort
    issued_s: float  # when the source made it, or else when we read it
    read_s: float
    attribution: str
    rows: WeatherRows


@dataclass(frozen=True, slots=True, kw_only=True)
class Kept:
    """A batch as the archive holds it, without its rows."""

    position_n: int
    digest: str  # of this batch and all before it
    yard: str
    source: str
    sort: WeatherSort
    issued_s: float
    read_s: float
    from_s: float
    until_s: float
    rows_n: int
    members_n: int
    attribution: str


@dataclass(frozen=True, slots=True, kw_only=True)
class Validity:
    """How long a reply holds, and what to show at the next asking."""

    address: str = ""  # what was asked, without any key
    last_modified: str = ""  # as the host wrote it
    expires_s: float = 0.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Asked:
    """One asking of a source, and how it went."""

    yard: str
    source: str
    at_s: float
    outcome: str  # told, unchanged or failed
    because: str = ""  # the message, where it failed
    validity: Validity


@dataclass(frozen=True, slots=True, kw_only=True)
class Ask:
    """What a source is asked: a place, a time, and when it is now."""

    yard: str
    spot: Spot
    now_s: float
    from_s: float  # the past that is wanted; a forecast reaches as far as it will
    until_s: float
    earlier: Validity = Validity()  # of the last reply
    silent_s: float = 20.0  # until a host says something
    longest_s: float = 60.0  # until it has said it all


@dataclass(frozen=True, slots=True, kw_only=True)
class Heard:
    """What a source answered; no batch: nothing new since the last time."""

    batches: tuple[Batch, ...]
    notes: tuple[Said, ...] = ()
    validity: Validity = Validity()


class Source(Protocol):
    """Whoever tells weather. Faults are raised as ArbusculaError."""

    @property
    def key(self) -> str:
        """The name it is stored under."""

    @property
    def attribution(self) -> str:
        """Whom to thank, as its terms want it."""

    @property
    def terms(self) -> Said:
        """What one should know before choosing it."""

    def hear(self, ask: Ask) -> Heard:
        """Ask it; nothing is stored yet."""


@dataclass(frozen=True, slots=True, kw_only=True)
class Posted:
    """A reading of weather that a sensor sent, or a person typed."""

    at_s: float
    reading: Reading


@dataclass(frozen=True, slots=True, kw_only=True)
class StationColumn:
    """One column of a station's file: its head there, our name, its unit there."""

    head: str
    name: str
    unit: str


@dataclass(frozen=True, slots=True, kw_only=True)
class StationMap:
    """How to read the file of a station."""

    columns: tuple[StationColumn, ...]
    time: tuple[str, ...] = ("time",)  # heads whose cells together tell the time
    time_format: str = ""  # as strptime has it; empty: ISO 8601
    zone: str = ""  # of times without an offset, a name of the IANA database
    ends: bool = False  # a row's time is its end, not its start
    delimiter: str = ","
    decimal: str = "."
    wind_height_m: Annotated[float, Within(0.5, 100)] = 2.0


@dataclass(frozen=True, slots=True, kw_only=True)
class Reach:
    """How a chosen source is reached; it stands beside the book, never in it."""

    host: str = ""  # such as https://weather.example; empty: its own
    contact: str = ""  # a mail address or a page, where the source asks for one
    secret: str = ""  # the key that was paid for
    model: str = ""
    place: str = ""  # of one's own station: a folder, a file or a page
    how: StationMap | None = None  # and how to read it


@dataclass(frozen=True, slots=True, kw_only=True)
class Stretch:
    """Where a part of the weather came from.

    Stretches overlap in time where one source told some quantities only.
    """

    from_s: float
    until_s: float
    source: str
    sort: WeatherSort
    age_h: float | None  # since it was issued; None: normals do not age
    members_n: int  # that the source told
    quantities: tuple[str, ...]


@dataclass(frozen=True, slots=True, kw_only=True)
class YardWeather:
    """The weather of a yard without a gap, and what it rests on.

    Each quantity of the rows has members first. The past is the same for all.
    """

    rows: WeatherRows
    stretches: tuple[Stretch, ...]
    used: tuple[int, ...]  # positions in the archive
    digest: str  # of all that it rests on but the normals
    attributions: Mapping[str, str]  # by source


class Fill(Protocol):
    """Usual weather where nothing else reaches, as many courses as members.

    `last_known` are the rows before, members first, two days at most; the last
    of them is asked for again, so that a step can be seen.
    """

    def __call__(
        self,
        from_s: float,
        until_s: float,
        last_known: WeatherRows | None,
        members_n: int,
    ) -> WeatherRows:
        """Return rows without a gap, members first where there are several."""


@dataclass(frozen=True, slots=True, kw_only=True)
class NightOff:
    """How far nights at a place are off those that were told for it."""

    shift_k: float  # what is added to them
    shift_sd_k: float
    scatter_k: float  # of single nights around it
    nights_n: int


@dataclass(frozen=True, slots=True, kw_only=True)
class ForecastFigures:
    """How far a forecast may be off, and how long it holds.

    Errors are one standard deviation at the start. Of a single course they
    grow with the time ahead, of members with the age of the forecast: how far
    ahead they may be off the members tell by themselves.
    """

    fresh_h: Value  # older forecasts are not used
    asked_after_h: Value  # a chosen source is asked again
    air_temperature_k: Value
    vapour_ln: Value
    wind_ln: Value
    rain_ln: Value
    shortwave_ln: Value
    doubling_d: Value  # after it an error is twice that of the start
    most_ratio: Value  # and never more than so many times
    lasting_frac: Value  # of the error's variance, from day to day
    joining_h: Value  # how fast a step between two sources fades
    local_k: Value  # how far a yard's nights are usually off, one sd
    odd_k: Value  # a single night that is farther off is a slip of the pen
    alike_frac: Value  # of one night's error, in the next
    nights_n: Value  # what the assumed scatter is worth

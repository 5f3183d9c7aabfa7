"""Words: what was said, in the reader's language and units."""

import math
import re
from calendar import monthrange
from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, datetime, tzinfo
from functools import cache, lru_cache
from importlib.resources import files
from typing import Final, Literal, TypeAlias

from babel import Locale
from babel.dates import format_skeleton, format_time, get_month_names
from babel.lists import format_list
from babel.messages.pofile import read_po
from babel.numbers import format_decimal, format_percent
from babel.units import format_unit

from arbuscula.kinds.said import Figure, Said
from arbuscula.units import (
    f_from_c,
    fl_oz_from_ml,
    inch_from_mm,
    mph_from_m_s,
    oz_from_g,
    unit_of,
    us_qt_from_l,
)

Width: TypeAlias = Literal["short", "long"]
Style: TypeAlias = Literal["or", "standard", "unit"]
Shown = tuple[str, Callable[[float], float], int]  # CLDR name, conversion, digits

WORDS: Final = files("arbuscula.reports") / "words"
WISH: Final = re.compile(
    r"(?P<language>[A-Za-z]{2,3})(-[\w-]+)?(\s*;\s*q=(?P<weight>[01](\.\d{0,3})?))?"
)
UNSEEN: Final = re.compile("[\x00-\x1f\x7f-\x9f\u2028\u2029\ud800-\udfff]")


def _inch_from_cm(length_cm: float) -> float:
    return inch_from_mm(length_cm * 10)


def _square_inch_from_cm2(area_cm2: float) -> float:
    return inch_from_mm(inch_from_mm(area_cm2 * 100))


def _fahrenheit_from_k(difference_k: float) -> float:
    return difference_k * 9 / 5


METRIC: Final[dict[str, Shown]] = {
    "c": ("temperature-celsius", float, 1),
    "cm": ("length-centimeter", float, 1),
    "cm2": ("area-square-centimeter", float, 0),
    "d": ("duration-day", float, 0),
    "g": ("mass-gram", float, 0),
    "h": ("duration-hour", float, 1),
    "k": ("temperature-celsius", float, 1),  # a difference
    "l": ("volume-liter", float, 2),
    "lux": ("light-lux", float, 0),
    "m_s": ("speed-meter-per-second", float, 0),
    "ml": ("volume-milliliter", float, 0),
    "mm": ("length-millimeter", float, 0),
}
US: Final[dict[str, Shown]] = METRIC | {
    "c": ("temperature-fahrenheit", f_from_c, 0),
    "cm": ("length-inch", _inch_from_cm, 1),
    "cm2": ("area-square-inch", _square_inch_from_cm2, 0),
    "g": ("mass-ounce", oz_from_g, 1),
    "k": ("temperature-fahrenheit", _fahrenheit_from_k, 1),
    "l": ("volume-quart", us_qt_from_l, 2),
    "m_s": ("speed-mile-per-hour", mph_from_m_s, 0),
    "ml": ("volume-fluid-ounce", fl_oz_from_ml, 1),
    "mm": ("length-inch", inch_from_mm, 1),
}


WRITTEN_OUT_BELOW: Final = 1e15  # nobody counts the noughts of more
ANY_YEAR: Final = "2001-"  # without a leap day
FIVES_D: Final = 5
WIDTHS: Final[dict[tuple[str, str], Width]] = {  # "14 Tg." reads badly
    ("de", "d"): "long",
    ("de", "h"): "long",
}
WORDED: Final = {  # the last word of a figure's name: of what kind its words are
    "call": "call",
    "crown": "crown",
    "exposure": "exposure",
    "looks": "looks",
    "perils": "peril",
    "phase": "phase",
    "phases": "phase",
    "sort": "sort",
    "standing": "standing",
    "state": "state",
    "technique": "technique",
    "techniques": "technique",
    "verdict": "verdict",
    "vigour": "vigour",
}
JOINTS: Final[dict[str, Style]] = {"phase": "or", "peril": "unit"}  # else "and"
ALLOWED: Final = ("allowed", "offsets")
ROWS: Final = re.compile(
    r"(?P<file>.+?), row(?P<s>s?) (?P<rows>\d+(, \d+)*)"
    r"( and (?P<more>\d+) more)?(?P<column>(, .*)?)"
)
RUN: Final = re.compile(r"(?P<first>-?[\d.]+) to (?P<last>-?[\d.]+)(?P<unit>( \w+)?)")
THIRDS_D: Final = (11, 21)  # where the middle of a month begins and ends
SPOKEN_AS: Final = {"en": "en_GB"}  # no comma before the last, days before months


@dataclass(frozen=True, slots=True)
class Voice:
    """How this reader is spoken to."""

    language: str = "en"
    system: str = "metric"  # metric | us


def sentence(said: Said, voice: Voice) -> str:
    """Return what was said, in words."""
    shown = {name: _shown(name, f, voice) for name, f in said.figures.items()}
    return _patterns(voice.language)[said.message_id].format_map(shown).strip()


def _shown(name: str, figure: Figure, voice: Voice) -> str:
    for ending, in_words in ENDINGS.items():
        if name.endswith(ending):
            return in_words(str(figure), voice)
    last = name.rpartition("_")[2]
    if last in ALLOWED:
        return UNSEEN.sub(_escaped, allowed_in_words(str(figure), voice))
    if last == "file":
        return UNSEEN.sub(_escaped, place_in_words(str(figure), voice))
    if last in WORDED:
        return UNSEEN.sub(_escaped, worded(WORDED[last], str(figure), voice))
    return figure_in_words(name, figure, voice)


def worded(kind: str, told: str, voice: Voice) -> str:
    """Return the reader's word for what the code calls so; `rest, waking` are two."""
    words = [_word(kind, one, voice) for one in told.split(", ")]
    style = JOINTS.get(kind, "standard")
    return format_list(words, style=style, locale=_locale(voice))


def _word(kind: str, told: str, voice: Voice) -> str:
    """Return one word; a grower's own, which no language has, stays as it is."""
    by_name = f"word.{kind}.{told}"
    message_id = by_name if by_name in _patterns("en") else _by_english(kind).get(told)
    return _patterns(voice.language).get(message_id or by_name, told)


@cache
def _by_english(kind: str) -> dict[str, str]:
    """Return the message of each English word of a kind."""
    words = _patterns("en").items()
    return {word: name for name, word in words if name.startswith(f"word.{kind}.")}


def allowed_in_words(told: str, voice: Voice) -> str:
    """Return what would do: `0 to 1`, `a number or true or false`, or names as typed.

    Numbers and names are those of the file or the command line, and stay so.
    """
    ways = [_allowed(way, voice) for way in told.split(" or ")]
    return format_list(ways, style="or", locale=_locale(voice))


def _allowed(way: str, voice: Voice) -> str:
    found = RUN.fullmatch(way)
    if not found:
        return _word("allowed", way, voice)
    return run_in_words(found["first"], found["last"], voice) + found["unit"]


def place_in_words(place: str, voice: Voice) -> str:
    """Return where in a file something stands: `trees.csv, rows 2, 3 and 9 more`."""
    found = ROWS.fullmatch(place)
    if not found:
        return place
    pattern = _patterns(voice.language)["words.rows" if found["s"] else "words.row"]
    rows = found["rows"]
    if found["more"]:
        more = _patterns(voice.language)["today.and_more"]
        rows = more.format(some=rows, more_n=found["more"])
    return f"{found['file']}, {pattern.format(rows=rows)}{found['column']}"


def run_in_words(first: str, last: str, voice: Voice) -> str:
    """Return a range, its ends in words already: 1 to 5."""
    return _patterns(voice.language)["words.run"].format(first=first, last=last)


def number_in_words(number: float, voice: Voice, *, figures_n: int = 3) -> str:
    """Return a number without a unit, to so many figures that count."""
    rounded = float(f"{number:.{figures_n}g}")
    return format_decimal(rounded, "#,##0.##########", locale=voice.language)


def figure_in_words(name: str, figure: Figure, voice: Voice) -> str:
    """Return a figure as a reader writes it; its name tells the unit."""
    if isinstance(figure, str):
        return UNSEEN.sub(_escaped, figure)
    if isinstance(figure, date):
        return _when(figure, getattr(figure, "tzinfo", None), voice.language)
    unit = unit_of(name) or ""
    if abs(figure) >= WRITTEN_OUT_BELOW:
        return f"{figure:.3g} {unit}".strip()
    if unit == "frac":
        return format_percent(figure, "#,##0 %", locale=voice.language)
    if unit == "ratio":
        return format_decimal(figure, "0.00", locale=voice.language)
    table = METRIC if voice.system == "metric" else US
    if unit not in table:
        return format_decimal(round(figure, 2), locale=voice.language)
    cldr, convert, digits = table[unit]
    number = _rounded(convert(figure), digits)
    width: Width = WIDTHS.get((voice.language, unit), "short")
    return format_unit(number, cldr, width, locale=voice.language)


@lru_cache(maxsize=4096)  # a round says the same few moments a thousand times
def _when(at: date, zone: tzinfo | None, language: str) -> str:
    """Return a day, with its hour if it has one; what no yard's clock told says so."""
    day = str(format_skeleton("MMMEd", at, locale=SPOKEN_AS.get(language, language)))
    if not isinstance(at, datetime):
        return day
    hour = format_time(at, "HH:mm", locale=language)
    return f"{day}, {hour} UTC" if zone is UTC else f"{day}, {hour}"


def change_in_words(difference_k: float, voice: Voice) -> str:
    """Return by how much warmth is moved, with its sign: +0.4 °C."""
    shown = figure_in_words("shift_k", abs(difference_k), voice)
    return f"{'-' if difference_k < 0 else '+'}{shown}"


def places_in_words(places: str, voice: Voice) -> str:
    """Return `1 2 5-9` as a reader says it: 1, 2 and 5 to 9."""
    said = [
        run_in_words(first, last, voice) if last else first
        for first, _, last in (p.partition("..") for p in places.split(" "))
    ]
    return format_list(said, style="standard", locale=_locale(voice))


def day_in_words(month_and_day: str, voice: Voice) -> str:
    """Return `06-08`, a day of any year: 8 June."""
    day = date.fromisoformat(ANY_YEAR + month_and_day)
    return str(format_skeleton("MMMMd", day, locale=_locale(voice)))


def about_in_words(month_and_day: str, voice: Voice) -> str:
    """Return a day of any year to the nearest five: 10 June."""
    day = date.fromisoformat(ANY_YEAR + month_and_day)
    fives = max(round(day.day / FIVES_D) * FIVES_D, 1)
    last = monthrange(day.year, day.month)[1]
    return day_in_words(f"{day:%m}-{min(fives, last):02}", voice)


def part_in_words(month_and_day: str, voice: Voice) -> str:
    """Return which part of a month a day of any year is in: early June."""
    day = date.fromisoformat(ANY_YEAR + month_and_day)
    messages = ("words.early", "words.middle", "words.late")
    message_id = messages[sum(day.day >= third for third in THIRDS_D)]
    month = get_month_names("wide", "stand-alone", locale=_locale(voice))[day.month]
    return _patterns(voice.language)[message_id].format(month=month)


def months_in_words(voice: Voice) -> list[str]:
    """Return the twelve months, short enough for the head of a table."""
    names = get_month_names("abbreviated", "stand-alone", locale=voice.language)
    return [str(names[n]) for n in range(1, 13)]


def species_in_words(key: str) -> str:
    """Return the Latin name of a species, as its key has it."""
    return key.replace("-", " ").capitalize()


def _species_said(key: str, _: Voice) -> str:
    return species_in_words(key)


def country_in_words(code: str, voice: Voice) -> str:
    """Return a country's name from its two letters; unknown letters stay."""
    return str(Locale.parse(voice.language).territories.get(code, code))


def _locale(voice: Voice) -> str:
    return SPOKEN_AS.get(voice.language, voice.language)


ENDINGS: Final[Mapping[str, Callable[[str, Voice], str]]] = {
    "_places": places_in_words,  # places in a row
    "_day": day_in_words,
    "_about": about_in_words,
    "_part": part_in_words,
    "_species": _species_said,
}


@cache
def languages() -> tuple[str, ...]:
    """Return the languages that words are kept in."""
    names = sorted(path.name for path in WORDS.iterdir())
    return tuple(name.removesuffix(".po") for name in names if name.endswith(".po"))


def languages_in_words(voice: Voice) -> str:
    """Return the languages that words are kept in, each as its speakers call it."""
    names = [str(Locale.parse(one).get_display_name()) for one in languages()]
    return format_list(names, style="or", locale=_locale(voice))


def language_asked(wishes: str) -> str | None:
    """Return the first of a browser's languages that words are kept in.

    Wishes are those of its Accept-Language: `de-AT, it;q=0.8, en;q=0.5`.
    """
    asked = [WISH.fullmatch(wish.strip()) for wish in wishes.split(",")]
    known = [
        (float(wish["weight"] or 1), wish["language"].lower())
        for wish in asked
        if wish and wish["language"].lower() in languages()
    ]
    wanted = [wish for wish in known if wish[0] > 0]
    return max(wanted, key=lambda wish: wish[0])[1] if wanted else None


def _rounded(number: float, digits: int) -> float:
    """Return a number with so many decimals; a small one keeps two figures."""
    if not number or not math.isfinite(number):
        return number
    return round(number, max(digits, 1 - math.floor(math.log10(abs(number)))))


def _escaped(unseen: re.Match[str]) -> str:
    """Return a sign that a screen would obey, or break a line at, as its code."""
    return unseen[0].encode("unicode_escape").decode()


@cache
def _patterns(language: str) -> dict[str, str]:
    """Return the messages of a language; what it lacks yet is said in English."""
    below = {} if language == "en" else _patterns("en")
    with (WORDS / f"{language}.po").open("rb") as lines:
        return below | {str(m.id): str(m.string) for m in read_po(lines) if m.string}

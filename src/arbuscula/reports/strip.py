"""Strip: a place's year as 52 weeks, drawn as SVG; it prints in black and white.

A southern year begins in July, so that summer stands in the middle everywhere.
Shapes and words tell; colour only repeats them.
"""

from collections.abc import Iterator
from dataclasses import dataclass
from datetime import date
from textwrap import wrap
from typing import Final
from xml.etree.ElementTree import Element, SubElement, tostring

from arbuscula.desk.season import WHOLE_YEAR, Season
from arbuscula.kinds.said import Figure, Said
from arbuscula.reports.words import (
    Voice,
    country_in_words,
    day_in_words,
    figure_in_words,
    months_in_words,
    sentence,
    species_in_words,
)
from arbuscula.units import DAY_H

WIDTH: Final = 800
LEFT: Final = 158
RIGHT: Final = 784
MIDDLE: Final = (LEFT + RIGHT) / 2
LEAD_TOP: Final = 56
LEAD: Final = 22  # px from line to line
LINE_N: Final = 84  # letters in one of them
APART: Final = 58  # px from row to row
HIGH: Final = 36  # px of a curve
BAR: Final = 22
WIDE: Final = 220  # px that a bar needs to hold its dates
GAP: Final = 8

APART_D: Final = 0.01
YEAR_D: Final = 365
WEEK_D: Final = 7
WEEKS_N: Final = 52
FIRST_OF_JULY_D: Final = 181  # since the year began
ANY_YEAR: Final = "2001-"  # without a leap day
MIDDLES: Final = tuple(f"{month:02}-15" for month in range(1, 13))

STYLE: Final = """
text { font: 14px "Source Sans 3", "Source Sans Pro", "Helvetica Neue", Arial,
  sans-serif; fill: #1f1b16 }
text.name { font: 600 22px Literata, Charter, Georgia, serif }
text.lead { font: 16px Literata, Charter, Georgia, serif }
text.small { font-size: 12px; fill: #4d463b }
text.end { text-anchor: end }
text.middle { text-anchor: middle }
text.on { fill: #fdfaf3; font-weight: 600; text-anchor: middle }
.paper { fill: #fdfaf3 }
.month { stroke: #d5cab7 }
.base { stroke: #1f1b16 }
.sun { fill: url(#dots); stroke: #1f1b16; stroke-width: 1.4 }
.growth { fill: url(#hatch); stroke: #1f1b16; stroke-width: 1.4 }
.cold { fill: #566a8a; stroke: #fdfaf3; stroke-width: 0.8 }
.practice { fill: #1f1b16 }
.risk { fill: #fdfaf3; stroke: #1f1b16; stroke-width: 2.4 }
"""

Points = list[tuple[float, float]]  # days since the strip began, and a share


@dataclass(frozen=True, slots=True, kw_only=True)
class _Strip:
    """The drawing, and how it is read."""

    svg: Element
    answer: Season
    voice: Voice
    begins_d: int  # the day of the year at the left edge


def strip_of(answer: Season, voice: Voice) -> str:
    """Return the strip of one season as an SVG file."""
    words = " ".join(sentence(part, voice) for part in answer.sentence.parts)
    lines = wrap(words, LINE_N)
    top = LEAD_TOP + LEAD * len(lines)
    rows = (_daylight, _growth, _nights, _practice, _risk)
    high = top + APART * len(rows) + 62
    begins_d = FIRST_OF_JULY_D if answer.place.latitude_deg < 0 else 0
    svg = Element("svg", {
        "xmlns": "http://www.w3.org/2000/svg",
        "viewBox": f"0 0 {WIDTH} {high}",
        "width": f"{WIDTH}",
        "height": f"{high}",
        "role": "img",
        "aria-labelledby": "title desc",
    })  # fmt: skip
    strip = _Strip(svg=svg, answer=answer, voice=voice, begins_d=begins_d)
    _head(strip, words)
    for n, line in enumerate(lines):
        _text(strip, 16, LEAD_TOP + LEAD * n, line, "lead")
    _months(strip, top, top + 22 + APART * len(rows))
    for n, row in enumerate(rows, start=1):
        row(strip, top + 12 + APART * n)
    _text(strip, 16, high - 14, _words(strip, "strip.foot"), "small")
    return tostring(svg, encoding="unicode") + "\n"


def _head(strip: _Strip, words: str) -> None:
    """Add what a screen reader reads, the style, the patterns and the name."""
    place = strip.answer.place
    country = country_in_words(place.country, strip.voice)
    name = _words(
        strip,
        "strip.name",
        place=f"{place.name}, {country}" if country else place.name,
        species=species_in_words(strip.answer.species),
    )
    SubElement(strip.svg, "title", {"id": "title"}).text = name
    SubElement(strip.svg, "desc", {"id": "desc"}).text = words
    SubElement(strip.svg, "style").text = STYLE
    patterns = SubElement(strip.svg, "defs")
    hatch = _pattern(patterns, "hatch", "rotate(45)")
    SubElement(hatch, "rect", {"width": "2.6", "height": "6", "fill": "#5c6b36"})
    dots = _pattern(patterns, "dots", "rotate(30)")
    SubElement(dots, "circle", {"cx": "3", "cy": "3", "r": "1.3", "fill": "#b98620"})
    SubElement(strip.svg, "rect", {"class": "paper", "width": "100%", "height": "100%"})
    _text(strip, 16, 32, name, "name")


def _pattern(patterns: Element, name: str, turned: str) -> Element:
    whole = {"width": "6", "height": "6", "patternUnits": "userSpaceOnUse"}
    return SubElement(
        patterns, "pattern", {"id": name, **whole, "patternTransform": turned}
    )


def _months(strip: _Strip, top: float, bottom: float) -> None:
    """Rule the months from the left edge on, and name them."""
    names = months_in_words(strip.voice)
    for month, name in enumerate(names, start=1):
        x = _x(_since(strip, f"{month:02}-01"))
        _line(strip, (x, top - 4), (x, bottom), "month")
        _text(strip, x + 4, top + 8, name, "small")


def _daylight(strip: _Strip, base: float) -> None:
    """Draw the hours of daylight; a whole day would fill the row."""
    hours = strip.answer.daylength_h
    _label(strip, base, "strip.daylight", "strip.hours")
    points = [
        (_since(strip, middle), h / DAY_H)
        for middle, h in zip(MIDDLES, hours, strict=True)
    ]
    _area(strip, base, points, "sun")
    ends = {round(h, 1): points[hours.index(h)] for h in (min(hours), max(hours))}
    for chosen, (at, share) in ends.items():
        told = figure_in_words("daylight_h", chosen, strip.voice)
        _text(strip, _inside(_x(at)), base - HIGH * share - 4, told, "small middle")


def _growth(strip: _Strip, base: float) -> None:
    """Draw the share of years that grow, with the dates of the middle year."""
    growing = strip.answer.growing
    _label(strip, base, "strip.growth", "strip.years")
    _area(strip, base, _growing_points(strip), "growth")
    start, end = growing.start.p50, growing.end.p50
    if start and end:
        for x in (_x(_since(strip, day)) for day in (start, end)):
            _line(strip, (x, base + 4), (x, base - HIGH - 3), "base")
        said, bar = _dates_said(strip, start, end), _widest(strip, start, end)
        if bar[1] - bar[0] > WIDE:
            _on_paper(strip, sum(bar) / 2, base - 12, said)
            return
        foot = (growing.start.p10 or start, growing.end.p90 or end)
        _beside(strip, base - 12, _widest(strip, *foot), said)
    elif growing.kind == "none":
        none = _words(strip, "strip.none")
        _text(strip, MIDDLE, base - 18, none, "middle")
    else:
        _on_paper(strip, MIDDLE, base - 12, _words(strip, "strip.all_year"))


def _growing_points(strip: _Strip) -> Points:
    """Return the share of years: through the six dates, or else by month."""
    growing = strip.answer.growing
    rise, fall = growing.start, growing.end
    up, down = (rise.p10, rise.p50, rise.p90), (fall.p90, fall.p50, fall.p10)
    if None in (*up, *down):
        months = zip(MIDDLES, growing.months, strict=True)
        return [(_since(strip, middle), share) for middle, share in months]
    most = max(growing.months)
    early, usual, late = (_since(strip, day) for day in up if day)
    last, ended, first = (_since(strip, day) for day in down if day)
    half_d = (first - late) % YEAR_D / 2
    rise_d, fall_d = (usual - early) % YEAR_D / 4, (last - ended) % YEAR_D / 4
    points = (
        (early - rise_d, 0.0),
        (early, 0.1),
        (usual, 0.5),
        (late, 0.9),
        (late + min((late - usual) % YEAR_D / 4, half_d), most),
        (first - min((ended - first) % YEAR_D / 4, half_d), most),
        (first, 0.9),
        (ended, 0.5),
        (last, 0.1),
        (last + fall_d, 0.0),
    )
    # a little apart, so that dates which fall together keep their order
    return [(at + n * APART_D, share) for n, (at, share) in enumerate(points)]


def _nights(strip: _Strip, base: float) -> None:
    """Draw each week's chance of a night under the floor."""
    outdoors = strip.answer.outdoors
    weekly = outdoors.risk.weekly_p_night_below
    floor = figure_in_words("floor_c", outdoors.floor_c, strip.voice)
    _label(strip, base, "strip.nights", "strip.chance", floor=floor)
    for week, chance in enumerate(weekly):
        x = _x((week * WEEK_D - strip.begins_d) % YEAR_D)
        wide = _x(WEEK_D + (week == WEEKS_N - 1)) - _x(0)
        here = min(wide, RIGHT - x)  # the rest of it stands at the other edge
        _box(strip, (x, base - HIGH * chance), (here, HIGH * chance), "cold")
        _box(strip, (LEFT, base - HIGH * chance), (wide - here, HIGH * chance), "cold")
    _line(strip, (LEFT, base), (RIGHT, base), "base")
    least = min(weekly)
    days = [n * WEEK_D + WEEK_D / 2 for n, p in enumerate(weekly) if p == least]
    at = sorted((day - strip.begins_d) % YEAR_D for day in days)[len(days) // 2]
    told = figure_in_words("least_frac", least, strip.voice)
    said = _words(strip, "strip.least", least=told) if max(weekly) else told
    _text(strip, _inside(_x(at)), base - HIGH * least - 5, said, "small middle")


def _practice(strip: _Strip, base: float) -> None:
    """Draw when growers have it out."""
    window = strip.answer.outdoors.practice
    _label(strip, base, "strip.outdoors", "strip.practice")
    _bars(
        strip, base, (window.out, window.in_), "practice", _words(strip, "strip.never")
    )


def _risk(strip: _Strip, base: float) -> None:
    """Draw when a cold night is seldom; the sign is hollow, for few rely on it."""
    risk = strip.answer.outdoors.risk
    accepted = figure_in_words("accepted_frac", risk.accepted_p, strip.voice)
    _label(strip, base, "strip.outdoors", "strip.risk", accepted=accepted)
    none = _words(strip, "strip.no_week", accepted=accepted)
    _bars(strip, base, (risk.out, risk.in_), "risk", none)


def _bars(
    strip: _Strip,
    base: float,
    window: tuple[str | None, str | None],
    kind: str,
    none: str,
) -> None:
    """Draw a window as one bar, or as two where it passes the edge."""
    out, back = window
    if out is None or back is None:
        _line(strip, (LEFT, base - BAR / 2), (RIGHT, base - BAR / 2), "month")
        _on_paper(strip, MIDDLE, base - BAR / 2 + 5, none)
        return
    for left, right in _bars_of(strip, out, back):
        _box(strip, (left, base - BAR), (right - left, BAR), kind)
    said, (left, right) = _dates_said(strip, out, back), _widest(strip, out, back)
    y = base - BAR / 2 + 5
    if right - left > WIDE:
        where = "on" if kind == "practice" else "middle"
        _text(strip, (left + right) / 2, y, said, where)
        return
    _beside(strip, y, (left, right), said)


def _beside(strip: _Strip, y: float, bar: tuple[float, float], said: str) -> None:
    """Write dates on that side of a bar where there is more room."""
    left, right = bar
    if left - LEFT > RIGHT - right:
        _text(strip, left - GAP, y, said, "end")
    else:
        _text(strip, right + GAP, y, said, "start")


def _widest(strip: _Strip, out: str, back: str) -> tuple[float, float]:
    return max(_bars_of(strip, out, back), key=lambda bar: bar[1] - bar[0])


def _bars_of(strip: _Strip, out: str, back: str) -> Iterator[tuple[float, float]]:
    if (out, back) == WHOLE_YEAR:
        yield LEFT, RIGHT
        return
    begins, ends = _since(strip, out), _since(strip, back)
    if begins < ends:
        yield _x(begins), _x(ends)
        return
    yield _x(begins), RIGHT
    if ends:
        yield LEFT, _x(ends)


def _dates_said(strip: _Strip, out: str, back: str) -> str:
    if (out, back) == WHOLE_YEAR:
        return _words(strip, "strip.all_year")
    out, back = (day_in_words(day, strip.voice) for day in (out, back))
    return _words(strip, "strip.from_to", out=out, back=back)


def _area(strip: _Strip, base: float, points: Points, kind: str) -> None:
    """Fill a round year's curve, week by week."""
    days = [min(week * WEEK_D, YEAR_D) for week in range(WEEKS_N + 1)] + [YEAR_D]
    tops = [f"{_x(d):.1f},{base - HIGH * _share_on(points, d):.1f}" for d in days]
    corners = (f"{LEFT},{base}", *tops, f"{RIGHT},{base}")
    SubElement(strip.svg, "polygon", {"class": kind, "points": " ".join(corners)})


def _share_on(points: Points, day: float) -> float:
    """Return the share on a day, straight between the points around it."""
    round_year = sorted(
        (at % YEAR_D + turn, share)
        for at, share in points
        for turn in (-YEAR_D, 0, YEAR_D)
    )
    after = next(n for n, (at, _) in enumerate(round_year) if at > day)
    (early, low), (late, high) = round_year[after - 1 : after + 1]
    return low + (high - low) * (day - early) / (late - early)


def _since(strip: _Strip, day: str) -> float:
    """Return how many days a day of any year is from the left edge."""
    day_n = date.fromisoformat(ANY_YEAR + day).timetuple().tm_yday - 1
    return float((day_n - strip.begins_d) % YEAR_D)


def _x(since_d: float) -> float:
    return LEFT + (RIGHT - LEFT) * since_d / YEAR_D


def _inside(x: float) -> float:
    """Return a place at which a short word stays within the strip."""
    return min(max(x, LEFT + 20), RIGHT - 20)


def _label(
    strip: _Strip, base: float, name: str, small: str, **figures: Figure
) -> None:
    _text(strip, LEFT - 12, base - 15, _words(strip, name, **figures), "end")
    _text(strip, LEFT - 12, base, _words(strip, small, **figures), "small end")


def _on_paper(strip: _Strip, x: float, y: float, words: str) -> None:
    """Write words on a patch of paper, so that no pattern runs through them."""
    wide = 8.0 * len(words)
    _box(strip, (x - wide / 2, y - 14), (wide, 19), "paper")
    _text(strip, x, y, words, "middle")


def _text(strip: _Strip, x: float, y: float, words: str, kind: str) -> None:
    at = {"x": f"{x:.1f}", "y": f"{y:.1f}", "class": kind}
    SubElement(strip.svg, "text", at).text = words


def _line(
    strip: _Strip, start: tuple[float, float], end: tuple[float, float], kind: str
) -> None:
    ends = {"x1": start[0], "y1": start[1], "x2": end[0], "y2": end[1]}
    told = {name: f"{px:.1f}" for name, px in ends.items()}
    SubElement(strip.svg, "line", {"class": kind, **told})


def _box(
    strip: _Strip, corner: tuple[float, float], size: tuple[float, float], kind: str
) -> None:
    sides = {"x": corner[0], "y": corner[1], "width": size[0], "height": size[1]}
    told = {name: f"{px:.1f}" for name, px in sides.items()}
    SubElement(strip.svg, "rect", {"class": kind, **told})


def _words(strip: _Strip, message_id: str, **figures: Figure) -> str:
    return sentence(Said(message_id, figures), strip.voice)

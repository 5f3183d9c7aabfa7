from xml.etree import ElementTree as ET

import numpy as np
import pytest

from arbuscula.desk.season import season
from arbuscula.reports.strip import LEFT, RIGHT, WIDTH, strip_of
from arbuscula.reports.words import Voice, sentence
from arbuscula.start import desk_at

SVG = "{http://www.w3.org/2000/svg}"
TOWNS = ["Bergen", "Cape Town", "Kuala Lumpur", "Quito", "Longyearbyen", "Delhi"]


@pytest.fixture(scope="module")
def drawn(tmp_path_factory):
    """Return the answer and the drawing of a town, made once."""
    desk, kept = desk_at(tmp_path_factory.mktemp("home")), {}

    def draw(town, species="ficus-microcarpa"):
        if (town, species) not in kept:
            answer = season(desk, town, species=species)
            text = strip_of(answer, Voice())
            kept[town, species] = answer, ET.fromstring(text)  # noqa: S314 - our own
        return kept[town, species]

    return draw


def texts(svg):
    return [text.text for text in svg.iter(f"{SVG}text")]


def boxes(svg, kind):
    found = [box for box in svg.iter(f"{SVG}rect") if box.get("class") == kind]
    return [(float(b.get("x")), float(b.get("width"))) for b in found]


@pytest.mark.parametrize("town", TOWNS)
def test_it_is_800_wide_and_says_to_a_screen_reader_what_it_shows(drawn, town):
    answer, svg = drawn(town)
    assert svg.get("viewBox").split()[2] == f"{WIDTH}" == "800"
    assert svg.get("role") == "img"
    named = svg.get("aria-labelledby").split()
    said = {part.get("id"): part.text for part in svg}
    assert town in said[named[0]]
    for part in answer.sentence.parts:
        assert sentence(part, Voice()) in said[named[1]]


@pytest.mark.parametrize("town", TOWNS)
def test_nothing_leaves_the_strip_and_nothing_is_negative(drawn, town):
    _, svg = drawn(town)
    for kind in ("cold", "practice", "risk"):
        for x, wide in boxes(svg, kind):
            assert wide >= 0
            assert LEFT - 0.2 <= x <= x + wide <= RIGHT + 0.2
    for shape in svg.iter(f"{SVG}polygon"):
        xs = [float(corner.split(",")[0]) for corner in shape.get("points").split()]
        assert xs == sorted(xs)


def test_january_is_left_in_the_north_and_july_in_the_south(drawn):
    def months(town):
        names = [text for text in texts(drawn(town)[1]) if text in ("Jan", "Jul")]
        places = [
            float(text.get("x"))
            for name in names
            for text in drawn(town)[1].iter(f"{SVG}text")
            if text.text == name
        ]
        return dict(zip(names, places, strict=True))

    assert months("Bergen")["Jan"] < months("Bergen")["Jul"]
    assert months("Cape Town")["Jul"] < months("Cape Town")["Jan"]


def test_summer_stands_in_the_middle_on_either_side(drawn):
    for town in ("Bergen", "Cape Town"):
        _, svg = drawn(town)
        light = next(s for s in svg.iter(f"{SVG}polygon") if s.get("class") == "sun")
        corners = [tuple(map(float, c.split(","))) for c in light.get("points").split()]
        highest = min(corners, key=lambda corner: corner[1])
        assert abs(highest[0] - (LEFT + RIGHT) / 2) < 60  # px, five weeks


def test_what_is_not_there_is_said_in_words(drawn):
    assert "the risk is over 10 % in every week" in texts(drawn("Bergen")[1])
    assert "never: the nights are too cold" in texts(drawn("Quito")[1])
    assert boxes(drawn("Quito")[1], "practice") == []
    assert texts(drawn("Kuala Lumpur")[1]).count("all year") == 3


def test_a_window_across_the_edge_is_two_bars(drawn):
    assert len(boxes(drawn("Cape Town")[1], "practice")) == 2
    assert len(boxes(drawn("Bergen")[1], "practice")) == 1


def test_every_row_has_a_pattern_of_its_own_without_colour(drawn):
    _, svg = drawn("Bergen")
    assert {p.get("id") for p in svg.iter(f"{SVG}pattern")} == {"dots", "hatch"}
    style = svg.find(f"{SVG}style").text
    assert "url(#dots)" in style
    assert "url(#hatch)" in style


def test_there_are_52_weeks(drawn):
    weeks = [box for box in boxes(drawn("Bergen")[1], "cold") if box[1] > 0]
    assert len(weeks) == 52
    assert sum(wide for _, wide in weeks) == pytest.approx(RIGHT - LEFT, abs=3)


def test_growth_that_ends_on_one_day_in_all_years_is_drawn_as_an_edge(drawn):
    """Light ends it: early, middle and late fall on the same day."""
    answer, svg = drawn("Bergen", "juniperus-chinensis")
    ends = answer.growing.end
    assert ends.p10 == ends.p50 == ends.p90
    shape = next(s for s in svg.iter(f"{SVG}polygon") if s.get("class") == "growth")
    heights = [float(corner.split(",")[1]) for corner in shape.get("points").split()]
    steps_px = np.diff(heights[1:-1])  # without the two corners of the base
    assert np.flatnonzero(steps_px < -0.2).max() < np.flatnonzero(steps_px > 0.2).min()

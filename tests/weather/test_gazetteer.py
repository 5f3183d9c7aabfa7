from zoneinfo import ZoneInfo

import numpy as np
import pytest

from arbuscula.kinds.said import ArbusculaError
from arbuscula.weather.gazetteer import find_place
from arbuscula.weather.names import folded
from tests.world import WORLD, place


def refused(text):
    with pytest.raises(ArbusculaError) as error:
        find_place(WORLD, text)
    (fault,) = error.value.faults
    return fault


@pytest.mark.parametrize(
    ("text", "name", "country"),
    [
        ("Trieste", "Trieste", "IT"),
        ("Cape Town", "Cape Town", "ZA"),
        ("bergen", "Bergen", "NO"),
        ("KUALA LUMPUR", "Kuala Lumpur", "MY"),
        ("  De Bilt ", "De Bilt", "NL"),
    ],
)
def test_a_name_is_a_place(text, name, country):
    here = place(text)
    assert (here.name, here.country) == (name, country)


@pytest.mark.parametrize(
    ("text", "name"),
    [
        ("Wien", "Vienna"),
        ("Napoli", "Naples"),
        ("München", "Munich"),
        ("Muenchen", "Munich"),
        ("munchen", "Munich"),
        ("Tromsoe", "Tromsø"),
        ("Göteborg", "Gothenburg"),
        ("Kaapstad", "Cape Town"),
        ("'s-Gravenhage", "The Hague"),
        ("Den Haag", "The Hague"),
        ("St Gallen", "Sankt Gallen"),
        ("Sao Paulo", "São Paulo"),
        ("京都", "Kyoto"),
        ("Москва", "Moscow"),
        ("Αθήνα", "Athens"),
        ("서울", "Seoul"),
        ("القاهرة", "Cairo"),
    ],
)
def test_accents_and_local_spellings_are_understood(text, name):
    assert folded(place(text).name) == folded(name)


def test_the_most_populous_wins_and_the_others_are_told():
    found = find_place(WORLD, "Valencia")
    assert found.place.country == "VE"
    assert "ES" in [other.country for other in found.others]
    assert find_place(WORLD, "Trieste").others == ()


def test_a_present_name_goes_before_a_foreign_one_unless_that_place_is_far_larger():
    assert place("Salem").country == "IN"  # not Jerusalem, once called so
    assert place("Cancún").country == "MX"  # not Changchun, spelled so somewhere
    assert place("Roma").name == "Rome"  # not Roma in Lesotho


@pytest.mark.parametrize(
    ("text", "country"),
    [
        ("Valencia, Spain", "ES"),
        ("Valencia, España", "ES"),
        ("valencia, es", "ES"),
        ("Valencia, ESP", "ES"),
        ("Wien, Österreich", "AT"),
        ("Bergen, Holland", "NL"),
        ("Edinburgh, Scotland", "GB"),
        ("Birmingham, USA", "US"),
        ("Tokyo, 日本", "JP"),
    ],
)
def test_a_country_chooses_among_places(text, country):
    assert place(text).country == country


def test_a_state_of_the_united_states_chooses_too():
    assert place("Portland").longitude_deg < -120
    assert place("Portland, Maine").longitude_deg > -71
    assert place("Springfield, IL, USA").latitude_deg == pytest.approx(39.8, abs=0.1)


def test_numbers_are_a_place_with_the_nearest_towns_zone():
    here = place("45.7, 13.8, 150")
    assert (here.latitude_deg, here.longitude_deg) == (45.7, 13.8)
    assert (here.elevation_m, here.country) == (150, "IT")
    assert here.timezone == "Europe/Rome"
    assert place("45.7,13.8").name == "45.7, 13.8"


def test_without_an_elevation_a_point_lies_as_high_as_its_town():
    assert place("47.27,11.40").elevation_m == place("Innsbruck").elevation_m
    assert place("47.0,12.3").elevation_m > 1200  # in the mountains, no town near


def test_coasts_do_not_lie_under_water():
    assert place("Sydney").elevation_m == 0
    assert place("Seattle").elevation_m == 0
    assert place("Jericho").elevation_m < -200  # and the deepest valley is kept


def test_an_unknown_name_is_answered_with_near_ones():
    assert "Trieste, IT" in refused("Triestte").figures["near"]
    assert "Bergen, NO" in refused("Bergne").figures["near"]
    assert refused("Xqzzyx").message_id == "place.nothing_like"
    assert refused("").message_id == "place.nothing_like"


def test_a_name_that_is_elsewhere_is_told_where():
    fault = refused("Cape Town, Norway")
    assert fault.message_id == "place.not_there"
    assert fault.figures["near"] == "Cape Town, ZA"


@pytest.mark.parametrize(
    "text", ["91,0", "0,181", "45.7", "45,7,13,8", "45.7,13.8,9999"]
)
def test_numbers_off_the_earth_are_refused(text):
    assert refused(text).message_id == "place.not_on_earth"


def test_the_open_sea_is_refused():
    fault = refused("0,-30")
    assert fault.message_id == "place.at_sea"
    assert fault.figures == {"latitude_deg": 0, "longitude_deg": -30}


def test_every_time_zone_exists():
    for zone in WORLD.gazetteer.zones:
        assert ZoneInfo(zone).key == zone


def test_places_stand_by_size():
    largest = [place(name) for name in ("Shanghai", "Trieste", "De Bilt")]
    towns = WORLD.gazetteer
    rows = [
        np.hypot(
            towns.latitude_deg - p.latitude_deg, towns.longitude_deg - p.longitude_deg
        ).argmin()
        for p in largest
    ]
    assert rows == sorted(rows)

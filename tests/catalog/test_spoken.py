from dataclasses import replace

import pytest

from arbuscula.catalog.library import read_library
from arbuscula.catalog.spoken import mix_from_words, pot_from_words
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.said import ArbusculaError
from arbuscula.kinds.substrate import MixPart
from tests.substrates import LIBRARY

KNOWN = read_library(LIBRARY)


def fault(read, words, **more):
    with pytest.raises(ArbusculaError) as caught:
        read(words, KNOWN, **more)
    (only,) = caught.value.faults
    return only


def test_shares_names_and_grains():
    assert mix_from_words("3 pumice 4 mm, 4 akadama, 0.5 pine-bark", KNOWN) == {
        "pumice": MixPart(share=3, grain_mm=4),
        "akadama": MixPart(share=4),
        "pine-bark": MixPart(share=0.5),
    }


def test_a_name_may_be_written_as_people_write():
    assert [*mix_from_words(" 1  Pine Bark  3mm ,1 PUMICE", KNOWN)] == [
        "pine-bark",
        "pumice",
    ]


@pytest.mark.parametrize(
    "words",
    ["", "pumice", "3", "3 pumice; 4 akadama", "3 pumice, ", "0,5 pumice", "-1 pumice",
     "1 pumice, 2 pumice 3 mm", "nan pumice", "3 4 mm"],
)  # fmt: skip
def test_words_that_are_no_mix(words):
    odd = fault(mix_from_words, words)
    assert odd.message_id in {"mix.not_read", "library.unknown_substrate"}


def test_the_same_substrate_twice_is_not_halved_in_silence():
    odd = fault(mix_from_words, "1 pumice 2 mm, 2 pumice 6 mm")
    assert odd.message_id == "mix.not_read"


@pytest.mark.parametrize(
    ("words", "key"),
    [("3 pumice 900 mm", "grain_mm"), ("3 pumice 0 mm", "grain_mm"),
     (f"{'9' * 400} pumice", "share"), ("9999999 pumice", "share")],
)  # fmt: skip
def test_a_grain_or_a_share_that_cannot_be(words, key):
    assert fault(mix_from_words, words).figures["key"] == key


def test_a_mix_of_nothing_and_of_unknowns():
    assert fault(mix_from_words, "0 pumice").message_id == "mix.nothing"
    odd = fault(mix_from_words, "1 pummice")
    assert (odd.message_id, odd.figures["near"]) == (
        "library.unknown_substrate",
        "pumice",
    )


def oval(length_mm, width_mm, depth_mm):
    return Pot(shape="oval", length_mm=length_mm, width_mm=width_mm, depth_mm=depth_mm)


@pytest.mark.parametrize(
    "words",
    ["oval 235 x 180 x 70", "oval 235x180x70 mm", "Oval 23.5 \u00d7 18 \u00d7 7 cm",
     "oval 235 mm \u00d7 180 mm \u00d7 70 mm", "oval 23.5 cm x 18 cm x 70 mm"],
)  # fmt: skip
def test_one_pot_in_many_words(words):
    assert pot_from_words(words, KNOWN) == oval(235, 180, 70)


def test_inches_are_inches():
    """An inch is 25.4 mm, exact since 1959."""
    found = pot_from_words("box 10 x 8 x 2 in", KNOWN)
    assert (found.length_mm, found.width_mm, found.depth_mm) == pytest.approx(
        (254, 203.2, 50.8)
    )


def test_a_round_pot_has_a_diameter():
    assert pot_from_words("round 20 x 8 cm", KNOWN) == Pot(
        shape="round", diameter_mm=200, depth_mm=80
    )


@pytest.mark.parametrize("usual", KNOWN.pots, ids=str)
def test_a_usual_pot_is_known_by_its_first_size(usual):
    side_mm = usual.diameter_mm or usual.length_mm
    found = pot_from_words(f"{usual.shape} {side_mm} mm", KNOWN)
    assert found.depth_mm == next(
        pot.depth_mm
        for pot in KNOWN.pots
        if pot.shape == usual.shape and (pot.diameter_mm or pot.length_mm) == side_mm
    )


def test_what_is_not_said_keeps_the_usual_proportion():
    small, large = (pot_from_words(f"oval {n}", KNOWN) for n in (3000, 4500))
    assert large.depth_mm == pytest.approx(1.5 * small.depth_mm)


@pytest.mark.parametrize(
    ("words", "colour"),
    [("dark oval 235 x 180 x 70", "dark"), ("oval 235 x 180 x 70, light", "light"),
     ("Oval 23.5 x 18 x 7 cm Medium", "medium"), ("oval 235 x 180 x 70", None)],
)  # fmt: skip
def test_a_pot_may_be_dark_or_light(words, colour):
    assert pot_from_words(words, KNOWN) == replace(oval(235, 180, 70), colour=colour)


def test_the_taper_is_handed_on():
    assert pot_from_words("oval 235", KNOWN, taper_frac=0.87).taper_frac == 0.87


@pytest.mark.parametrize(
    "words",
    ["", "oval", "dark", "blue oval 20", "oval 20, blue",
     "235 x 180 x 70", "square 20", "oval 20..1 x 8", "box 1 x 2 x 3 x 4",
     "round 2 x 8 x 5 cm", "oval -20", "box 20 m", "oval 20 x", "box x 20", "oval 1,5"],
)  # fmt: skip
def test_words_that_are_no_pot(words):
    assert fault(pot_from_words, words).message_id == "pot.not_read"


def test_a_pot_of_no_size():
    odd = fault(pot_from_words, "box 200 x 150 x 0")
    assert (odd.figures["key"], odd.figures["found"]) == ("depth_mm", "0.0")


@pytest.mark.parametrize("taper_frac", [0, float("nan"), float("inf"), -1])
def test_a_taper_that_cannot_be(taper_frac):
    odd = fault(pot_from_words, "oval 235 x 180 x 70", taper_frac=taper_frac)
    assert odd.figures["key"] == "taper_frac"

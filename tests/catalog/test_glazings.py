"""Panes of the library, and how people call them."""

import pytest

from arbuscula.catalog.spoken import glazing_from_words
from arbuscula.kinds.place import Exposure
from arbuscula.kinds.said import ArbusculaError
from tests.state.made import LIBRARY


@pytest.mark.parametrize(
    ("words", "key"),
    [
        ("double", "double"),
        ("Double low-e", "double-low-e"),
        ("polycarbonate  twin wall", "polycarbonate"),
        ("horticultural single", "horticultural"),
        ("film", "film"),
    ],
)
def test_panes_are_known_by_key_and_by_what_people_say(words, key):
    assert glazing_from_words(words, LIBRARY) == key


def test_panes_nobody_knows_are_refused_with_the_nearest():
    with pytest.raises(ArbusculaError) as refused:
        glazing_from_words("doubel", LIBRARY)
    (fault,) = refused.value.faults
    assert fault.message_id == "library.unknown_glazing"
    assert "double" in fault.figures["near"]


def test_what_is_usual_is_in_the_library():
    figures = LIBRARY.benches
    usual = {
        figures.window.glazing,
        figures.glasshouse.cover,
        figures.cold_frame.cover,
    }
    assert usual <= LIBRARY.glazings.keys()


def test_more_panes_pass_less_and_keep_more_warmth():
    single, double, triple = (
        LIBRARY.glazings[k] for k in ("single", "double", "triple")
    )
    for one, more in ((single, double), (double, triple)):
        assert one.visible_frac.value > more.visible_frac.value
        assert one.solar_frac.value > more.solar_frac.value
        assert one.loss_w_m2_k.value > more.loss_w_m2_k.value


def test_every_exposure_knows_what_panes_are_made_of():
    assert {*Exposure} == LIBRARY.shelters.keys()
    assert all(s.built is not None for s in LIBRARY.shelters.values())

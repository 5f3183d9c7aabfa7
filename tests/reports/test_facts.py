from datetime import date

import pytest
from hypothesis import given

from arbuscula.kinds import events as told
from arbuscula.kinds.pot import Pot
from arbuscula.kinds.substrate import MixPart
from arbuscula.kinds.supplies import Money
from arbuscula.reports.facts import facts_in_words
from arbuscula.reports.words import Voice
from tests.anything import events

VOICE = Voice()


@pytest.mark.parametrize(
    ("facts", "words"),
    [
        (told.Checked(how=told.How.SEEN, found=told.Found.LOOSE), "seen, loose"),
        (told.Watered(), ""),
        (told.Watered(given_ml=800.0), "given 800 mL"),
        (told.Weighed(mass_g=2350.0, drained=True), "mass 2,350 g, drained"),
        (told.Wired(gauge_mm=2.5, check_by=date(2026, 8, 1)),
         "gauge 2.5 mm, check by 2026-08-01"),
        (told.Priced(price=Money(coins_n=4550, currency="EUR")), "price \u20ac45.50"),
        (told.Priced(price=Money(coins_n=4500, currency="JPY")), "price \u00a54,500"),
        (told.Divided(into=("X1", "X2")), "into X1 X2"),
        (told.LeavesDropping(many=False), "many: no"),
        (told.Repotted(mix={"pumice": MixPart(share=3, grain_mm=4), "peat": 1.0},
                       removed_frac=0.25),
         "mix 3 pumice 4 mm, 1 peat, removed 25 %"),
        (told.SlipPotted(pot=Pot(shape="round", diameter_mm=200, depth_mm=80)),
         "pot round 200 mm \u00d7 80 mm"),
        (told.Measured(reading=told.Reading(quantity="night_min_c", value=-3.5)),
         "night min -3.5\u00b0C"),
        (told.Noted(text="leans"), "leans"),
    ],
)  # fmt: skip
def test_facts_are_told_key_by_key(facts, words):
    assert facts_in_words(facts, VOICE) == words


def test_a_reader_has_units_of_their_own():
    facts = told.Watered(given_ml=800.0)
    assert facts_in_words(facts, Voice("en", "us")) == "given 27.1 fl oz"


def test_a_currency_of_odd_signs_is_shown_not_obeyed():
    told_so = facts_in_words(told.Priced(price=Money(coins_n=0, currency="\n")), VOICE)
    assert told_so.startswith("price \\n")


@given(events())
def test_whatever_the_book_takes_can_be_told_on_one_line(event):
    assert "\n" not in facts_in_words(event.facts, VOICE)

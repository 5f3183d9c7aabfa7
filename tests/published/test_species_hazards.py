"""Wood without green, and poisons: Cregg and Sperry; lists as others quote them."""

import pytest

from arbuscula.desk.may import toxicity_said
from arbuscula.kinds.said import Said
from arbuscula.reports.words import Voice, sentence
from tests.jobs import LIBRARY, judged, verdict

pytestmark = pytest.mark.published


def test_a_juniper_is_never_cut_below_the_last_green():
    for phase in ("rest", "waking", "flush", "hardened", "slowing"):
        assert verdict("bare-wood-cut", group="juniper", phase=phase) == "no"
    first = judged("bare-wood-cut", group="juniper").because[0]
    assert (first.said.message_id, first.source) == ("never.no_bare_buds", "cregg")
    assert first.grade.value == "read"


@pytest.mark.parametrize(("light", "said"), [(3, "not yet"), (12, "yes")])
def test_no_leaves_are_taken_off_in_low_light(light, said):
    """lowlight, at title level; the line of 8 mol/m2 a day is practice."""
    shown = verdict("defoliate", phase="hardened", light_mol_m2_d=float(light))
    assert shown == said


@pytest.mark.parametrize(
    ("species", "state"),
    [
        ("ficus-microcarpa", "toxicity.listed_toxic"),
        ("portulacaria-afra", "toxicity.conflicting"),
        ("zelkova-serrata", "toxicity.not_listed"),
    ],
)
def test_toxicity_has_four_states_and_absence_is_not_safe(species, state):
    assert toxicity_said(LIBRARY.species[species].harm).message_id == state
    assert toxicity_said(None).message_id == "toxicity.not_listed"


def test_16_of_60_plant_keepers_were_sensitised():
    """axelsson1987, printed as 27 %; the words beside fig sap say the count."""
    assert "16 of 60" in sentence(Said("caution.sap", {}), Voice())
    assert LIBRARY.species["ficus-benjamina"].harm.latex

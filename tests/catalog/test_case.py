import numpy as np
import pytest

from arbuscula.catalog.case import read_case, read_folder
from arbuscula.catalog.fit import KNOWN_N, likely_g
from arbuscula.catalog.library import read_library
from arbuscula.catalog.spoken import pot_from_words
from arbuscula.kinds.said import ArbusculaError
from arbuscula.kinds.substrate import MixPart
from tests.substrates import LIBRARY

KNOWN = read_library(LIBRARY)
CASE = """
schema = "arbuscula.drydown-case/1"
species = "ficus-microcarpa"
forecast_from = 2026-06-05T08:00:00+02:00
[pot]
shape = "oval"
length_mm = 235
width_mm = 180
depth_mm = 70
tare_g = 850
[mix]
pumice = 3
akadama = { share = 4, grain_mm = 3 }
[plant]
[files]
weather = "weather.csv"
weights = "weights.csv"
waterings = "waterings.csv"
"""
WEIGHTS = (
    "time,mass_g\n2026-06-04T08:00Z,3000\n2026-06-04T20:00Z,\n2026-06-05T08:00Z,2800\n"
)
WATERINGS = "time,given_ml\n2026-06-04T07:00Z,\n2026-06-05T07:00Z,200\n"


@pytest.fixture
def folder(tmp_path):
    (tmp_path / "case.toml").write_text(CASE)
    (tmp_path / "weights.csv").write_text(WEIGHTS)
    (tmp_path / "waterings.csv").write_text(WATERINGS)
    return tmp_path


def read(folder):
    path = folder / "case.toml"
    return read_folder(path, read_case(path), KNOWN)


def faults(folder, old="", new="", *, file="case.toml"):
    text = (folder / file).read_text()
    assert old in text
    (folder / file).write_text(text.replace(old, new, 1))
    with pytest.raises(ArbusculaError) as caught:
        read(folder)
    return caught.value.faults


def fault(*args, **where):
    (only,) = faults(*args, **where)
    return only


def test_a_case_is_read_with_what_was_left_out(folder):
    case = read(folder).case
    assert case.horizon_h == 120
    assert case.mix == {"pumice": 3, "akadama": MixPart(share=4, grain_mm=3)}
    assert (case.plant.crown, case.plant.leaf_area_m2) == ("medium", None)
    assert case.yard is None


def test_tables_lie_beside_the_case(folder):
    whole = read(folder)
    assert whole.weather == folder / "weather.csv"
    assert whole.weights.mass_g.tolist() == [3000, 2800]
    assert np.diff(whole.weights.at_s).tolist() == [86400]


def test_a_watering_without_a_number_soaked_until_it_ran(folder):
    assert read(folder).waterings.given_ml.tolist() == [np.inf, 200]


def test_weights_and_waterings_may_be_left_out(folder):
    text = (folder / "case.toml").read_text()
    (folder / "case.toml").write_text(text.partition("weights =")[0])
    whole = read(folder)
    assert whole.weights is None
    assert whole.waterings is None


@pytest.mark.parametrize(
    "found", ["ficus-macrocarpa", "Ficus microcarpa", "chinese banian", "Indian Laurel"]
)
def test_an_unknown_species_is_told_with_the_nearest_by_any_of_its_names(folder, found):
    odd = fault(folder, "ficus-microcarpa", found)
    assert odd.message_id == "library.unknown_species"
    assert odd.figures["found"] == found
    assert odd.figures["near"].split(", ")[0] == "ficus-microcarpa"


def test_a_species_like_none_is_told_with_those_there_are(folder):
    near = fault(folder, "ficus-microcarpa", "xylon").figures["near"].split(", ")
    assert near == [*KNOWN.species][:KNOWN_N]


def test_a_substrate_that_nobody_knows(folder):
    odd = fault(folder, "pumice", "pummice")
    assert (odd.message_id, odd.figures["near"]) == (
        "library.unknown_substrate",
        "pumice",
    )


@pytest.mark.parametrize("mix", ["", "pumice = 0", "pumice = { share = 0 }"])
def test_a_mix_of_nothing(folder, mix):
    old = CASE[CASE.index("pumice") : CASE.index("[plant]")]
    odd = fault(folder, old, mix + "\n")
    assert odd.message_id == "mix.nothing"
    assert "akadama" in odd.figures["known"]


@pytest.mark.parametrize("share", ["-1", "1e300"])
def test_a_share_that_cannot_be(folder, share):
    odd = fault(folder, "pumice = 3", f"pumice = {share}")
    assert (odd.message_id, odd.figures["name"]) == ("mix.share", "pumice")


@pytest.mark.parametrize(
    ("old", "new", "lacks"),
    [
        ("width_mm = 180\n", "", ["width_mm"]),
        ('"oval"', '"round"', ["diameter_mm"]),
        ("length_mm = 235\nwidth_mm = 180\n", "", ["length_mm", "width_mm"]),
    ],
)
def test_a_pot_that_lacks_a_size(folder, old, new, lacks):
    odd = faults(folder, old, new)
    assert [f.message_id for f in odd] == ["pot.lacks"] * len(lacks)
    assert [f.figures["key"] for f in odd] == lacks


@pytest.mark.parametrize("size", ["0", "-70", "nan", "1e9"])
def test_a_pot_of_no_size(folder, size):
    odd = fault(folder, "depth_mm = 70", f"depth_mm = {size}")
    assert odd.figures["key"] == "pot.depth_mm"


def test_a_weight_below_the_empty_pot(folder):
    odd = fault(folder, "2800", "800", file="weights.csv")
    assert odd.message_id == "case.below_tare"
    assert (odd.figures["row"], odd.figures["found"]) == ("4", "800 g")
    assert odd.figures["tare"] == "850 g"


@pytest.mark.parametrize("mass_g", ["280000", "860"])
def test_a_weight_that_is_of_another_pot(folder, mass_g):
    """Two noughts too many; an empty pot with a spoon of soil in it."""
    odd = fault(folder, "2800", mass_g, file="weights.csv")
    assert odd.message_id == "case.another_pot"
    assert (odd.figures["row"], odd.figures["rows"]) == ("4", "1")


@pytest.mark.parametrize(
    ("pot", "mass_g"),
    [
        ("oval 235 x 180 x 70", 3370),
        ("round 30 x 25", 45),
        ("box 900 x 600 x 150", 180_000),
    ],
)
def test_weights_of_real_pots_are_likely(pot, mass_g):
    """The example's fig, a thumb pot, and a pot that three carry (practice)."""
    least_g, most_g = likely_g(pot_from_words(pot, KNOWN))
    assert least_g < mass_g < most_g


def test_a_light_pot_without_a_tare_is_taken_as_it_is(folder):
    case = (folder / "case.toml").read_text().replace("tare_g = 850\n", "")
    (folder / "case.toml").write_text(case)
    (folder / "weights.csv").write_text(WEIGHTS.replace("2800", "800"))
    assert read(folder).weights.mass_g.tolist() == [3000, 800]


def test_weights_without_a_weight(folder):
    (folder / "weights.csv").write_text("time,mass_g\n2026-06-05T08:00Z,\n")
    assert fault(folder).message_id == "table.empty_column"


def test_a_case_is_not_as_large_as_a_table(folder):
    with (folder / "case.toml").open("a") as file:
        file.truncate(2_000_000)
    assert fault(folder).message_id == "file.too_large"


def test_faults_of_the_case_and_of_both_tables_are_told_at_once(folder):
    (folder / "weights.csv").write_text("time,mass_g\n2026-06-05T08:00Z,-1\n")
    (folder / "waterings.csv").unlink()
    odd = faults(folder, "pumice = 3", "pumice = -3")
    told = [(f.message_id, f.figures["file"].split("/")[-1]) for f in odd]
    assert told == [
        ("mix.share", "case.toml"),
        ("table.outside", "weights.csv"),
        ("file.missing_near", "waterings.csv"),
    ]

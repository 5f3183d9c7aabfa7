"""The library as it is shown, and what one's own files do."""

import json
import shutil

import arbuscula.start
from tests.faces.ask import ask

OURS = arbuscula.start.LIBRARY


def test_all_shelves_are_listed(tmp_path):
    said = ask(tmp_path, "library").stdout
    for name in ("ficus-carica", "kanuma", "copper", "epsom-salt", "soft-scale"):
        assert name in said


def test_an_entry_shows_every_number_with_its_ground(tmp_path):
    said = ask(tmp_path, "library", "edible fig").stdout
    assert "warmth.base_c = 10, 8 to 13: assumed, arbuscula" in said
    assert "harm.burns_in_sun: yes" in said
    assert "What no list has is not therefore safe." in said


def test_an_entry_as_data(tmp_path):
    told = json.loads(ask(tmp_path, "library", "akadama", "--json").stdout)
    assert told["schema"] == "arbuscula.library_entry/1"
    numbers = {n["key"]: n["number"]["value"] for n in told["numbers"]}
    assert numbers["grain_mm"] == 4


def test_a_name_that_is_none_has_near_ones(tmp_path):
    done = ask(tmp_path, "library", "akadana")
    assert done.exit_code == 2
    assert "akadama" in done.stderr


def test_a_file_of_ones_own_is_explained(tmp_path):
    own = tmp_path / "mine.toml"
    text = (OURS / "pests/two-spotted-mite.toml").read_text()
    own.write_text(text)
    done = ask(tmp_path, "verify", own)
    assert done.exit_code == 0
    assert "two-spotted spider mite (pests): 3 numbers, of which 2 read" in done.stdout
    own.write_text(text.replace("value = 12.5", 'value = "warm"'))
    done = ask(tmp_path, "verify", own)
    assert done.exit_code == 1
    assert "mine.toml, line" in done.stderr
    assert "a number would do" in done.stderr


def test_one_s_own_species_is_at_hand_at_once(tmp_path):
    folder = tmp_path / "library/species"
    folder.mkdir(parents=True)
    text = (OURS / "species/ficus-microcarpa.toml").read_text()
    text = text.replace('latin = "Ficus microcarpa"', 'latin = "Ficus rubra"')
    (folder / "ficus-rubra.toml").write_text(text)
    assert "Ficus rubra" in ask(tmp_path, "library", "ficus-rubra").stdout
    shutil.rmtree(tmp_path / "library")
    assert ask(tmp_path, "library", "ficus-rubra").exit_code == 2

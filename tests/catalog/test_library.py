import shutil

import pytest

from arbuscula.catalog.library import read_library
from arbuscula.kinds.said import ArbusculaError
from tests.substrates import LIBRARY


@pytest.fixture
def copy(tmp_path):
    """Return a copy of the library, to be spoilt."""
    return shutil.copytree(
        LIBRARY, tmp_path / "library", ignore=shutil.ignore_patterns("world")
    )


def faults(folder):
    with pytest.raises(ArbusculaError) as caught:
        read_library(folder)
    return caught.value.faults


def spoil(path, old, new):
    text = path.read_text()
    assert old in text
    path.write_text(text.replace(old, new, 1))


def test_the_library_holds_what_it_lists():
    library = read_library(LIBRARY)
    assert library.species["ficus-microcarpa"].latin == "Ficus microcarpa"
    assert library.substrates["akadama"].grain_mm.value > 0
    assert {pot.shape for pot in library.pots} == {"box", "oval", "round"}
    assert library.sources["growers"].cite


def test_a_file_added_is_a_species_more(copy):
    """No line of Python is needed for it."""
    known, new = (copy / "species" / f"ficus-{s}.toml" for s in ("microcarpa", "rubra"))
    shutil.copy(known, new)
    spoil(new, "Ficus microcarpa", "Ficus rubra")
    assert read_library(copy).species["ficus-rubra"].latin == "Ficus rubra"


def test_faults_of_several_files_are_told_at_once(copy):
    spoil(copy / "species/ficus-benjamina.toml", "latin", "latim")
    spoil(copy / "substrates/peat.toml", 'grade = "', 'grade = "very ')
    spoil(copy / "pots.csv", "oval,", "ovil,")
    (copy / "demand.toml").unlink()
    told = [(f.message_id, f.figures["file"].split("/")[-1]) for f in faults(copy)]
    assert told == [
        ("file.unknown_key", "ficus-benjamina.toml, line 1"),
        ("file.missing_key", "ficus-benjamina.toml"),
        ("file.fault", "peat.toml, line 9"),
        ("file.fault", "pots.csv, row 2"),
        ("file.missing_near", "demand.toml"),
    ]


def test_a_file_that_is_no_text_is_one_fault_among_others(copy):
    (copy / "species/ficus-benjamina.toml").write_bytes(b"\xff\xfe")
    (copy / "substrates/peat.toml").write_text("=")
    told = [fault.message_id for fault in faults(copy)]
    assert told == ["file.not_text", "file.not_toml"]


def test_a_value_of_no_source_is_refused(copy):
    spoil(
        copy / "species/ficus-benjamina.toml", 'source = "growers"', 'source = "grower"'
    )
    (fault,) = faults(copy)
    assert "growers" in fault.figures["allowed"]


@pytest.mark.parametrize("text", ["growers = 3", "[growers]\ncite = 3", "[growers]"])
def test_a_source_that_is_none(copy, text):
    (copy / "sources.toml").write_text(text)
    (fault,) = faults(copy)
    assert fault.figures["key"].startswith("growers")


@pytest.mark.parametrize(
    ("text", "message_id"),
    [
        ("shape,depth_mm\nbox,\n", "file.missing_key"),
        ("shape,depth_mm\nbox,deep\n", "file.fault"),
        ("shape,depth_mm\nbox,0\n", "file.fault"),
        ("depth_mm\n70\n", "file.fault"),
        ('shape,depth_mm\nbox,"70\n', "table.not_csv"),
        ("shape,depth_mm\n", "table.empty"),
    ],
)
def test_pots_that_cannot_be(copy, text, message_id):
    (copy / "pots.csv").write_text(text)
    (fault,) = faults(copy)
    assert fault.message_id == message_id
    assert "pots.csv" in fault.figures["file"]


# The grower's own folder, read after ours


@pytest.fixture
def own(tmp_path):
    """Return a folder of the grower's own, still empty."""
    for name in ("species", "pests"):
        (tmp_path / "own" / name).mkdir(parents=True)
    return tmp_path / "own"


def test_a_file_of_ones_own_stands_in_for_ours(own):
    mine = shutil.copy(LIBRARY / "species/ficus-benjamina.toml", own / "species")
    spoil(
        own / "species/ficus-benjamina.toml",
        "value = 12, low = 10",
        "value = 11, low = 10",
    )
    ours, both = read_library(LIBRARY), read_library(LIBRARY, own)
    assert both.species["ficus-benjamina"].warmth.warn_below_c.value == 11
    assert ours.species["ficus-benjamina"].warmth.warn_below_c.value == 12
    assert {*both.species} == {*ours.species}, mine


def test_ones_own_sources_and_pots_stand_beside_ours(own):
    new = own / "species/ficus-rubra.toml"
    shutil.copy(LIBRARY / "species/ficus-benjamina.toml", new)
    spoil(new, '"tjosvold"', '"my_notes"')
    (own / "sources.toml").write_text('[my_notes]\ncite = "Own notes, 2026"\n')
    (own / "pots.csv").write_text("shape,diameter_mm,depth_mm\nround,300,55\n")
    ours, both = read_library(LIBRARY), read_library(LIBRARY, own)
    assert both.species["ficus-rubra"].thirst.due_below_frac.source == "my_notes"
    assert len(both.pots) == len(ours.pots) + 1


def test_a_fault_of_ones_own_is_told_with_its_path_and_line(own):
    new = own / "pests/mine.toml"
    new.write_text('name = "mine"\nnote = ""\nhosts = []\nshowz = "webs"\n')
    with pytest.raises(ArbusculaError) as caught:
        read_library(LIBRARY, own)
    told = {(f.message_id, f.figures["file"]) for f in caught.value.faults}
    assert told == {
        ("file.unknown_key", f"{new}, line 4"),
        ("file.missing_key", str(new)),
    }


def test_no_folder_of_ones_own_is_none(tmp_path):
    assert read_library(LIBRARY, tmp_path / "none") == read_library(LIBRARY)

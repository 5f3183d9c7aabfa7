import ast
import inspect
import re
import tomllib
from pathlib import Path

import pytest

from arbuscula.catalog.library import read_library
from arbuscula.units import unit_of
from tests.selfcheck.house import LIBRARY, ROOT, SRC, nodes, science

SOURCES = tomllib.loads((LIBRARY / "sources.toml").read_text())
FILES = sorted(set(LIBRARY.rglob("*.toml")) - {LIBRARY / "sources.toml"})
WORDS_AS_KEYS = {  # a grower's own words
    "cover",
    "wall",
    "density",
    "leaf_area_m2",
    "height_cm",
    "work_min",
}


def test_every_file_is_read_whole():
    library = read_library(LIBRARY)
    species = {p.stem for p in (LIBRARY / "species").glob("*.toml")}
    substrates = {p.stem for p in (LIBRARY / "substrates").glob("*.toml")}
    assert species == {*library.species}
    assert substrates == {*library.substrates}


def test_every_species_says_what_is_missing_and_whom_it_may_harm():
    for key, species in read_library(LIBRARY).species.items():
        assert species.missing, key
        assert species.harm, key
        assert species.leaves, key


def test_no_python_in_the_library():
    assert [*LIBRARY.rglob("*.py*")] == []


def keys_of(table, above=""):
    for key, part in table.items():
        if isinstance(part, dict) and not part.keys() & {"value", "coefficients"}:
            yield from keys_of(part, key)
        elif above not in WORDS_AS_KEYS:
            yield key, part


@pytest.mark.parametrize("path", FILES, ids=lambda path: path.stem)
def test_every_key_bears_its_unit_and_is_read_by_code(path):
    read = {n.attr for n in nodes(ast.Attribute)}
    read |= {n.target.id for n in nodes(ast.AnnAssign) if hasattr(n.target, "id")}
    for key, part in keys_of(tomllib.loads(path.read_text())):
        assert key in read
        is_quantity = isinstance(part, dict | float | int) and part not in (True, False)
        assert not is_quantity or unit_of(key), key


@pytest.mark.parametrize("function", science(), ids=lambda f: f.__qualname__)
def test_every_function_of_science_names_its_source(function):
    (key,) = re.findall(r"Source: (\w+)", inspect.getdoc(function))
    assert key in SOURCES


def test_every_source_is_named():
    text = "".join(path.read_text() for path in LIBRARY.rglob("*.toml"))
    said = " ".join(inspect.getdoc(f) for f in science())
    code = [path for path in SRC.rglob("*.py") if path.parent.name != "science"]
    tests = [
        path
        for path in (ROOT / "tests").rglob("*.py")
        if path.name != Path(__file__).name
    ]
    said += "".join(p.read_text() for p in (LIBRARY / "pots.csv", *code, *tests))
    named = {*re.findall(r'source = "(\w+)"', text)} | {*re.findall(r"\b\w+\b", said)}
    assert SOURCES.keys() - named == set()

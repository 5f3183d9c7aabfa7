"""A verb loads what it needs: a shell that waits is a shell nobody uses."""

import os
import subprocess
import sys

import pytest

from tests.desk.stair import stair

HEAVY = {"pvlib", "pandas", "numba", "alembic", "scipy"}
READING = {
    "today": ["today"],
    "warm today": ["today"],  # from the snapshot of the one before
    "library": ["library", "ficus-carica"],
    "why": ["why", "B3-4"],
    "yard list": ["yard", "list"],
    "bench list": ["bench", "list"],
    "bench show": ["bench", "show", "Bench 3"],
    "tree list": ["tree", "list"],
    "tree show": ["tree", "show", "B3-4"],
    "season": ["season", "Trieste"],
    "may": ["may", "B3-4", "trim", "repot"],
    "verify": ["verify"],
    "record": ["record", "B3-4", "check", "half"],
    "pot": ["pot", "oval 18 cm"],
    "mix": ["mix", "3 pumice, 1 peat", "--pot", "oval 18 cm"],
    "drydown": ["drydown", "examples/bench-fig/case.toml"],
}
UNASKED = {"arbuscula.desk.drydown", "arbuscula.desk.may"}  # by a round
WITHOUT_A_BOOK = ("--help", "pot", "mix", "drydown")


@pytest.fixture(scope="module")
def home(tmp_path_factory):
    folder = tmp_path_factory.mktemp("home")
    stair(folder).ledger().engine.dispose()
    return folder


def loaded(home, *words):
    """Return the packages that a command loads."""
    return {name.partition(".")[0] for name in modules(home, *words)}


def modules(home, *words):
    """Return the modules that a command loads, in a process of its own."""
    command = [sys.executable, "-X", "importtime", "-m", "arbuscula", *words]
    env = {**os.environ, "ARBUSCULA_HOME": str(home)}
    done = subprocess.run(command, capture_output=True, text=True, check=False, env=env)
    assert done.returncode == 0, done.stderr[-500:]
    lines = (line for line in done.stderr.splitlines() if "|" in line)
    return {line.rpartition("|")[2].strip() for line in lines}


@pytest.mark.slow
@pytest.mark.parametrize("verb", READING)
def test_a_verb_that_reads_loads_nothing_heavy(home, verb):
    assert loaded(home, *READING[verb]) & HEAVY == set()


@pytest.mark.parametrize("verb", WITHOUT_A_BOOK)
def test_what_needs_no_book_loads_no_database(home, verb):
    assert "sqlalchemy" not in loaded(home, *READING.get(verb, [verb]))


@pytest.mark.slow
def test_a_round_loads_no_verb_but_its_own(home):
    assert not modules(home, "today") & UNASKED

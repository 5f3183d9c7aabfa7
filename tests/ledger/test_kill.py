"""Kills, full disks and damage in short; scripts/crash_harness.py at length."""

import subprocess
import sys

import pytest

from tests import postgres
from tests.selfcheck.house import ROOT


@pytest.mark.slow
def test_whatever_was_called_safe_is_there_once_whatever_happens():
    command = [sys.executable, "-m", "scripts.crash_harness", "--short"]
    said = subprocess.run(
        command, capture_output=True, text=True, cwd=ROOT, check=False
    )
    assert said.returncode == 0, said.stdout + said.stderr
    _, _, *rows = (line.strip("| ").split(" | ") for line in said.stdout.splitlines())
    for harm, _, runs, acknowledged, found, lost, doubled in rows:
        assert int(runs) >= 1
        # who is killed while the book is made may not have come to write
        assert acknowledged == found
        assert found != "0" or harm == "killed while the book is made"
        assert (lost, doubled) == ("0", "0")
    stores = ["SQLite"] + (["PostgreSQL"] if postgres.binaries() else [])
    for store in stores:
        killed = [row for row in rows if row[:2] == ["writers killed", store]]
        assert [row[2] for row in killed] == ["10"]
    if "PostgreSQL" not in stores:
        pytest.skip(postgres.HOW_TO_GET_ONE)

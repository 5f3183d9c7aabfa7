"""What the pages show is what the program prints."""

import os
import re
import subprocess
import sys

import pytest

from tests.selfcheck.house import ROOT


def said_by(*words, home=None):
    env = {**os.environ, **({"ARBUSCULA_HOME": str(home)} if home else {})}
    command = [sys.executable, "-m", "arbuscula", *words]
    done = subprocess.run(
        command, capture_output=True, text=True, check=True, cwd=ROOT, env=env
    )
    return [line.rstrip() for line in done.stdout.splitlines()]


def shown_in(page):
    text = (ROOT / page).read_text()
    return re.search(r"```text\n(.*?)```", text, re.DOTALL)[1].splitlines()


@pytest.mark.slow
def test_the_readme_shows_real_output(tmp_path):
    """All but the last line, which says where the book lies."""
    said = said_by("demo", "--date", "2026-10-24", home=tmp_path / "home")
    assert said[-1].startswith("Go on: ARBUSCULA_HOME=")
    assert shown_in("README.md") == said[:-2]


def test_the_page_on_drydown_shows_real_output():
    case = "examples/bench-fig/case.toml"
    assert shown_in("docs/drydown.md") == said_by("drydown", case)


def test_the_readme_has_exactly_two_commands():
    text = (ROOT / "README.md").read_text()
    assert re.findall(r"(?m)^    \./arbuscula-dev (\w+)", text) == ["demo", "test"]

"""What the README shows is what the program prints."""

import re
import subprocess
import sys

from tests.selfcheck.house import ROOT


def test_the_readme_shows_real_output():
    shown = re.search(r"```text\n(.*?)```", (ROOT / "README.md").read_text(), re.DOTALL)
    command = [sys.executable, "-m", "arbuscula", "drydown"]
    case = "examples/bench-fig/case.toml"
    said = subprocess.run(
        [*command, case], capture_output=True, text=True, check=True, cwd=ROOT
    )
    lines = [line.rstrip() for line in said.stdout.splitlines()]
    assert shown[1].splitlines() == lines


def test_the_readme_has_exactly_two_commands():
    text = (ROOT / "README.md").read_text()
    assert re.findall(r"(?m)^    \./arbuscula-dev (\w+)", text) == ["demo", "test"]

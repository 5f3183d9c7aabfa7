"""Ask the command line as a grower would."""

import os
import subprocess
import sys

from click.testing import CliRunner

from arbuscula.cli.commands import cli
from arbuscula.cli.door import Visit
from arbuscula.reports.words import Voice
from arbuscula.start import desk_at


def ask(home, *words):
    """Run a command in this process, at a desk of its own."""
    visit = Visit(lambda: desk_at(home), Voice())
    return CliRunner().invoke(cli, [str(word) for word in words], obj=visit)


def ask_outside(home, *words):
    """Run a command as a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "arbuscula", *map(str, words)],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "ARBUSCULA_HOME": str(home)},
    )

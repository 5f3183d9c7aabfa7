"""Ask the command line as a grower would."""

import os
import subprocess
import sys
from dataclasses import replace

from click.testing import CliRunner

from arbuscula.cli.commands import cli
from arbuscula.cli.door import Visit
from arbuscula.reports.words import Voice
from arbuscula.start import desk_at


def ask(home, *words, now=None, typed=None):
    """Run a command in this process, at a desk of its own; now may be another time."""

    def open_desk():
        desk = desk_at(home)
        return replace(desk, clock=lambda: now) if now else desk

    visit = Visit(open_desk, Voice())
    return CliRunner().invoke(cli, [str(w) for w in words], obj=visit, input=typed)


def ask_outside(home, *words):
    """Run a command as a process of its own."""
    return subprocess.run(
        [sys.executable, "-m", "arbuscula", *map(str, words)],
        capture_output=True,
        text=True,
        check=False,
        env={**os.environ, "ARBUSCULA_HOME": str(home)},
    )

"""What the page of the first hour shows is what the program prints."""

import re
import shlex
from dataclasses import replace
from datetime import UTC, datetime, timedelta
from itertools import count

from click.testing import CliRunner

from arbuscula.cli.commands import cli
from arbuscula.cli.door import Visit
from arbuscula.reports.words import Voice
from arbuscula.start import desk_at
from tests.selfcheck.house import ROOT

PAGE = ROOT / "docs/first-hour.md"
NOW = datetime(2026, 7, 8, 6, 10, tzinfo=UTC)
BLOCKS = re.compile(r"```(console|csv)\n(.*?)```", re.DOTALL)


def printed(desk, at, line):
    """Return a command and what the program prints at that minute."""
    words = shlex.split(line.removeprefix("$ arbuscula "))
    visit = Visit(lambda: replace(desk, clock=lambda: at), Voice())
    said = CliRunner().invoke(cli, words, obj=visit)
    lines = [line, *map(str.rstrip, said.output.splitlines())]
    return "\n".join(lines) + "\n"


def page_as_printed(home):
    """Return the page with every answer told anew."""
    ids = (f"{n:08x}" for n in count(0x3F00A1))
    desk = replace(desk_at(home), new_id=lambda: next(ids))
    minutes = count()  # each command takes one

    def told(found):
        sort, block = found.groups()
        if sort == "csv":
            (home / "trees.csv").write_text(block, encoding="utf-8")
            return found[0]
        commands = [line for line in block.splitlines() if line.startswith("$ ")]
        at = [NOW + timedelta(minutes=next(minutes)) for _ in commands]
        shown = map(printed, [desk] * len(at), at, commands)
        return "```console\n" + "".join(shown) + "```"

    return BLOCKS.sub(told, PAGE.read_text())


def test_the_page_of_the_first_hour_is_fresh(tmp_path, monkeypatch):
    monkeypatch.chdir(tmp_path)
    assert PAGE.read_text() == page_as_printed(tmp_path)

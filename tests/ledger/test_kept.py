"""A kept ledger of every release: later programs read it alike.

When one of these fails, an old book would be told differently from now on. Do not
write the kept files anew: let a new field be None where old words left it unsaid.
Before its release a version's own ledger may be made again, with
`python -m scripts.keep_ledger tests/ledgers/VERSION`.
"""

import json
from importlib.metadata import version
from pathlib import Path

import pytest

from arbuscula.kinds.events import KINDS
from arbuscula.ledger.book import events_after, head
from arbuscula.ledger.exchange import book_lines, take_lines
from arbuscula.ledger.lines import line_from_event
from arbuscula.ledger.verify import verify_store
from scripts.keep_ledger import BOOKS, standing

KEPT = Path(__file__).parents[1] / "ledgers"
FILES = sorted(KEPT.glob("*/*.jsonl"))


def named(path):
    return f"{path.parent.name}/{path.stem}"


@pytest.fixture(params=FILES, ids=named)
def path(request):
    return request.param


def test_it_comes_in_and_goes_out_as_the_same_lines(path, ledger):
    lines = path.read_text(encoding="ascii").splitlines()
    assert take_lines(ledger, lines, name=path.name).same
    assert [*book_lines(ledger, head(ledger))] == lines
    assert verify_store(ledger) == ()


def test_todays_program_would_write_the_same_lines(path, ledger):
    _, *lines = path.read_text(encoding="ascii").splitlines()
    take_lines(ledger, path.read_text(encoding="ascii").splitlines(), name="it")
    assert [line_from_event(event) for event in events_after(ledger, 0)] == lines


def test_the_same_stands_in_the_book(path, ledger):
    take_lines(ledger, path.read_text(encoding="ascii").splitlines(), name="it")
    expected = json.loads(path.with_suffix(".json").read_text(encoding="ascii"))
    assert standing(ledger) == expected


def test_this_version_keeps_all_it_can_say():
    major, minor, *_ = version("arbuscula").split(".")
    own = KEPT / f"{major}.{minor}"
    assert {path.stem for path in own.glob("*.jsonl")} == {*BOOKS}
    _, *lines = (own / "every-kind.jsonl").read_text(encoding="ascii").splitlines()
    assert {json.loads(line)["kind"] for line in lines} == {*KINDS}

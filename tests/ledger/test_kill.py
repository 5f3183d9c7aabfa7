import subprocess
import sys
import time

import numpy as np
import pytest

from arbuscula.ledger.book import all_events, append
from arbuscula.ledger.verify import verify_store
from tests.ledger.cans import CAN

KILLS_N = 5


def killed(url, name, after_s):
    """Let a writer write until it is killed; return what it called safe."""
    command = [sys.executable, "-m", "tests.ledger.writer", url, name]
    with subprocess.Popen(command, stdout=subprocess.PIPE, text=True) as writer:
        first = writer.stdout.readline()
        time.sleep(after_s)
        writer.kill()
        lines = [first, *writer.stdout]
    return [line.strip() for line in lines if line.endswith("\n")]


@pytest.mark.slow
def test_whatever_was_called_safe_is_there_once_after_a_kill(url, open_ledger):
    rng = np.random.default_rng(20260706)
    open_ledger(url)
    safe = []
    for n in range(KILLS_N):
        safe += killed(url, f"writer-{n}", rng.uniform(0, 0.05))
    ledger = open_ledger(url)
    stored = [event.id for event in all_events(ledger)]
    assert len(safe) > KILLS_N
    assert {*safe} <= {*stored}
    assert len(stored) == len({*stored})
    # A batch that was cut is not there at all: each has one, two or three.
    batches = {}
    for name, n, part in (an_id.rsplit("-", 2) for an_id in stored):
        batches.setdefault((name, int(n)), set()).add(int(part))
    assert all(parts == {*range(1 + n % 3)} for (_, n), parts in batches.items())
    assert verify_store(ledger) == ()
    assert append(ledger, CAN) == len(stored) + 1

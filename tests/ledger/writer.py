"""Write one event after another, and say of each that it is safe."""

import sys
from dataclasses import replace

from arbuscula.ledger.book import Ledger, append
from arbuscula.ledger.store.engine import engine_at
from tests.ledger.cans import CAN

url, name = sys.argv[1:]
ledger = Ledger(engine_at(url))
n = 0
while True:
    batch = [replace(CAN, id=f"{name}-{n}-{part}") for part in range(1 + n % 3)]
    append(ledger, *batch)
    for event in batch:
        sys.stdout.write(f"{event.id}\n")
    sys.stdout.flush()
    n += 1

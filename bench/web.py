"""How long the round takes a real server: as it is, and after each tap.

    .venv/bin/python -m bench.web [TREES]

Prints the middle and the 95th percentile in milliseconds, on loopback.
"""

import sys
import threading
import time
from pathlib import Path
from tempfile import TemporaryDirectory
from urllib.request import Request, urlopen

import numpy as np
import uvicorn

from arbuscula.desk.record import RecordWish, record
from arbuscula.reports.words import Voice
from arbuscula.web.app import create_app
from bench.yards import plain_yard

TIMES_N, TAPS_N = 60, 10


def main(trees_n: int) -> None:
    """Measure and print."""
    with TemporaryDirectory() as folder:
        desk = plain_yard(Path(folder), trees_n)
        address = serve(create_app(desk, Voice()))
        print(f"first: {asked(address)[0]:.0f} ms, {asked(address)[1] / 1000:.0f} kB")
        told("as it is", [asked(address)[0] for _ in range(TIMES_N)])
        after = []
        for n in range(TAPS_N):
            wish = RecordWish(subject=f"B1-{n + 1}", words=("watered",))
            record(desk, wish)
            after.append(asked(address)[0])
        told("after a tap", after)


def serve(app: object) -> str:
    """Start a server in a thread, and return the round's address."""
    config = uvicorn.Config(app, port=0, log_level="critical")  # type: ignore[arg-type]
    server = uvicorn.Server(config)
    threading.Thread(target=server.run, daemon=True).start()
    while not server.started:
        time.sleep(0.01)
    port = server.servers[0].sockets[0].getsockname()[1]
    return f"http://127.0.0.1:{port}/round"


def asked(address: str) -> tuple[float, int]:
    """Return how many milliseconds the round took, and its bytes as sent."""
    wish = Request(address, headers={"accept-encoding": "gzip"})  # noqa: S310
    begun = time.perf_counter()
    with urlopen(wish) as reply:  # noqa: S310 - our own server
        sent = reply.read()
    return (time.perf_counter() - begun) * 1000, len(sent)


def told(name: str, times_ms: list[float]) -> None:
    """Print one line."""
    middle, late = np.percentile(times_ms, [50, 95])
    print(f"{name}: {middle:.0f} ms in the middle, {late:.0f} ms at 95 %")


if __name__ == "__main__":
    main(int(sys.argv[1]) if len(sys.argv) > 1 else 1000)

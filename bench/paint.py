"""How soon a slow phone shows the round: the first contentful paint, load by load.

    .venv/bin/python -m bench.paint                # 1,000 trees, 15 loads of each kind
    .venv/bin/python -m bench.paint 100 --loads 5

The phone is Lighthouse's "mobile slow 4G" (GoogleChrome/lighthouse, core/config/
constants.js, `mobileSlow4G`; its docs/throttling.md tells whom it stands for): the
processor four times slower, 1.6 Mbit/s down, 0.75 up, 150 ms to and fro. Chromium
delays whole requests, not packets; what the same file asks of it to make up for that,
562.5 ms a request and nine tenths of the rate, is measured beside.

The round is thought before: what is measured is the way to the screen. A first visit
has nothing kept; again, the browser has kept what it may. No service worker helps.
"""

import os
from argparse import ArgumentParser
from collections.abc import Iterator
from dataclasses import dataclass
from pathlib import Path
from tempfile import TemporaryDirectory
from urllib.request import urlopen

import numpy as np
from playwright.sync_api import Browser, BrowserContext, Playwright, sync_playwright

from bench.yards import plain_yard
from scripts.served import ARGUMENTS, CHROMIUM, HOW, Served

BUDGET_MS = 1000
KBIT_BYTES = 1024 / 8
SLOWER = 4
PHONE = "Pixel 7"
PAINTED = """() => new Promise((done) => {
  const of = (list) => list.find((one) => one.name === "first-contentful-paint");
  const there = of(performance.getEntriesByType("paint"));
  if (there) done(there.startTime);
  else new PerformanceObserver((list) => {
    const found = of(list.getEntries());
    if (found) done(found.startTime);
  }).observe({ type: "paint", buffered: true });
})"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Net:
    """A network, as it is asked for."""

    name: str
    latency_ms: float
    down_kbit_s: float
    up_kbit_s: float


NETS = (
    Net(name="150 ms", latency_ms=150, down_kbit_s=1638.4, up_kbit_s=750),
    Net(name="562.5 ms", latency_ms=562.5, down_kbit_s=1474.6, up_kbit_s=675),
)


def main() -> None:
    """Measure and print."""
    parser = ArgumentParser(prog="python -m bench.paint")
    parser.add_argument("trees", nargs="?", type=int, default=1000)
    parser.add_argument("--loads", type=int, default=15)
    wish = parser.parse_args()
    if CHROMIUM is None:
        raise SystemExit(HOW)
    with TemporaryDirectory() as folder, sync_playwright() as playwright:
        served = Served(plain_yard(Path(folder), wish.trees))
        warm(served)
        browser = playwright.chromium.launch(
            executable_path=CHROMIUM, args=[*ARGUMENTS]
        )
        load = ", ".join(f"{part:.1f}" for part in os.getloadavg())
        print(f"{wish.trees} trees, Chromium {browser.version}, load {load}")
        for net in NETS:
            for kind, times_ms in loads(playwright, browser, served, net, wish.loads):
                told(f"{net.name}, {kind}", times_ms)
        browser.close()
        served.stop()


def warm(served: Served) -> None:
    """Let the round be thought, and say how large it is."""
    with urlopen(served.at("/round")) as reply:  # noqa: S310 - our own server
        print(f"{len(reply.read()) / 1000:.0f} kB of page, unpacked")


def loads(
    playwright: Playwright, browser: Browser, served: Served, net: Net, loads_n: int
) -> Iterator[tuple[str, list[float]]]:
    """Yield the times of a first visit and of one again."""
    first, again = [], []
    for _ in range(loads_n):
        phone = browser.new_context(
            **playwright.devices[PHONE], service_workers="block"
        )
        first.append(painted_ms(phone, served, net))
        again.append(painted_ms(phone, served, net))
        phone.close()
    yield "a first visit", first
    yield "again", again


def painted_ms(phone: BrowserContext, served: Served, net: Net) -> float:
    """Return when something of the round stood on the screen."""
    page = phone.new_page()
    by = phone.new_cdp_session(page)
    conditions = {
        "offline": False,
        "latency": net.latency_ms,
        "downloadThroughput": net.down_kbit_s * KBIT_BYTES,
        "uploadThroughput": net.up_kbit_s * KBIT_BYTES,
    }
    by.send("Network.enable")
    by.send("Network.emulateNetworkConditions", conditions)
    by.send("Emulation.setCPUThrottlingRate", {"rate": SLOWER})
    page.goto(served.at("/round"), wait_until="load", timeout=60_000)
    painted = page.evaluate(PAINTED)
    page.close()
    return painted


def told(name: str, times_ms: list[float]) -> None:
    """Print one line beside the budget."""
    middle, late = np.percentile(times_ms, [50, 95])
    verdict = "within" if late <= BUDGET_MS else "over"
    print(
        f"{name}: {middle:.0f} ms in the middle, {late:.0f} ms at 95 %; "
        f"{verdict} {BUDGET_MS} ms",
        flush=True,
    )


if __name__ == "__main__":
    main()

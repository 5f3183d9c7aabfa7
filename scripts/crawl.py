"""Walk every page of the web face, and look for whatever is wrong with any of them.

    .venv/bin/python -m scripts.crawl              # the demo, some minutes
    .venv/bin/python -m scripts.crawl --each 3     # three pages of a kind, quicker

A real server shows the book of the demo on loopback, a real Chromium walks it by its
links from the round. Of every page: whether each figure on it stands in its twin too,
what axe finds in light and dark on a phone and on a desk, whether it is wider than the
screen, and what the console says. Prints a table; exits with 1 if there is a fault.
"""

import re
import sys
from argparse import ArgumentParser
from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field
from datetime import UTC, datetime
from pathlib import Path
from tempfile import TemporaryDirectory
from typing import Final

from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import Browser, Page, sync_playwright

from arbuscula.desk.demo import demo
from arbuscula.start import desk_at
from scripts.served import ARGUMENTS, CHROMIUM, HOW, Served
from scripts.twins import READ, unlike

FROM: Final = "/round"
FORMS: Final = frozenset({"/begin", "/door"})  # they show what was typed, no answer
SCHEMES: Final = ("light", "dark")
WIDTHS_PX: Final = (390, 1280)
HEIGHT_PX: Final = 900
LINKS: Final = """() => Array.from(document.querySelectorAll("a[href]"), (a) => a.href)
  .concat(Array.from(document.querySelectorAll("template")).flatMap((t) =>
    Array.from(t.content.querySelectorAll("a[href]"), (a) => new URL(
      a.getAttribute("href"), location).href)))"""


@dataclass(frozen=True, slots=True, kw_only=True)
class Found:
    """What was found on one page; nothing, if it is as it should be."""

    path: str
    twin: str  # what is shown in the table of its twin
    faults: dict[str, list[str]] = field(default_factory=dict)


def main(words: Sequence[str]) -> int:
    """Walk the demo and print what was found."""
    parser = ArgumentParser(prog="python -m scripts.crawl", description=__doc__)
    parser.add_argument("--each", type=int, default=None, help="pages of one kind")
    wish = parser.parse_args(words)
    if CHROMIUM is None:
        print(HOW, file=sys.stderr)
        return 1
    with TemporaryDirectory() as folder, sync_playwright() as playwright:
        now = datetime.now(UTC)  # noqa: TID251 - a browser has no other clock
        shown = demo(desk_at, Path(folder), on=now.date(), now=now)
        desk = desk_at(Path(shown.home))
        served = Served(desk)
        browser = playwright.chromium.launch(
            executable_path=CHROMIUM, args=[*ARGUMENTS]
        )
        faults_n = told(crawl(browser, served, each_n=wish.each))
        browser.close()
        served.stop()
        desk.ledger().engine.dispose()
    return int(faults_n > 0)


def told(found: Iterator[Found]) -> int:
    """Print a line for every page as it was found, and return how many faults."""
    print(f"{'page':32} {'twin':16} {'axe':8} {'console':8}")
    faults_n = pages_n = 0
    for one in found:
        cells = [f"{len(one.faults.get(kind, []))}" for kind in ("axe", "console")]
        print(f"{one.path:32} {one.twin:16} {cells[0]:8} {cells[1]:8}", flush=True)
        for kind, faults in one.faults.items():
            for fault in faults:
                print(f"  {kind}: {fault}", flush=True)
        faults_n += sum(map(len, one.faults.values()))
        pages_n += 1
    print(f"{pages_n} pages, {faults_n} faults")
    return faults_n


def crawl(
    browser: Browser,
    served: Served,
    *,
    each_n: int | None = None,
    schemes: Sequence[str] = SCHEMES,
    widths_px: Sequence[int] = WIDTHS_PX,
) -> Iterator[Found]:
    """Yield what is found on every page that links lead to; of a kind so many."""
    views = [*views_of(browser, schemes, widths_px)]
    seen, coming = Counter[str](), [FROM]
    for path in coming:  # it grows while it is walked
        kind = re.sub(r"^(/\w+)/.+", r"\1/…", path)
        seen[kind] += 1
        if each_n is None or seen[kind] <= each_n:
            found, links = looked_at(path, served, views)
            coming += [link for link in dict.fromkeys(links) if link not in coming]
            yield found
    for page in views:
        page.context.close()


def views_of(
    browser: Browser, schemes: Sequence[str], widths_px: Sequence[int]
) -> Iterator[Page]:
    """Yield a page of each scheme and width."""
    for scheme in schemes:
        for width_px in widths_px:
            yield browser.new_context(
                color_scheme="dark" if scheme == "dark" else "light",
                viewport={"width": width_px, "height": HEIGHT_PX},
            ).new_page()


def looked_at(
    path: str, served: Served, views: Sequence[Page]
) -> tuple[Found, list[str]]:
    """Return what is found on one page, and where it leads."""
    faults: dict[str, list[str]] = {}
    links: list[str] = []
    for page in views:
        for kind, told in shown_in(page, served.at(path)).items():
            new = [fault for fault in told if fault not in faults.get(kind, [])]
            if new:
                faults.setdefault(kind, []).extend(new)
        links = links or [*paths_of(page, served)]
    twin, odd = twin_of(views[0], served, path)
    if odd:
        faults["twin"] = odd
    return Found(path=path, twin=twin, faults=faults), links


def shown_in(page: Page, address: str) -> dict[str, list[str]]:
    """Return what is wrong with a page as one screen shows it, kind by kind."""
    said: list[str] = []
    hear = {
        "console": lambda line: said.append(line.text),
        "pageerror": lambda error: said.append(str(error)),
    }
    for event, do in hear.items():
        page.on(event, do)
    reply = page.goto(address)
    if reply is None or not reply.ok:
        said.append(f"status {reply.status if reply else 'none'}")
    if page.locator("#round .pot").count():
        page.locator("#round .pot").first.click()  # what a pot opens is looked at too
    found = Axe().run(page).response["violations"]
    size = page.viewport_size or {"width": 0, "height": 0}
    wide_px = page.evaluate("document.documentElement.scrollWidth")
    wide = [f"{wide_px} px on a screen of {size['width']}"]
    for event, do in hear.items():
        page.remove_listener(event, do)
    return {
        "axe": [f"{one['id']}: {one['nodes'][0]['html']}" for one in found],
        "console": said,
        "width": wide if wide_px > size["width"] else [],
    }


def paths_of(page: Page, served: Served) -> Iterator[str]:
    """Yield the paths of our own pages that a page leads to."""
    root = served.at("/").rstrip("/")
    for link in page.evaluate(LINKS):
        path = link.removeprefix(root).partition("#")[0]
        is_file = path.endswith((".crt", ".svg")) or path.startswith("/photo/")
        if link.startswith(root) and path and not is_file:
            yield path


def twin_of(page: Page, served: Served, path: str) -> tuple[str, list[str]]:
    """Return how a page's twin is, and every figure that it does not tell."""
    reply = page.request.get(served.at(f"{path}.json"))
    if path in FORMS:
        return "a form", []
    if not reply.ok:
        return "none", [f"status {reply.status}"]
    html = page.request.get(served.at(path)).text()
    for image in re.findall(r'<img src="(/[^"]+\.svg)"', html):
        html += page.request.get(served.at(image)).text()
    read = page.evaluate(READ, html)
    odd = unlike(read, reply.json())
    return ("as told" if not odd else f"{len(odd)} not told"), odd


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

from datetime import UTC, datetime, timedelta

import pytest

from arbuscula.desk.bench import BenchWish, add_bench
from arbuscula.desk.yard import add_yard
from arbuscula.start import desk_at
from tests.browser.served import ARGUMENTS, CHROMIUM, HOW, PLAIN_NAME, Served

FIG = {"species": "ficus-microcarpa", "pot": "oval 18 cm"}


@pytest.fixture
def desk(tmp_path):
    """Return a desk by the real clock: the browser has no other."""
    desk = desk_at(tmp_path / "home")
    add_yard(desk, "Stone Stair", "Trieste")
    since = f"{datetime.now(UTC) - timedelta(days=3):%Y-%m-%d}"  # noqa: TID251
    wish = BenchWish(name="Bench 3", trees_n=6, each=FIG, since=since)
    add_bench(desk, wish)
    yield desk
    desk.ledger().engine.dispose()


@pytest.fixture
def served(desk):
    served = Served(desk, hosts=frozenset({"127.0.0.1", PLAIN_NAME}))
    yield served
    served.stop()


@pytest.fixture(scope="session")
def playwright():
    if CHROMIUM is None:
        pytest.skip(HOW)
    from playwright.sync_api import sync_playwright

    with sync_playwright() as playwright:
        yield playwright


@pytest.fixture(scope="session")
def chromium(playwright):
    browser = playwright.chromium.launch(executable_path=CHROMIUM, args=[*ARGUMENTS])
    yield browser
    browser.close()


@pytest.fixture
def phone(playwright, chromium):
    context = chromium.new_context(**playwright.devices["Pixel 7"])
    yield context
    context.close()

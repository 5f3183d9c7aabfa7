"""German and Italian words are longer: they fit, and stay when the server is gone."""

import pytest
from playwright.sync_api import expect

pytestmark = pytest.mark.browser
PAGES = ("/round", "/tree/B3-1", "/benches", "/import", "/begin", "/year")
TOO_WIDE = """() => Array.from(document.querySelectorAll("button, a, td, th, label, p"))
  .filter((one) => one.offsetParent && getComputedStyle(one).display !== "inline")
  .filter((one) => one.scrollWidth > one.clientWidth + 1)
  .map((one) => one.textContent.trim())"""


@pytest.fixture(params=["de-AT", "it-IT"])
def reader(request, chromium):
    size = {"width": 360, "height": 780}
    context = chromium.new_context(locale=request.param, viewport=size)
    yield context, request.param[:2]
    context.close()


def test_no_word_is_too_long_for_a_small_phone(served, reader):
    context, language = reader
    page = context.new_page()
    for path in PAGES:
        page.goto(served.at(path))
        assert page.evaluate("document.documentElement.lang") == language
        assert page.evaluate("document.documentElement.scrollWidth") == 360
        assert page.evaluate(TOO_WIDE) == [], path
    page.goto(served.at("/round"))
    page.locator(".pot").first.click()
    page.locator("#odd").click()
    assert page.locator("#not-right").is_visible()
    assert page.evaluate(TOO_WIDE) == []


def test_without_the_server_a_round_stays_in_its_language(served, reader):
    context, language = reader
    page = context.new_page()
    page.goto(served.at("/round"))
    page.evaluate("navigator.serviceWorker.ready.then(() => 1)")
    page.reload()
    page.evaluate("new Promise((done) => setTimeout(done, 500))")
    words = page.locator("h1").inner_text()
    served.stop()
    page.reload()
    expect(page.locator("h1")).to_have_text(words)
    assert page.evaluate("document.documentElement.lang") == language
    served.start()

"""Every page is read by a screen reader, in light and dark, on phone and desk."""

import re

import pytest
from axe_playwright_python.sync_playwright import Axe

from tests.browser.served import Served

pytestmark = pytest.mark.browser
PAGES = ("/round", "/tree/B3-4", "/benches", "/year", "/begin")


@pytest.mark.parametrize("scheme", ["light", "dark"])
@pytest.mark.parametrize("width", [390, 1280])
def test_no_page_has_a_fault_that_axe_finds(served, chromium, scheme, width):
    context = chromium.new_context(
        color_scheme=scheme, viewport={"width": width, "height": 900}
    )
    page = context.new_page()
    said = []
    page.on("console", lambda line: said.append(line.text))
    for path in PAGES:
        page.goto(served.at(path))
        if path == "/round":
            page.locator(".pot").first.click()
        found = Axe().run(page)
        assert found.violations_count == 0, (path, found.generate_report())
        assert page.evaluate("document.documentElement.scrollWidth") <= width, path
    assert said == []  # nothing was refused by the policy, nothing failed
    context.close()


def test_the_door_has_no_fault_either(desk, chromium):
    served = Served(desk, is_open=False)
    page = chromium.new_context().new_page()
    page.goto(served.at("/round"))
    assert page.url.endswith("/door")
    assert Axe().run(page).violations_count == 0
    page.context.close()
    served.stop()


def test_the_round_reads_as_a_list_of_pots_with_their_states(served, chromium):
    page = chromium.new_context().new_page()
    page.goto(served.at("/round"))
    tree = page.locator(".bench").first.aria_snapshot()
    assert 'heading "Bench 3"' in tree
    assert tree.count("listitem") == 6
    assert (
        len(re.findall(r'button "\d\?? B3-\d, (water|lift first|not yet)"', tree)) == 6
    )
    page.context.close()

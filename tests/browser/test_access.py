"""Every page is sound: on phone and desk, in light and dark, for a screen reader."""

import re

import pytest
from axe_playwright_python.sync_playwright import Axe
from starlette.responses import HTMLResponse
from starlette.routing import Route

from scripts.crawl import crawl, told
from tests.browser.served import Served

pytestmark = pytest.mark.browser
BAD = """<!DOCTYPE html><html lang="en"><title>Bad</title><main><h1>Bad</h1>
<p style="color:#eee;background:#fff">pale</p><p>17 trees</p><img src="/gone.png">
<a href="/gone">gone</a><pre>{wide}</pre></main></html>"""


def test_no_page_has_a_fault_and_every_figure_stands_in_its_twin(served, chromium):
    """The same walk as `python -m scripts.crawl`; of trees two are enough here."""
    found = [*crawl(chromium, served, each_n=2)]
    assert {one.path: one.faults for one in found if one.faults} == {}
    assert {one.path for one in found} == {
        "/round",
        "/benches",
        "/year",
        "/bench/Bench%203",
        "/tree/B3-1",
        "/tree/B3-2",
        "/begin",
        "/import",
    }


def test_the_walk_finds_what_is_wrong(served, chromium, capsys):
    page = HTMLResponse(BAD.format(wide="wide " * 200))
    served.app.router.routes.insert(0, Route("/round", lambda _: page))
    found = crawl(chromium, served, schemes=["light"], widths_px=[390])
    assert told(found) > 5
    table = capsys.readouterr().out
    for fault in (
        "image-alt",
        "Content Security Policy",
        "404",
        "px on a screen",
        "twin: 17",
    ):
        assert fault in table


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

"""What a grower does on a phone, for every test that needs a hand."""

from playwright.sync_api import expect

from arbuscula.ledger.book import all_events


def facts_of(desk, kind):
    return [e.facts for e in all_events(desk.ledger()) if isinstance(e.facts, kind)]


def opened(phone, served, path="/round", host="127.0.0.1"):
    page = phone.new_page()
    page.goto(served.at(path, host))
    return page


def waiting(page, count):
    expect(page.locator("#sync")).to_have_attribute("data-pending", str(count))


def kept(page):
    """Wait until the page may be loaded without the server."""
    page.evaluate("navigator.serviceWorker.ready.then(() => 1)")
    page.reload()
    page.evaluate("new Promise((done) => setTimeout(done, 500))")


def online(page):
    """Tell the page what a phone says when the network is there again."""
    page.evaluate("dispatchEvent(new Event('online'))")


def tap(page, label, button):
    page.locator(f'.pot[data-label="{label}"]').click()
    page.locator("dialog").get_by_role("button", name=button, exact=True).click()

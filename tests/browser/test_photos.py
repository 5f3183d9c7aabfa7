"""A photo on the phone: small and bare, kept without a network, in the book once."""

from io import BytesIO

import pytest
from axe_playwright_python.sync_playwright import Axe
from PIL import Image
from playwright.sync_api import expect

from arbuscula.desk.photos import keep_photo
from arbuscula.kinds.events import Corrected, Photographed
from arbuscula.web import doors
from scripts.crawl import SCHEMES, looked_at, views_of
from tests.browser.hands import facts_of, kept, online, opened, waiting
from tests.browser.served import PLAIN_NAME, Served
from tests.desk.stair import rec
from tests.photo.pictures import PLACE, large_picture, picture

pytestmark = pytest.mark.browser
TAKEN = {"name": "tree.jpg", "mimeType": "image/jpeg", "buffer": large_picture()}
BROKEN = {"name": "tree.heic", "mimeType": "image/heic", "buffer": b"not a picture"}


def take(page, file=TAKEN):
    """Add a photo to a pot of the round, as a camera would hand it over."""
    page.locator('.pot[data-label="B3-4"]').click()
    page.get_by_role("button", name="not right…").click()
    with page.expect_file_chooser() as asked:
        page.get_by_role("button", name="Add a photo").click()
    asked.value.set_files(file)
    expect(page.locator("dialog")).to_be_hidden()


def taken(page):
    """Take one, and wait until the phone has it."""
    take(page)
    expect(page.locator("#undo")).to_be_visible()


def files_of(desk):
    return [path for path in (desk.home / "photos").rglob("*") if path.is_file()]


def test_a_photo_taken_without_the_server_is_in_the_book_once(desk, served, phone):
    page = opened(phone, served)
    kept(page)
    served.stop()
    taken(page)
    waiting(page, 1)
    expect(page.locator("#said")).to_have_text("4: photo taken.")
    page.reload()  # no server: out of the phone
    waiting(page, 1)
    expect(page.locator('.pot[data-label="B3-4"]')).to_have_class("pot check told")
    served.start()
    for _ in range(2):
        online(page)
        waiting(page, 0)
    (facts,) = facts_of(desk, Photographed)
    (path,) = files_of(desk)
    assert (path.stem, path.stat().st_size) == (facts.picture, facts.bytes_n)


def test_what_is_kept_is_small_upright_and_tells_no_place(desk, served, phone):
    assert PLACE in TAKEN["buffer"]
    taken(page := opened(phone, served))
    waiting(page, 0)
    (path,) = files_of(desk)
    content = path.read_bytes()
    assert PLACE not in content
    assert b"Exif" not in content
    image = Image.open(BytesIO(content))
    assert image.size == (1200, 1600)  # 2,400 by 1,800 px, turned
    assert dict(image.getexif()) == {}


def test_a_reply_that_was_lost_makes_no_second_photo(desk, served, phone):
    page = opened(phone, served)
    lost = []

    def lose(route):
        lost.append(route.fetch().status)
        route.abort()

    page.route("**/photo", lose, times=1)
    page.route("**/record", lose, times=1)
    taken(page)
    for _ in range(3):
        page.wait_for_timeout(300)
        online(page)
    waiting(page, 0)
    assert lost == [200, 200]
    assert len(facts_of(desk, Photographed)) == len(files_of(desk)) == 1


def test_one_that_was_not_sent_yet_is_taken_back_without_a_trace(desk, served, phone):
    page = opened(phone, served)
    kept(page)
    served.stop()
    taken(page)
    waiting(page, 1)
    page.get_by_role("button", name="Undo").click()
    waiting(page, 0)
    served.start()
    online(page)
    waiting(page, 0)
    assert facts_of(desk, Photographed) == files_of(desk) == []


def test_one_that_stands_in_the_book_is_taken_back_in_the_book(desk, served, phone):
    page = opened(phone, served)
    taken(page)
    waiting(page, 0)
    page.get_by_role("button", name="Undo").click()
    expect(page.locator("#said")).to_have_text("Taken back.")
    waiting(page, 0)
    page.wait_for_timeout(300)
    assert len(facts_of(desk, Corrected)) == 1
    page.goto(served.at("/tree/B3-4"))
    expect(page.locator("#seen img")).to_have_count(0)


def test_by_plain_http_under_a_name_it_is_kept_as_well(desk, served, phone):
    page = opened(phone, served, host=PLAIN_NAME)
    assert page.evaluate("crypto.subtle === undefined")
    served.stop()
    taken(page)
    waiting(page, 1)
    served.start()
    online(page)
    waiting(page, 0)
    (facts,) = facts_of(desk, Photographed)
    assert [path.stem for path in files_of(desk)] == [facts.picture]


def test_what_cannot_be_read_is_told_and_not_kept(desk, served, phone):
    page = opened(phone, served)
    take(page, BROKEN)
    expect(page.locator("#said")).to_contain_text("cannot be read here")
    waiting(page, 0)
    assert facts_of(desk, Photographed) == files_of(desk) == []


def test_a_phone_without_room_says_that_nothing_was_written_down(desk, served, phone):
    page = opened(phone, served)
    page.evaluate(
        """() => { IDBObjectStore.prototype.put = () => {
            throw new DOMException("", "QuotaExceededError") } }"""
    )
    take(page)
    expect(page.locator("#said")).to_contain_text("no room left")
    expect(page.locator("#undo")).to_be_hidden()
    waiting(page, 0)
    assert facts_of(desk, Photographed) == files_of(desk) == []


def test_what_the_server_will_not_take_is_told_until_it_is_dismissed(
    desk, served, phone
):
    page = opened(phone, served)
    page.route("**/photo", lambda route: route.continue_(post_data=b"GIF89a"))
    taken(page)
    expect(page.locator("#refused")).to_contain_text("JPEG, PNG and WebP would do")
    page.get_by_role("button", name="Dismiss").click()
    expect(page.locator("#refused")).to_be_empty()
    assert facts_of(desk, Photographed) == files_of(desk) == []


def test_a_trees_page_takes_one_by_keyboard_and_shows_it(desk, served, phone):
    page = opened(phone, served, "/tree/B3-4")
    page.on("filechooser", lambda asked: asked.set_files(TAKEN))
    button = page.get_by_role("button", name="Add a photo")
    expect(button).to_be_visible()
    page.wait_for_timeout(300)  # a browser needs a moment until it hands over choosers
    button.focus()
    page.keyboard.press("Enter")
    shown = page.get_by_role("img", name="B3-4, ")
    expect(shown).to_have_count(1)
    expect(page.locator("#said")).to_have_text("All in the book")
    assert shown.evaluate("image => image.decode().then(() => image.naturalWidth)")
    assert Axe().run(page).violations_count == 0
    page.get_by_role("button", name="Undo").click()
    expect(shown).to_have_count(0)
    assert len(facts_of(desk, Corrected)) == 1


def test_a_trees_page_keeps_one_until_the_server_is_there(desk, served, phone):
    page = opened(phone, served, "/tree/B3-4")
    kept(page)
    served.stop()
    page.locator("#add input").set_input_files(TAKEN)
    expect(page.locator("#said")).to_have_text("1 waiting to be sent")
    page.reload()
    expect(page.locator("#said")).to_have_text("1 waiting to be sent")
    served.start()
    online(page)
    expect(page.locator("#seen img")).to_have_count(1)
    assert len(facts_of(desk, Photographed)) == len(files_of(desk)) == 1


def test_a_page_with_photos_has_no_fault(desk, served, chromium):
    """One of them is lost: that is said in words, and no link is broken."""
    for form in ("JPEG", "PNG"):
        name = keep_photo(desk.home, picture(form)).picture
        rec(desk, "B3-4", ["photographed", name, "front"])
    (desk.home / "photos" / name[:2] / f"{name}.png").unlink()
    views = [*views_of(chromium, SCHEMES, (360, 1280))]
    found, links = looked_at("/tree/B3-4", served, views)
    assert (found.twin, found.faults) == ("as told", {})
    assert views[0].locator("#seen li").count() == 2
    assert not [link for link in links if "photo" in link]
    for page in views:
        page.goto(served.at("/round"))
        page.locator('.pot[data-label="B3-4"]').click()
        page.get_by_role("button", name="not right…").click()
        expect(page.get_by_role("button", name="Add a photo")).to_be_in_viewport()
        assert Axe().run(page).violations_count == 0
        page.context.close()


def test_a_guest_sees_photos_and_adds_none(desk, chromium):
    name = keep_photo(desk.home, picture()).picture
    rec(desk, "B3-4", ["photographed", name])
    served = Served(desk, is_open=False)
    known, key = doors.invited(doors.Doors(), "guest", "Ondine", "", desk.clock())
    doors.keep(desk.home, known)
    page = chromium.new_context().new_page()
    page.goto(served.at(f"/door/in/{key}"))
    page.get_by_role("button", name="Come in").click()
    page.goto(served.at("/tree/B3-4"))
    expect(page.get_by_role("img", name="B3-4, ")).to_have_count(1)
    expect(page.get_by_role("button", name="Add a photo")).to_have_count(0)
    page.context.close()
    served.stop()

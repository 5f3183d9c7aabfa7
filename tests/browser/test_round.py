"""The round in a real browser: on the phone, without the server, on two screens."""

from datetime import UTC, datetime, timedelta

import pytest
from playwright.sync_api import expect

from arbuscula.kinds.events import Checked, Corrected, Watered
from arbuscula.web import doors
from tests.browser.hands import facts_of, kept, online, opened, tap, waiting
from tests.browser.served import PLAIN_NAME, Served

pytestmark = pytest.mark.browser


def test_a_pot_is_lifted_and_watered_in_three_taps(desk, served, phone):
    page = opened(phone, served)
    tap(page, "B3-4", "light")
    page.get_by_role("button", name="and watered").click()
    waiting(page, 0)
    (checked,) = facts_of(desk, Checked)
    assert (checked.how, checked.found) == ("lifted", "light")
    assert len(facts_of(desk, Watered)) == 1


def test_the_round_survives_a_stopped_server_and_stores_each_tap_once(
    desk, served, phone
):
    page = opened(phone, served)
    kept(page)
    tap(page, "B3-1", "and watered")
    waiting(page, 0)
    served.stop()
    tap(page, "B3-2", "and watered")
    tap(page, "B3-3", "and watered")
    waiting(page, 2)
    page.reload()  # no server: out of the phone
    expect(page.locator(".pot.told")).to_have_count(2)
    waiting(page, 2)
    served.start()
    online(page)
    waiting(page, 0)
    assert len(facts_of(desk, Watered)) == 3
    online(page)
    waiting(page, 0)
    assert len(facts_of(desk, Watered)) == 3


def test_a_tap_that_was_not_sent_yet_is_taken_back_without_a_trace(desk, served, phone):
    page = opened(phone, served)
    kept(page)
    served.stop()
    tap(page, "B3-2", "and watered")
    waiting(page, 1)
    page.get_by_role("button", name="Undo").click()
    waiting(page, 0)
    served.start()
    assert facts_of(desk, Watered) == []


def test_a_tap_that_stands_in_the_book_is_taken_back_in_the_book(desk, served, phone):
    page = opened(phone, served)
    tap(page, "B3-2", "and watered")
    waiting(page, 0)
    page.get_by_role("button", name="Undo").click()
    expect(page.locator("#said")).to_have_text("Taken back.")
    waiting(page, 0)
    expect(page.locator("#undo")).to_be_hidden()
    page.wait_for_timeout(300)
    assert len(facts_of(desk, Corrected)) == 1


def test_a_tap_that_is_taken_back_on_its_way_is_taken_back_in_the_book(
    desk, served, phone
):
    page = opened(phone, served)
    held = []

    def hold(route):
        held.append(route)

    page.route("**/record", hold, times=1)
    tap(page, "B3-2", "and watered")
    page.get_by_role("button", name="Undo").click()
    expect(page.locator("#said")).to_have_text("Taken back.")
    waiting(page, 0)
    held[0].fulfill(response=held[0].fetch())
    page.wait_for_timeout(300)
    online(page)
    page.wait_for_timeout(300)
    waiting(page, 0)
    assert len(facts_of(desk, Watered)) == len(facts_of(desk, Corrected)) == 1


def test_done_except_some_waters_the_others_by_sweeping_over_them(desk, served, phone):
    page = opened(phone, served)
    page.get_by_role("button", name="Done, except…").click()
    pots = page.locator(".pot")
    for n in range(6):  # all are unmarked, whatever was due
        if pots.nth(n).get_attribute("aria-pressed") == "true":
            pots.nth(n).click()
    first, last = pots.nth(0).bounding_box(), pots.nth(2).bounding_box()
    page.mouse.move(first["x"] + 20, first["y"] + 30)
    page.mouse.down()
    page.mouse.move(last["x"] + 20, last["y"] + 30, steps=20)
    page.mouse.up()
    pots.nth(1).click()
    page.get_by_role("button", name="These were watered").click()
    waiting(page, 0)
    (watered,) = facts_of(desk, Watered)
    assert watered.reached.only == ("B3-1", "B3-3")


def test_a_second_screen_sees_a_tap(desk, served, phone, chromium):
    page = opened(phone, served)
    desk_screen = chromium.new_context().new_page()
    desk_screen.goto(served.at("/round"))
    before = desk_screen.locator("#round").get_attribute("data-position")
    tap(page, "B3-2", "and watered")
    expect(desk_screen.locator("#round")).not_to_have_attribute("data-position", before)
    expect(desk_screen.locator('.pot[data-label="B3-2"]')).to_have_class("pot not")
    desk_screen.context.close()


def test_two_phones_at_once_lose_nothing(desk, served, phone, playwright, chromium):
    other = chromium.new_context(**playwright.devices["Pixel 7"])
    pages = [opened(phone, served), opened(other, served)]
    for page, labels in zip(pages, (("B3-1", "B3-2"), ("B3-2", "B3-3")), strict=True):
        for label in labels:
            tap(page, label, "and watered")
    for page in pages:
        waiting(page, 0)
    assert len(facts_of(desk, Watered)) == 4
    other.close()


def test_what_the_book_refuses_is_told_and_kept_until_it_is_dismissed(
    desk, served, phone
):
    page = opened(phone, served)
    page.locator('.pot[data-label="B3-2"]').evaluate(
        "pot => pot.dataset.label = 'B9-9'"
    )
    page.locator('.pot[data-label="B9-9"]').click()
    page.locator("dialog").get_by_role("button", name="and watered").click()
    expect(page.locator("#refused")).to_contain_text("B9-9")
    page.get_by_role("button", name="Dismiss").click()
    expect(page.locator("#refused")).to_be_empty()
    assert facts_of(desk, Watered) == []


def test_after_the_next_round_every_pot_wants_a_look(served, phone):
    page = opened(phone, served)
    page.evaluate("document.querySelector('#round').dataset.next = '2020-01-01T08:00Z'")
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    expect(page.locator(".pot.check")).to_have_count(6)
    expect(page.locator(".said")).to_have_text("This round is over: check every pot.")
    expect(page.get_by_role("button", name="Done as said")).to_be_disabled()


def test_by_plain_http_under_a_name_it_says_that_it_must_stay_open(desk, served, phone):
    page = opened(phone, served, host=PLAIN_NAME)
    expect(page.locator("#tier")).to_contain_text("keep this page open")
    served.stop()
    tap(page, "B3-2", "and watered")
    waiting(page, 1)
    served.start()
    online(page)
    waiting(page, 0)
    assert len(facts_of(desk, Watered)) == 1


def test_a_keyboard_is_enough(desk, served, phone):
    page = opened(phone, served)
    page.locator('.pot[data-label="B3-2"]').focus()
    page.keyboard.press("Enter")
    expect(page.locator("dialog")).to_be_visible()
    page.get_by_role("button", name="heavy").focus()
    page.keyboard.press("Enter")
    page.keyboard.press("Escape")
    expect(page.locator("dialog")).to_be_hidden()
    waiting(page, 0)
    assert [checked.found for checked in facts_of(desk, Checked)] == ["heavy"]


def test_a_phone_whose_clock_runs_ahead_is_understood(desk, served, phone):
    page = phone.new_page()
    page.clock.install(time=datetime.now(UTC) + timedelta(hours=2))  # noqa: TID251
    page.goto(served.at("/round"))
    tap(page, "B3-2", "and watered")
    waiting(page, 0)
    expect(page.locator("#refused")).to_be_empty()
    assert len(facts_of(desk, Watered)) == 1


def test_a_guest_opens_a_pot_and_finds_nothing_to_press(desk, chromium):
    served = Served(desk, is_open=False)
    known, key = doors.invited(doors.Doors(), "guest", "Ondine", "", desk.clock())
    doors.keep(desk.home, known)
    page = chromium.new_context().new_page()
    page.goto(served.at(f"/door/in/{key}"))
    page.get_by_role("button", name="Come in").click()
    page.locator('.pot[data-label="B3-2"]').click()
    buttons = page.locator("dialog").get_by_role("button")
    expect(buttons).to_have_text(["Close"])
    expect(page.locator("#speak, #speech")).to_have_count(0)
    page.context.close()
    served.stop()


def test_who_leaves_is_asked_about_taps_that_would_be_lost(desk, playwright, chromium):
    served = Served(desk, is_open=False)
    known, key = doors.invited(doors.Doors(), "hand", "Ondine", "", desk.clock())
    doors.keep(desk.home, known)
    phone = chromium.new_context(**playwright.devices["Pixel 7"])
    page = phone.new_page()
    page.goto(served.at(f"/door/in/{key}"))
    page.get_by_role("button", name="Come in").click()
    kept(page)
    served.stop()
    tap(page, "B3-2", "and watered")
    waiting(page, 1)
    asked = []
    page.on("dialog", lambda box: (asked.append(box.message), box.dismiss()))
    page.get_by_role("button", name="Leave").click()
    page.wait_for_timeout(500)
    assert asked == [
        "1 of your taps are not in the book yet and would be lost. Leave all the same?"
    ]
    served.start()
    online(page)
    waiting(page, 0)
    assert len(facts_of(desk, Watered)) == 1
    phone.close()
    served.stop()

"""Speech on the round: shown, spoken back, and written by a held press alone.

No browser hears anything in a test: a stand-in for its recognition says what it is told
to have heard. Everything from there on is the page as it is served.
"""

from collections import Counter

import pytest
from axe_playwright_python.sync_playwright import Axe
from playwright.sync_api import expect

from arbuscula.desk.bench import BenchWish, add_bench
from arbuscula.desk.record import RecordWish, record
from arbuscula.kinds.events import Checked, Corrected, Watered
from arbuscula.ledger.book import all_events

pytestmark = pytest.mark.browser
EACH = {"species": "ficus-microcarpa", "pot": "oval 18 cm"}
HELD_MS = 900  # the page asks for 700
BEFORE = Counter({("lifted", "light"): 5, ("lifted", "heavy"): 1})
STAND_IN = """
window.heard = { text: "", error: "", opens: 0, listens: false, spoken: [] };
window.SpeechRecognition = class extends EventTarget {
  start() {
    setTimeout(() => {
      if (this.over) return;
      heard.opens += 1;
      heard.listens = true;
      heard.lang = this.lang;
      this.dispatchEvent(new Event("audiostart"));
    }, 20);
  }
  stop() {
    const results = [[{ confidence: 0.9, text: heard.text }]];
    if (heard.text) this.dispatchEvent(Object.assign(new Event("result"), { results }));
    this.end(heard.error);
  }
  abort() {
    this.end("aborted");
  }
  end(error) {
    if (this.over) return;
    this.over = true;
    heard.listens = false;
    if (error) this.dispatchEvent(Object.assign(new Event("error"), { error }));
    this.dispatchEvent(new Event("end"));
  }
};
speechSynthesis.speak = (said) => heard.spoken.push(said.text);
"""
WITHOUT = "delete window.SpeechRecognition; delete window.webkitSpeechRecognition;"


@pytest.fixture
def yard(desk):
    """Bench 3, where all but the last pot were found light, and a terrace."""
    add_bench(desk, BenchWish(name="Open terrace", trees_n=12, each=EACH))
    for label in [f"B3-{n}" for n in range(1, 6)]:
        words = ("check", "lifted", "light")
        record(desk, RecordWish(subject=label, words=words))
    record(desk, RecordWish(subject="B3-6", words=("check", "lifted", "heavy")))
    return desk


@pytest.fixture
def page(yard, served, phone):
    phone.add_init_script(STAND_IN)
    page = phone.new_page()
    page.goto(served.at("/round"))
    page.get_by_role("button", name="Speak").click()
    return page


def say(page, text, error=""):
    """Hold the button, say something, let go."""
    page.evaluate(
        "([text, error]) => Object.assign(heard, {text, error})", [text, error]
    )
    button = page.get_by_role("button", name="Hold and speak")
    button.hover()
    page.mouse.down()
    expect(page.locator("#speech")).to_have_attribute("data-state", "listening")
    page.mouse.up()
    expect(page.locator("#speech")).to_have_attribute("data-state", "heard")


def hold(page, held_ms=HELD_MS):
    page.locator("#write").hover()
    page.mouse.down()
    page.wait_for_timeout(held_ms)
    page.mouse.up()


def saved(page):
    expect(page.locator("#sync")).to_have_attribute("data-pending", "0")


def pending(page):
    return page.locator("#sync").get_attribute("data-pending")


def facts_of(desk, kind):
    return [e.facts for e in all_events(desk.ledger()) if isinstance(e.facts, kind)]


def watered(desk):
    return [facts.reached and facts.reached.only for facts in facts_of(desk, Watered)]


@pytest.mark.parametrize(
    ("language", "heard", "would"),
    [
        ("de", "Stellplatz drei, erledigt außer vier", "Gegossene Töpfe: 4."),
        ("de", "Stellplatz 3, erledigt außer zwei bis vier", "Gegossene Töpfe: 2."),
        ("de", "Stellplatz drei, Baum zwei leicht", "Bench 3, 2: leicht."),
        ("de", "Stellplatz drei, erledigt außer Haus", "Nicht verstanden"),
        ("it", "bancale tre, fatto tranne quattro", "Vasi annaffiati: 4."),
        ("it", "bancale tre, fatto tranne due e quattro", "Vasi annaffiati: 3."),
        ("it", "bancale 3 albero due senza nome", "Bench 3, 2: senza nome."),
    ],
)
def test_a_round_is_spoken_in_its_language(
    yard, served, chromium, language, heard, would
):
    context = chromium.new_context(locale=language, service_workers="block")
    context.add_init_script(STAND_IN)
    page = context.new_page()
    page.goto(served.at("/round"))
    page.locator("#speak").click()
    page.evaluate("(text) => Object.assign(heard, {text})", heard)
    page.locator("#listen").hover()
    page.mouse.down()
    expect(page.locator("#speech")).to_have_attribute("data-state", "listening")
    page.mouse.up()
    expect(page.locator("#would")).to_contain_text(would)
    assert page.evaluate("heard.lang") == language
    assert watered(yard) == []
    context.close()


def test_nothing_stands_in_the_book_before_a_press_is_held(yard, page):
    say(page, "bench three done except four")
    would = "Bench 3, done except 4. Pots watered: 4."
    expect(page.locator("#heard")).to_have_text("bench three done except four")
    expect(page.locator("#would")).to_have_text(would)
    expect(page.locator(".pot.meant")).to_have_count(4)
    assert page.evaluate("heard.spoken") == [would]
    assert (watered(yard), pending(page)) == ([], "0")
    hold(page, 250)
    expect(page.locator("#would")).to_have_text(
        f"{would} Let go too early: nothing is written yet."
    )
    page.wait_for_timeout(HELD_MS)
    assert (watered(yard), pending(page)) == ([], "0")
    hold(page)
    expect(page.locator("#said")).to_have_text("Bench 3: watered 1, 2, 3, 5.")
    saved(page)
    assert watered(yard) == [("B3-1", "B3-2", "B3-3", "B3-5")]
    expect(page.locator("#write")).to_be_hidden()


def test_what_was_written_is_taken_back_by_a_tap_or_by_voice(yard, page):
    for n, take_back in enumerate((tapped_undo, spoken_undo), start=1):
        say(page, "tree two light" if n == 2 else "bench three tree two light")
        hold(page)
        saved(page)
        take_back(page)
        expect(page.locator("#said")).to_have_text("Taken back.")
        page.wait_for_timeout(300)
        assert len(facts_of(yard, Corrected)) == n
    assert len(facts_of(yard, Checked)) == BEFORE.total() + 2


def tapped_undo(page):
    page.get_by_role("button", name="Undo").click()


def spoken_undo(page):
    say(page, "take it back")
    expect(page.locator("#would")).to_have_text("Take back what was written: 2: light.")
    hold(page)
    expect(page.locator("#would")).to_have_text("Taken back.")


FOUND = {
    "light": ("lifted", "light"),
    "half": ("lifted", "half"),
    "heavy": ("lifted", "heavy"),
    "wet": ("surface", "wet"),
    "drains slowly": ("seen", "drains slowly"),
    "fallen": ("seen", "fallen"),
    "label gone": ("seen", "label gone"),
    "not right": ("seen", "not right"),
}


def test_a_finding_is_written_as_its_button_writes_it(yard, page):
    for heard in FOUND:
        say(page, f"bench three tree four {heard}")
        hold(page)
        saved(page)
    found = Counter((one.how, one.found) for one in facts_of(yard, Checked))
    assert found - BEFORE == Counter(FOUND.values())
    say(page, "tree five watered")
    hold(page)
    saved(page)
    assert watered(yard) == [None]  # of a tree, not of a bench


@pytest.fixture
def spoken_to(page):
    """What the page says that each phrase would do; every phrase begins afresh."""

    def would(*phrases):
        for phrase in phrases:
            say(page, phrase)
        return page.locator("#would").inner_text()

    return would


NOT_UNDERSTOOD = "Not understood: nothing is done."
PHRASES = {  # Bench 3: 1 to 5 are due, 6 is not; Open terrace: 12, to be lifted
    "bench three": "At Bench 3.",
    "Bench 3.": "At Bench 3.",
    "the open terrace": "At Open terrace.",
    "terrace": "At Open terrace.",
    "bench three done": "Bench 3, done. Pots watered: 5.",
    "Bench 3, done as said!": "Bench 3, done. Pots watered: 5.",
    "bench number three all watered": "Bench 3, done. Pots watered: 5.",
    "bench three done except for four": ("Bench 3, done except 4. Pots watered: 4."),
    "bench three done except for": "Bench 3, done except 4. Pots watered: 4.",
    "bench three done except two and five": (
        "Bench 3, done except 2 and 5. Pots watered: 3."
    ),
    "bench three done except 1, 2 and 5": (
        "Bench 3, done except 1, 2 and 5. Pots watered: 2."
    ),
    "bench three all but two to four": (NOT_UNDERSTOOD),
    "bench three done but not 2-4": ("Bench 3, done except 2 to 4. Pots watered: 2."),
    "bench three done except four to two": (
        "Bench 3, done except 2 to 4. Pots watered: 2."
    ),
    "bench three done and also six": "Bench 3, done and also 6. Pots watered: 6.",
    "bench three done except four and also six": (
        "Bench 3, done except 4, and also 6. Pots watered: 5."
    ),
    "bench three and also six": "Bench 3, also 6. Pots watered: 1.",
    "bench three done except one to five": (
        "Bench 3, done except 1 to 5. Pots watered: 0. Nothing would be written."
    ),
    "terrace done": "Open terrace, done. Pots watered: 0. Nothing would be written.",
    "terrace also eleven and twelve": "Open terrace, also 11 and 12. Pots watered: 2.",
    "terrace tree twelve heavy": "Open terrace, 12: heavy.",
    "bench three tree for light": "Bench 3, 4: light.",
    "tree OT-7 fallen over": "Open terrace, 7: fallen.",
    "B3 4 is wet": "Bench 3, 4: wet.",
    "bench three tree two watered": "Bench 3, 2: watered.",
    # What is not understood as a whole does nothing
    "bench thirteen done": "No bench here is called bench 13: nothing is done.",
    "bench three done except seven": "Bench 3 has no pot 7: nothing is done.",
    "bench three done except twenty-one": "Bench 3 has no pot 21: nothing is done.",
    "bench three done except 2 to": NOT_UNDERSTOOD,
    "bench three done except floor": NOT_UNDERSTOOD,
    "bench three not done": NOT_UNDERSTOOD,
    "bench three done except": NOT_UNDERSTOOD,
    "bench three except four": NOT_UNDERSTOOD,
    "bench three tree four not light": NOT_UNDERSTOOD,
    "bench three tree four light tree five heavy": NOT_UNDERSTOOD,
    "bench tree donut except flour": NOT_UNDERSTOOD,
    "light": NOT_UNDERSTOOD,
    "done and dusted": NOT_UNDERSTOOD,
    "undo": "There is nothing to take back.",
}


def test_a_phrase_is_told_as_what_it_would_do(yard, page, spoken_to):
    assert {phrase: spoken_to(phrase) for phrase in PHRASES} == PHRASES
    assert (watered(yard), len(facts_of(yard, Checked))) == ([], BEFORE.total())


def test_without_a_bench_at_hand_nothing_is_done(yard, page, spoken_to):
    assert spoken_to("done") == "Say the bench first: nothing is done."
    assert spoken_to("tree four light") == "Say the bench first: nothing is done."
    assert spoken_to("bench three", "done") == "Bench 3, done. Pots watered: 5."


def test_what_is_shown_is_written_whatever_another_screen_did_meanwhile(yard, page):
    before = page.locator("#round").get_attribute("data-position")
    say(page, "bench three done except four")
    record(yard, RecordWish(subject="B3-1", words=("watered",)))
    expect(page.locator("#round")).not_to_have_attribute("data-position", before)
    expect(page.locator(".pot.meant")).to_have_count(4)
    hold(page)
    saved(page)
    assert ("B3-1", "B3-2", "B3-3", "B3-5") in watered(yard)


def test_a_tap_that_comes_between_lets_the_phrase_go(yard, page):
    say(page, "bench three tree two light")
    hold(page)
    say(page, "undo")
    page.locator('.pot[data-label="B3-3"]').click()
    page.keyboard.press("Escape")
    expect(page.locator("#write")).to_be_hidden()
    say(page, "undo")
    page.locator("#undo").click()
    expect(page.locator("#write")).to_be_hidden()


def test_closing_closes_the_microphone_too(page):
    page.evaluate("heard.text = 'bench three'")
    page.locator("#listen").hover()
    page.mouse.down()
    expect(page.locator("#speech")).to_have_attribute("data-state", "listening")
    page.locator("#speak").evaluate("button => button.click()")
    assert page.evaluate("[heard.listens, heard.spoken.length]") == [False, 0]
    page.mouse.up()
    expect(page.locator("#speech")).to_be_hidden()


def test_what_is_not_understood_cannot_be_written(yard, page):
    say(page, "bench three done except four")
    say(page, "bench three donut except flour")
    expect(page.locator("#would")).to_have_text(NOT_UNDERSTOOD)
    expect(page.locator("#write")).to_be_hidden()
    expect(page.locator(".pot.meant")).to_have_count(0)


def test_why_nothing_was_heard_is_told(page):
    for error, told in {
        "": "Nothing was heard.",
        "no-speech": "Nothing was heard.",
        "not-allowed": "The browser does not let this page use the microphone.",
        "network": "perhaps for want of a network. Tapping works.",
    }.items():
        say(page, "", error)
        expect(page.locator("#would")).to_contain_text(told)


def test_the_microphone_is_open_only_while_the_button_is_held(yard, page):
    """Let go before it opens, it never does."""
    expect(page.locator("#speech")).to_contain_text(
        "Your browser may send your voice to its maker's servers; "
        "the microphone listens only while you hold the button."
    )
    assert page.evaluate("heard.opens") == 0
    page.locator("#listen").click(delay=0)
    page.wait_for_timeout(200)
    assert page.evaluate("[heard.opens, heard.listens]") == [0, False]
    page.locator("#listen").hover()
    page.mouse.down()
    expect(page.locator("#speech")).to_have_attribute("data-state", "listening")
    assert page.evaluate("[heard.opens, heard.listens]") == [1, True]
    page.mouse.up()
    assert page.evaluate("[heard.opens, heard.listens]") == [1, False]


DARK = """() => {
  Object.defineProperty(document, "hidden", {get: () => true, configurable: true});
  Object.defineProperty(document, "visibilityState", {
    get: () => "hidden", configurable: true });
  document.dispatchEvent(new Event("visibilitychange"));
}"""


def test_with_the_screen_off_nothing_is_written_or_heard(yard, page):
    say(page, "bench three done")
    page.locator("#write").hover()
    page.mouse.down()
    page.wait_for_timeout(300)
    page.evaluate(DARK)
    page.wait_for_timeout(HELD_MS)
    page.mouse.up()
    expect(page.locator("#write")).to_be_hidden()
    expect(page.locator("#heard")).to_have_text("")
    page.locator("#listen").hover()
    page.mouse.down()
    page.wait_for_timeout(200)
    page.mouse.up()
    assert page.evaluate("heard.opens") == 1
    assert (watered(yard), pending(page)) == ([], "0")


def test_a_round_that_is_over_takes_no_done_as_said(yard, page):
    page.evaluate("document.querySelector('#round').dataset.next = '2020-01-01T08:00Z'")
    page.evaluate("document.dispatchEvent(new Event('visibilitychange'))")
    say(page, "bench three done")
    expect(page.locator("#would")).to_have_text("This round is over: check every pot.")
    expect(page.locator("#write")).to_be_hidden()


def test_what_was_said_without_a_server_is_stored_once(yard, served, page):
    served.stop()
    say(page, "bench three done except four")
    hold(page)
    expect(page.locator("#sync")).to_have_attribute("data-pending", "1")
    served.start()
    for _ in range(2):
        page.evaluate("dispatchEvent(new Event('online'))")
        saved(page)
    assert watered(yard) == [("B3-1", "B3-2", "B3-3", "B3-5")]


def test_a_keyboard_is_enough(yard, page):
    page.evaluate("heard.text = 'bench three done except four'")
    page.locator("#listen").focus()
    page.keyboard.down("Space")
    expect(page.locator("#speech")).to_have_attribute("data-state", "listening")
    page.keyboard.up("Space")
    expect(page.locator("#write")).to_be_focused()
    page.keyboard.press("Enter")
    page.wait_for_timeout(HELD_MS)
    assert watered(yard) == []
    page.keyboard.down("Enter")
    page.wait_for_timeout(HELD_MS)
    page.keyboard.up("Enter")
    saved(page)
    expect(page.locator("#listen")).to_be_focused()
    assert watered(yard) == [("B3-1", "B3-2", "B3-3", "B3-5")]


def test_next_goes_from_due_pot_to_due_pot_by_key_and_by_voice(yard, page):
    label = "document.activeElement.dataset.label"
    said = page.locator("#would")
    walked = []
    for key in ("PageDown", "ArrowRight", "MediaTrackNext", "PageUp"):
        page.evaluate(
            "key => document.activeElement.dispatchEvent(new KeyboardEvent("
            "'keydown', {key, bubbles: true}))",
            key,
        )
        walked.append(page.evaluate(label))
    assert walked == ["B3-1", "B3-2", "B3-3", "B3-2"]
    expect(said).to_have_text("Bench 3, 2: water.")
    for place in ("Bench 3, 3: water.", "Bench 3, 4: water.", "Bench 3, 5: water."):
        say(page, "next")
        expect(said).to_have_text(place)
    say(page, "next")  # 6 can wait
    expect(said).to_have_text("Open terrace, 1: lift first.")
    say(page, "go back")
    expect(said).to_have_text("Bench 3, 5: water.")
    assert (watered(yard), pending(page)) == ([], "0")


def test_keys_that_walk_are_left_to_whoever_looks_at_a_pot(yard, page):
    page.locator('.pot[data-label="B3-2"]').click()
    page.keyboard.press("PageDown")
    page.keyboard.press("Escape")
    assert page.locator(".pot.at").count() == 0


def test_speech_has_no_fault_by_axe_in_any_state(page):
    assert faults(page) == []
    say(page, "bench three donut")
    assert faults(page) == []
    say(page, "bench three done")
    assert faults(page) == []
    hold(page)
    saved(page)
    assert faults(page) == []


def faults(page):
    return [one["id"] for one in Axe().run(page).response["violations"]]


def test_where_the_browser_offers_no_speech_there_is_none(yard, served, phone):
    phone.add_init_script(WITHOUT)
    page = phone.new_page()
    page.goto(served.at("/round"))
    expect(page.locator("#tier")).not_to_be_empty()
    expect(page.locator("#speak")).to_be_hidden()
    expect(page.locator("#speech")).to_be_hidden()

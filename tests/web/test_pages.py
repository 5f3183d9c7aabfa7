"""Every page shows what its twin says, out of one answer."""

import re
import time
from html import unescape

import pytest

from arbuscula.desk.answers import data
from arbuscula.desk.round import walk_round
from arbuscula.kinds.said import NotDoneError, Said
from arbuscula.reports.words import Voice, sentence
from arbuscula.web.seen import rounds_seen
from tests.desk.stair import desk_of, later, rec, stair
from tests.web.face import client_of

PAGES = ("/round", "/benches", "/bench/Bench 3", "/year", "/tree/B3-4", "/begin")
TWINS = ("/round", "/benches", "/bench/Bench 3", "/year", "/tree/B3-4")


@pytest.fixture(scope="module")
def desk(tmp_path_factory):
    desk = stair(tmp_path_factory.mktemp("home"))
    rec(desk, "B3-4", "check lifted heavy")
    rec(desk, "B3-9", "watered", at="2026-07-08 07:00")
    return desk


@pytest.fixture(scope="module")
def client(desk):
    return client_of(desk)


def words_of(html):
    """Return what a reader sees of a page, templates of pots included."""
    return " ".join(unescape(re.sub(r"<[^>]+>", " ", html)).split())


@pytest.mark.parametrize("page", PAGES)
def test_every_page_is_there(client, page):
    reply = client.get(page)
    assert reply.status_code == 200
    assert reply.text.startswith("<!DOCTYPE html>")


@pytest.mark.parametrize("page", TWINS)
def test_every_page_has_a_twin_that_names_its_schema(client, page):
    told = client.get(f"{page}.json").json()
    schema = told.get("schema") or told["today"]["schema"]
    assert re.fullmatch(r"arbuscula\.[a-z_]+/1", schema)


def test_the_round_twin_is_the_answer_of_the_desk(desk):
    voice = Voice()
    walk_round(desk)  # from here on out of a snapshot, to the last bit
    wanted = data(walk_round(desk), lambda said: sentence(said, voice))
    assert client_of(desk).get("/round.json").json() == wanted


def test_the_round_page_says_what_its_twin_says(client):
    told, shown = client.get("/round.json").json(), client.get("/round").text
    words = words_of(shown)
    assert told["today"]["tonight"] in words
    states = {"water": "water", "check": "check", "not yet": "not"}
    for bench in told["today"]["benches"]:
        assert bench["sentence"] in words
        for tree in bench["trees"]:
            pot = f'class="pot {states[tree["advice"]]}" data-label="{tree["label"]}"'
            assert pot in shown
            for because in tree["because"]:
                assert because["words"] in words


def test_a_tree_page_says_what_its_twin_says(client):
    told, words = (
        client.get("/tree/B3-4.json").json(),
        words_of(client.get("/tree/B3-4").text),
    )
    for because in told["today"]["because"]:
        assert because["words"] in words
    for event in told["shown"]["life"]:
        assert event["kind"] in words
    for coming in told["pot"]["coming"]:
        assert coming["word"] in words


def test_a_bench_page_says_what_its_twin_says(client):
    told, shown = (client.get(f"/bench/Bench 3{end}") for end in (".json", ""))
    words = words_of(shown.text)
    for said in (*told.json()["verdict"], *told.json()["notes"]):
        assert said["words"] in words
    assert shown.text.count('<th scope="row">') == len(told.json()["months"]) == 12
    assert client.get("/bench/nowhere").status_code == 404


def test_the_page_of_benches_leads_to_each(client):
    links = re.findall(r'href="(/bench/[^"]+)"', client.get("/benches").text)
    assert links
    assert all(client.get(unescape(link)).status_code == 200 for link in links)


def test_a_check_moves_the_water_that_is_drawn(tmp_path):
    """The three commands of the round: change a state, and its line moves."""
    desk = stair(tmp_path, trees_n=2)
    client = client_of(desk)
    before = client.get("/round").text
    rec(desk, "B3-1", "check lifted heavy")
    after = client.get("/round").text

    def middle_of(html, label):
        pot = html.partition(f'data-label="{label}"')[2]
        return float(re.search(r'class="middle"[^>]* y1="([\d.]+)"', pot)[1])

    assert middle_of(after, "B3-1") < middle_of(before, "B3-1")  # higher on the page


def test_an_unknown_tree_is_refused_in_words_with_who_is_near(client):
    reply = client.get("/tree/B3-44")
    assert reply.status_code == 404
    assert "B3-4" in words_of(reply.text)
    assert client.get("/tree/B3-44.json").json()["faults"]


def test_an_unknown_yard_is_not_found(client):
    assert client.get("/year?yard=Elsewhere").status_code == 404


def test_the_round_is_thought_anew_only_when_something_changed(desk, monkeypatch):
    asked = []
    monkeypatch.setattr(
        "arbuscula.web.seen.walk_round",
        lambda d, yard: asked.append(yard) or walk_round(d),
    )
    client = client_of(desk)
    for _ in range(3):
        client.get("/round")
    assert len(asked) == 1
    rec(desk, "B3-7", "watered")
    client.get("/round")
    assert len(asked) == 2


def test_the_first_visit_begins_by_setting_up(tmp_path):
    client = client_of(desk_of(tmp_path))
    assert client.get("/").headers["location"] == "/round"
    assert client.get("/round").headers["location"] == "/begin"
    told = {
        "yard": "Stone Stair",
        "town": "Trieste",
        "bench": "Bench 3",
        "trees": "12",
        "species": "ficus-microcarpa",
        "pot": "oval 18 cm",
        "exposure": "open",
    }
    assert client.post("/begin", data=told).headers["location"] == "/round"
    assert 'data-label="B3-12"' in client.get("/round").text


def test_what_is_wrong_in_a_form_is_said_beside_what_was_typed(tmp_path):
    desk = desk_of(tmp_path)
    client = client_of(desk)
    told = {"yard": "Stone Stair", "town": "Triest-on-Sea", "bench": "B", "trees": "3"}
    reply = client.post("/begin", data=told)
    assert reply.status_code == 400
    assert 'value="Triest-on-Sea"' in reply.text
    assert "Triest-on-Sea" in words_of(reply.text)
    assert client.get("/round").headers["location"] == "/begin"


def test_what_a_grower_typed_is_never_markup(tmp_path):
    desk = stair(tmp_path, trees_n=1)
    rec(desk, "B3-1", ["tree set", "label=<script>alert(1)</script>"])
    assert "<script>alert" not in client_of(desk).get("/round").text


def test_a_round_of_this_morning_is_over_by_its_next(desk):
    """The page carries both moments, from which a script tells its age."""
    html = client_of(later(desk, minutes=5)).get("/round").text
    assert 'data-next="2026-07-08T18:00:00+02:00"' in html


def test_nobody_waits_for_a_newer_round_and_the_older_one_says_its_book(tmp_path):
    desk = stair(tmp_path, trees_n=2)
    rounds = rounds_seen(desk, patience_s=0.0)
    first = rounds(None)
    rec(desk, "B3-1", "watered")
    assert rounds(None).book_n == first.book_n
    while rounds(None).book_n == first.book_n:
        time.sleep(0.02)
    assert rounds(None).book_n == first.book_n + 1


def test_a_round_that_failed_once_is_tried_again(tmp_path, monkeypatch):
    desk = stair(tmp_path, trees_n=2)
    rounds = rounds_seen(desk, patience_s=60)

    def busy(*_, **__):
        raise NotDoneError(Said("ledger.not_read", {"found": "locked"}))

    with monkeypatch.context() as patch:
        patch.setattr("arbuscula.web.seen.walk_round", busy)
        with pytest.raises(NotDoneError):
            rounds(None)
    assert len(rounds(None).walk.today.benches[0].trees) == 2

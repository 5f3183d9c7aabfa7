"""What a page sends is stored once, however often it is sent."""

import pytest

from arbuscula.kinds.events import Checked, Corrected, Watered
from arbuscula.kinds.said import NotDoneError, Said
from arbuscula.ledger.book import all_events, position
from tests.desk.stair import stair
from tests.web.face import client_of, item


@pytest.fixture
def desk(tmp_path):
    return stair(tmp_path)


@pytest.fixture
def client(desk):
    return client_of(desk)


def facts_of(desk, kind):
    return [e for e in all_events(desk.ledger()) if isinstance(e.facts, kind)]


def test_sent_twice_it_is_stored_once(desk, client):
    taps = [item(f"phone-{n:04}", "B3-4", "check", "lifted", "half") for n in range(3)]
    for _ in range(2):
        reply = client.post("/record", json=taps)
        assert reply.json() == {"accepted": [tap["id"] for tap in taps], "refused": []}
    assert [e.id for e in facts_of(desk, Checked)] == [tap["id"] for tap in taps]


def test_done_as_said_writes_water_only_and_never_a_check(desk, client):
    tap = item("phone-0001", "Bench 3", "watered", only="B3-1,B3-5")
    assert client.post("/record", json=[tap]).json()["refused"] == []
    (watered,) = facts_of(desk, Watered)
    assert watered.subject == "Bench 3"
    assert watered.facts.reached.only == ("B3-1", "B3-5")
    assert facts_of(desk, Checked) == []


def test_what_cannot_be_is_refused_with_its_reason_and_the_rest_is_written(
    desk, client
):
    taps = [
        item("phone-0001", "B3-99", "watered"),
        item("phone-0002", "B3-2", "watered"),
        item("phone-0003", "B3-2", "check", "lifted", "purple"),
    ]
    reply = client.post("/record", json=taps).json()
    assert reply["accepted"] == ["phone-0002"]
    assert [r["id"] for r in reply["refused"]] == ["phone-0001", "phone-0003"]
    assert "B3-99" in reply["refused"][0]["words"]
    assert len(facts_of(desk, Watered)) == 1


def test_undone_twice_it_is_taken_back_once(desk, client):
    client.post("/record", json=[item("phone-0001", "B3-4", "watered")])
    back = item("phone-0002", "", undo="phone-0001")
    for _ in range(2):
        assert client.post("/record", json=[back]).json()["accepted"] == ["phone-0002"]
    assert len(facts_of(desk, Corrected)) == 1


def test_a_book_that_cannot_be_reached_takes_nothing_for_granted(client, monkeypatch):
    """Neither accepted nor refused: the phone keeps it, and sends it again."""

    def busy(*_, **__):
        raise NotDoneError(Said("ledger.not_written", {"found": "locked"}))

    for name, tap in (
        ("record", item("phone-0001", "B3-4", "watered")),
        ("undo", item("phone-0002", "", undo="phone-0001")),
    ):
        with monkeypatch.context() as patch:
            patch.setattr(f"arbuscula.web.writing.{name}", busy)
            assert client.post("/record", json=[tap]).status_code == 503


def test_what_was_never_there_cannot_be_taken_back(client):
    back = item("phone-0002", "", undo="phone-0001")
    (refused,) = client.post("/record", json=[back]).json()["refused"]
    assert "phone-0001" in refused["words"]


def test_every_button_of_a_pot_is_something_the_book_takes(desk, client):
    html = client.get("/round").text
    values = [part.partition('"')[0] for part in html.split('<button value="')[1:]]
    values.append("watered")
    assert len(values) == 9
    for n, value in enumerate(values):
        tap = item(f"button-{n:04}", "B3-4", *value.split("|"))
        assert client.post("/record", json=[tap]).json()["refused"] == [], value


@pytest.mark.parametrize(
    "odd",
    [
        "no list",
        [{"id": "phone-0001"}],
        [item("short", "B3-4", "watered")],
        [item("phone-0001", "B3-4", "watered", at="yesterday")],
        [item("phone-0001", "B3-4", *["x"] * 21)],
        [item("phone-0001", "x" * 301, "watered")],
        [item(f"phone-{n:04}", "B3-4", "watered") for n in range(501)],
    ],
)
def test_what_is_no_tap_is_refused_whole(desk, client, odd):
    before = position(desk.ledger())
    assert client.post("/record", json=odd).status_code == 422
    assert position(desk.ledger()) == before

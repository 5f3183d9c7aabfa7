"""Who may come in from the network: by password, by invitation, until shut out."""

import stat
from dataclasses import replace
from datetime import timedelta

import pytest

from arbuscula.desk.person import add_person
from arbuscula.kinds.said import ArbusculaError
from arbuscula.ledger.book import all_events
from arbuscula.web import doors
from tests.desk.stair import stair
from tests.web.face import client_of, item

PASSWORD = "nine stone steps"


@pytest.fixture
def desk(tmp_path):
    desk = stair(tmp_path, trees_n=2)
    doors.keep(desk.home, doors.with_password(doors.Doors(), PASSWORD))
    return desk


@pytest.fixture
def client(desk):
    return client_of(desk, is_open=False)


def invited(desk, part, name="Ondine"):
    mark = add_person(desk, name, "helper").person.id
    known = doors.doors_in(desk.home)
    known, key = doors.invited(known, part, name, mark, desk.clock())
    doors.keep(desk.home, known)
    return mark, key


def record(client):
    return client.post("/record", json=[item("phone-0001", "B3-1", "watered")])


def test_whoever_was_not_let_in_sees_the_door_alone(client):
    for page in ("/round", "/round.json", "/tree/B3-1", "/changes", "/begin"):
        assert client.get(page).headers["location"] == "/door"
    assert record(client).status_code == 401


def test_the_owner_comes_in_by_password_and_leaves(client):
    assert client.post("/door", data={"password": "wrong"}).status_code == 403
    assert client.post("/door", data={"password": PASSWORD}).status_code == 303
    assert client.get("/round").status_code == 200
    assert record(client).status_code == 200
    client.post("/door/leave")
    assert client.get("/round").status_code == 303


def test_whoever_guesses_has_to_wait_even_with_the_right_word(client):
    for _ in range(doors.TRIES_N):
        client.post("/door", data={"password": "wrong"})
    assert client.post("/door", data={"password": PASSWORD}).status_code == 429


def test_a_helper_comes_in_once_by_invitation_and_writes_under_a_mark(desk, client):
    mark, key = invited(desk, "hand")
    assert client.get(f"/door/in/{key}").status_code == 303
    assert record(client).json()["accepted"] == ["phone-0001"]
    assert [e.by for e in all_events(desk.ledger()) if e.id == "phone-0001"] == [mark]
    another = client_of(desk, is_open=False)
    assert another.get(f"/door/in/{key}").status_code == 403


def test_a_guest_looks_and_does_not_write(desk, client):
    _, key = invited(desk, "guest")
    client.get(f"/door/in/{key}")
    assert client.get("/round").status_code == 200
    assert record(client).status_code == 403
    assert client.post("/begin", data={"bench": "X"}).status_code == 403


def test_shut_out_is_shut_out_at_once(desk, client):
    _, key = invited(desk, "hand")
    client.get(f"/door/in/{key}")
    doors.keep(desk.home, doors.shut(doors.doors_in(desk.home), "Ondine"))
    assert client.get("/round").status_code == 303
    assert record(client).status_code == 401
    with pytest.raises(ArbusculaError):
        doors.shut(doors.doors_in(desk.home), "Ondine")


def test_an_invitation_is_over_after_a_week_and_a_browser_after_ninety_days(desk):
    _, key = invited(desk, "hand")
    week = replace(desk, clock=lambda: desk.clock() + timedelta(days=7, seconds=1))
    assert client_of(week, is_open=False).get(f"/door/in/{key}").status_code == 403
    known, key = doors.let_in(
        doors.doors_in(desk.home),
        doors.Door(part="owner", name="o", until=desk.clock()),
        desk.clock(),
    )
    assert doors.door_of(known, key, desk.clock() + timedelta(days=89))
    assert doors.door_of(known, key, desk.clock() + timedelta(days=91)) is None


def test_the_file_of_doors_is_its_owners_alone_and_holds_no_key(desk, client):
    _, key = invited(desk, "hand")
    path = desk.home / doors.FILE
    assert stat.S_IMODE(path.stat().st_mode) == 0o600
    assert key not in path.read_text()
    assert PASSWORD not in path.read_text()
    client.get(f"/door/in/{key}")
    assert client.cookies["arbuscula"] not in path.read_text()


def test_a_new_password_locks_out_whoever_came_in_by_the_old_one(desk, client):
    client.post("/door", data={"password": PASSWORD})
    known = doors.with_password(doors.doors_in(desk.home), "ten stone steps")
    doors.keep(desk.home, known)
    assert client.get("/round").status_code == 303


def test_a_short_password_and_a_damaged_file_are_told(desk):
    with pytest.raises(ArbusculaError, match="short_password"):
        doors.with_password(doors.Doors(), "short")
    (desk.home / doors.FILE).write_text("{")
    with pytest.raises(ArbusculaError, match="damaged"):
        doors.doors_in(desk.home)


def test_the_cookie_is_of_no_use_to_scripts_and_other_sites(desk, client):
    reply = client.post("/door", data={"password": PASSWORD})
    cookie = reply.headers["set-cookie"].lower()
    assert "httponly" in cookie
    assert "samesite=lax" in cookie

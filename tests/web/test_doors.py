"""Who may come in from the network: by password, by invitation, until shut out."""

import stat
from dataclasses import replace
from datetime import timedelta

import pytest
from click.testing import CliRunner

from arbuscula.cli.door import Visit
from arbuscula.desk.person import add_person
from arbuscula.kinds.said import ArbusculaError
from arbuscula.ledger.book import all_events
from arbuscula.reports.words import Voice
from arbuscula.start import command_line, desk_at
from arbuscula.web import doors
from arbuscula.web.app import create_app
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
    assert client.get(f"/door/in/{key}").status_code == 200  # a look uses nothing up
    assert client.post(f"/door/in/{key}").status_code == 303
    assert record(client).json()["accepted"] == ["phone-0001"]
    assert [e.by for e in all_events(desk.ledger()) if e.id == "phone-0001"] == [mark]
    another = client_of(desk, is_open=False)
    for ask in (another.get, another.post):
        assert ask(f"/door/in/{key}").status_code == 403


def test_an_invitation_is_no_key_of_a_browser(desk, client):
    _, key = invited(desk, "hand")
    client.cookies.set("arbuscula", key)
    assert client.get("/round").headers["location"] == "/door"
    assert record(client).status_code == 401


def test_a_guest_looks_and_does_not_write(desk, client):
    _, key = invited(desk, "guest")
    client.post(f"/door/in/{key}")
    shown = client.get("/round")
    assert shown.status_code == 200
    assert "as-said" not in shown.text
    assert 'value="watered"' not in shown.text
    refused = record(client)
    assert refused.status_code == 403
    assert refused.json() == {"faults": ["A guest looks and does not write."]}
    assert client.post("/begin", data={"bench": "X"}).status_code == 403


def test_shut_out_is_shut_out_at_once(desk, client):
    _, key = invited(desk, "hand")
    client.post(f"/door/in/{key}")
    doors.keep(desk.home, doors.shut(doors.doors_in(desk.home), "Ondine"))
    assert client.get("/round").status_code == 303
    assert record(client).status_code == 401
    with pytest.raises(ArbusculaError):
        doors.shut(doors.doors_in(desk.home), "Ondine")


def test_an_invitation_is_over_after_a_week_and_a_browser_after_ninety_days(desk):
    _, key = invited(desk, "hand")
    week = replace(desk, clock=lambda: desk.clock() + timedelta(days=7, seconds=1))
    assert client_of(week, is_open=False).post(f"/door/in/{key}").status_code == 403
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
    client.post(f"/door/in/{key}")
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


def serve(home, *words, password=None):
    """Return what `serve` says, and who would have been let in by whom."""
    desk = desk_at(home)
    if password:
        doors.keep(home, doors.with_password(doors.doors_in(home), password))
    asked = {}
    made = create_app

    def noted(desk, voice, **how):
        asked.update(how)
        return made(desk, voice, **how)

    with pytest.MonkeyPatch.context() as patch:
        patch.setattr("arbuscula.web.app.create_app", noted)
        patch.setattr("uvicorn.Server.run", lambda *_: None)
        visit = Visit(lambda: desk, Voice())
        said = CliRunner().invoke(command_line(), ["serve", *words], obj=visit)
    return said, asked


@pytest.mark.parametrize("words", [["--host", "192.0.2.1"], ["--called", "stair.test"]])
def test_whoever_others_can_reach_needs_a_password(tmp_path, words):
    said, asked = serve(tmp_path, *words)
    assert (said.exit_code, asked) == (1, {})
    assert "door password" in said.stderr
    said, asked = serve(tmp_path, *words, password=PASSWORD)
    assert (said.exit_code, asked["is_open"]) == (0, False)
    assert words[1] in asked["hosts"]


def test_this_machine_is_open_until_there_is_a_password(tmp_path):
    assert serve(tmp_path)[1]["is_open"]
    assert not serve(tmp_path, password=PASSWORD)[1]["is_open"]


def test_who_is_invited_before_a_password_is_set_is_still_known(tmp_path):
    desk = stair(tmp_path, trees_n=1)
    _, key = invited(desk, "guest")
    assert doors.door_of(doors.doors_in(desk.home), key, desk.clock()).part == "guest"

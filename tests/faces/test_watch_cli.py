"""The watch from the command line: cron, a service, and somebody who knows."""

import json
import time
from datetime import timedelta

import pytest

from tests.bells import front_door, post_office
from tests.faces.ask import ask
from tests.services import NOW, host, open_meteo_reply

PLACE = ["--at", "45.7,13.8", "--timezone", "Europe/Rome"]
EVENING = NOW + timedelta(hours=3)


@pytest.fixture
def home(tmp_path):
    assert ask(tmp_path, "yard", "add", "Stone Stair", *PLACE, now=NOW).exit_code == 0
    bench = ["Terrace", "--trees", 3, "--species", "ficus-microcarpa"]
    assert ask(tmp_path, "bench", "add", *bench, now=NOW).exit_code == 0
    return tmp_path


def rings_at(home, text):
    path = home / "alarms.toml"
    path.write_text('perils = ["cold", "no forecast"]\n' + text)
    path.chmod(0o600)


def cold_front(colder_k):
    reply = open_meteo_reply()
    hourly = reply["hourly"]
    hourly["temperature_2m"] = [c - colder_k for c in hourly["temperature_2m"]]
    return reply


def test_a_made_cold_front_rings_once_again_when_worse_and_stops_when_known(home):
    with host() as service, front_door() as door:
        rings_at(home, f'[[webhook]]\nurl = "{door.url}"\n')
        chosen = ["weather", "choose", "open-meteo", "--host", service.url]
        assert ask(home, *chosen, now=NOW).exit_code == 0

        def look(hours, colder_k):
            service.says(cold_front(colder_k))
            said = ask(home, "watch", "--json", now=EVENING + timedelta(hours=hours))
            assert said.exit_code == 0, said.output
            told = json.loads(said.stdout)["alarms"]
            return {a["id"]: a["state"] for a in told if a["peril"] == "cold"}

        first = look(0, 6)
        assert [*first.values()] == ["rings"]
        assert [*look(0.5, 6).values()] == ["rung"]
        assert [*look(3.1, 20).values()] == ["again"]
        (alarm,) = first
        known = ask(home, "watch", "known", alarm, now=EVENING + timedelta(hours=4))
        assert known.exit_code == 0
        assert "Known" in known.stdout
        assert [*look(6.2, 24).values()] == ["known"]
        assert len(door.came) == 2
        first_words, again = (json.loads(body)["text"] for _, _, body in door.came)
        assert "falls below 10" in first_words
        assert "leaves are damaged" in again
        assert "Open-Meteo.com" in first_words


def test_when_the_service_is_gone_it_says_that_it_saw_nothing(home):
    with host() as service, post_office() as post:
        rings_at(
            home,
            f'[mail]\nhost = "{post.host}"\nsecurity = "none"\n'
            'sender = "watch@stone-stair.example"\nto = ["me@stone-stair.example"]\n',
        )
        service.says("", 503)
        chosen = ["weather", "choose", "open-meteo", "--host", service.url]
        ask(home, *chosen, now=NOW)
        said = ask(home, "watch", now=EVENING)
        assert said.exit_code == 0, said.output
        assert "Tonight unknown" in said.stdout
        assert "in trouble" in said.stderr
        (letter,) = post.letters
        assert b"Read your thermometer" in letter[2].replace(b"=\r\n", b"")
        ask(home, "watch", now=EVENING + timedelta(hours=1))
        assert len(post.letters) == 1


def test_what_could_not_be_sent_is_an_exit_code_of_one(home):
    with front_door() as door:
        rings_at(home, f'[[post]]\nurl = "{door.url}"\n')
        door.status = 500
        said = ask(home, "watch", now=EVENING)
        assert said.exit_code == 1
        assert "status 500" in said.stderr
        door.status = 200
        assert ask(home, "watch", now=EVENING).exit_code == 0
        assert len(door.came) == 2


def test_without_settings_the_watch_says_where_they_go(home):
    said = ask(home, "watch", now=EVENING)
    assert said.exit_code == 1
    assert "alarms.toml is not there" in said.stderr
    rings_at(home, '[[post]]\nurl = "gopher://x"\nadress = 1\n')
    said = ask(home, "watch", now=EVENING)
    assert said.exit_code == 2
    assert "adress" in said.stderr


def test_a_look_rings_nothing_and_needs_no_settings(home):
    said = ask(home, "watch", "look", now=EVENING)
    assert said.exit_code == 0
    assert "Tonight unknown" in said.stdout
    told = json.loads(ask(home, "watch", "look", "--json", now=EVENING).stdout)
    assert told["schema"] == "arbuscula.watch_look/1"


def test_a_look_shows_the_chances_by_hour(home):
    with host() as service:
        service.says(cold_front(8))
        chosen = ["weather", "choose", "open-meteo", "--host", service.url]
        ask(home, *chosen, now=NOW)
        said = ask(home, "watch", "look", "--hours", now=EVENING)
    hours = [line for line in said.stdout.splitlines() if "Ficus microcarpa   " in line]
    assert len(hours) > 6
    assert all(line.endswith("%") for line in hours)
    assert any("cold roots" in line for line in hours)


def test_a_test_is_heard(home):
    with front_door() as door:
        rings_at(home, f'[[post]]\nurl = "{door.url}"\n')
        said = ask(home, "watch", "test", now=EVENING)
        assert said.exit_code == 0
        assert len(door.came) == 1
        assert "Rang at post" in said.stdout


def test_a_service_goes_on_after_a_fault(home, monkeypatch):
    slept = []
    monkeypatch.setattr(time, "sleep", slept.append)
    said = ask(home, "watch", "--every", 30, "--times", 2, now=EVENING)
    assert slept == [1800]
    assert said.stderr.count("alarms.toml is not there") == 2
    assert said.exit_code == 1

"""Alarms ring once, again when it worsens, and not where somebody knows."""

import email
import json
import os
from dataclasses import replace
from datetime import timedelta
from email import policy

import pytest

from arbuscula.desk.alarm_settings import FILE, alarm_settings
from arbuscula.desk.grounds import grounds_in
from arbuscula.desk.watch import acknowledge, look, ring_a_test, watch, watched_yards
from arbuscula.kinds.said import ArbusculaError, NotDoneError
from arbuscula.reports.words import Voice, sentence
from tests.bells import front_door, post_office
from tests.desk.made_yard import NOW, desk_with, forecast, observe, yard

EVENING = NOW.replace(hour=16)


def say(said):
    return sentence(said, Voice())


@pytest.fixture
def door():
    with front_door() as there:
        yield there


@pytest.fixture
def post():
    with post_office() as there:
        yield there


@pytest.fixture
def desk(tmp_path):
    desk = desk_with(tmp_path, now=EVENING, trees_n=2)
    observe(desk, until_at=EVENING)
    return desk


def settings(desk, text):
    path = desk.home / FILE
    path.write_text(text)
    path.chmod(0o600)


def hooked(desk, door, also=""):
    settings(desk, f'{also}\n[[webhook]]\nurl = "{door.url}/hook?token=s3cret"\n')


def at(desk, **passed):
    return replace(desk, clock=lambda: EVENING + timedelta(**passed))


def front(desk, night_c, **passed):
    """Let a forecast be told, some time later, of a night so cold."""
    now = at(desk, **passed)
    forecast(now, now.clock(), members_n=21, night_c=night_c, spread_c=1.0)
    return now


def states(answer):
    return {a.peril.value: a.state for a in answer.alarms}


def test_a_cold_front_rings_once_again_when_it_worsens_and_stops_when_known(desk, door):
    hooked(desk, door, 'perils = ["cold"]')
    mild = front(desk, 9.5)
    assert states(watch(mild, say))["cold"] == "rings"
    assert len(door.came) == 1
    assert states(watch(at(desk, minutes=30), say))["cold"] == "rung"
    assert len(door.came) == 1
    worse = front(desk, -4.0, hours=1)
    answer = watch(worse, say)
    assert states(answer)["cold"] == "again"
    assert len(door.came) == 2
    acknowledge(worse, [a.id for a in answer.alarms if a.peril == "cold"])
    worst = front(desk, -9.0, hours=2)
    assert states(watch(worst, say))["cold"] == "known"
    assert len(door.came) == 2


def test_a_warning_that_is_known_rings_once_more_as_damage(desk, door):
    hooked(desk, door, 'perils = ["cold"]')
    watch(front(desk, 9.5), say)
    acknowledge(at(desk, minutes=5), ["all"])
    colder = front(desk, 8.0, hours=1)
    assert states(watch(colder, say))["cold"] == "known"
    freezing = front(desk, -4.0, hours=2)
    assert states(watch(freezing, say))["cold"] == "again"
    assert len(door.came) == 2


def test_the_next_night_is_another_event(desk, door):
    hooked(desk, door, 'perils = ["cold"]')
    watch(front(desk, 8.0), say)
    watch(front(desk, 8.0, hours=11), say)  # three in the morning: the same night
    assert len(door.came) == 1 or door.came[1][2] != door.came[0][2]
    ids = {json.loads(body)["alarms"][0]["id"] for _, _, body in door.came}
    watch(front(desk, 8.0, hours=24), say)
    ids |= {json.loads(body)["alarms"][0]["id"] for _, _, body in door.came}
    assert len(ids) == len(door.came) == 2


def test_a_webhook_gets_what_json_says_and_a_post_plain_words(desk, door):
    settings(
        desk,
        f'perils = ["cold"]\n[[webhook]]\nurl = "{door.url}/a"\n'
        f'[[post]]\nurl = "{door.url}/b"\n',
    )
    watch(front(desk, 8.0), say)
    (_, heads, body), (_, plain_heads, plain) = door.came
    told = json.loads(body)
    assert heads["Content-Type"] == "application/json"
    assert told["schema"] == "arbuscula.alarm/1"
    assert told["yard"] == "Stone Stair"
    (alarm,) = told["alarms"]
    assert (alarm["peril"], alarm["state"]) == ("cold", "rings")
    assert alarm["trees"] == ["T1", "T2"]
    assert plain_heads["Content-Type"].startswith("text/plain")
    assert "Terrace" in plain.decode()
    assert f"arbuscula watch known {alarm['id']}" in plain.decode()
    assert "invented" in plain.decode()  # whom to thank


MAIL = """
[mail]
host = "{host}"
security = "none"
sender = "watch@stone-stair.example"
to = ["one@stone-stair.example", "two@stone-stair.example"]
"""


def test_mail_goes_to_everybody_with_one_subject(desk, post):
    settings(desk, MAIL.format(host=post.host))
    watch(front(desk, 8.0), say)
    ((sender, receivers, text),) = post.letters
    assert sender == "watch@stone-stair.example"
    assert receivers == ["one@stone-stair.example", "two@stone-stair.example"]
    letter = email.message_from_bytes(text, policy=policy.default)
    assert letter["Subject"] == "Stone Stair: cold, cold roots"
    assert letter["Auto-Submitted"] == "auto-generated"
    assert "Bring in: T1, T2" in letter.get_content().replace("\n", " ")


def test_a_name_cannot_smuggle_a_head_into_the_mail(tmp_path, post):
    evil = "Stair\r\nBcc: everybody@elsewhere.example\r\n\r\nhello"
    desk = desk_with(tmp_path, now=EVENING, trees_n=1, yard_said=yard(name=evil))
    observe(desk, until_at=EVENING)
    settings(desk, MAIL.format(host=post.host))
    watch(front(desk, 8.0), say)
    ((_, receivers, text),) = post.letters
    assert "everybody@elsewhere.example" not in receivers
    letter = email.message_from_bytes(text, policy=policy.default)
    assert letter["Bcc"] is None
    assert set(letter.keys()) <= {
        "Subject",
        "From",
        "To",
        "Date",
        "Message-ID",
        "Auto-Submitted",
        "Content-Type",
        "Content-Transfer-Encoding",
        "MIME-Version",
    }


def test_a_password_is_handed_over_and_told_to_nobody(desk, post):
    login = 'user = "watch"\npassword = "pa55-w0rd"\n'
    settings(desk, MAIL.format(host=post.host) + login)
    answer = watch(front(desk, 8.0), say)
    assert len(post.logins) == 1
    post.is_closed = True
    failed = watch(front(desk, -2.0, hours=1), say)
    assert failed.unsent
    assert "pa55" not in f"{answer}{failed}"


# What fails


def test_a_bell_that_fails_is_tried_again_and_hinders_no_other(desk, door, post):
    settings(
        desk,
        f'perils = ["cold"]\n[[post]]\nurl = "{door.url}/x"\n'
        + MAIL.format(host=post.host),
    )
    post.is_closed = True
    answer = watch(front(desk, 8.0), say)
    assert [f.message_id for f in answer.unsent] == ["alarm.not_sent"]
    assert len(door.came) == 1
    post.is_closed = False
    later = watch(at(desk, minutes=30), say)
    assert later.unsent == ()
    assert (len(door.came), len(post.letters)) == (1, 1)


@pytest.mark.parametrize("status", [301, 302, 400, 403, 404, 429, 500, 503])
def test_a_status_that_is_no_yes_is_a_failure_and_nothing_is_followed(
    desk, door, status
):
    hooked(desk, door, 'perils = ["cold"]')
    door.status, door.heads = status, {"Location": f"{door.url}/elsewhere"}
    answer = watch(front(desk, 8.0), say)
    assert states(answer)["cold"] == "failed"
    assert len(door.came) == 1
    assert "s3cret" not in f"{answer.unsent}"


def test_a_refused_receiver_is_told(desk, post):
    settings(desk, MAIL.format(host=post.host))
    post.refuses = {"two@stone-stair.example"}
    answer = watch(front(desk, 8.0), say)
    assert [f.figures["found"] for f in answer.unsent] == ["two@stone-stair.example"]


def test_an_answer_of_hundreds_of_megabytes_is_not_read(desk, door):
    sent_mb = []

    def pours(handler):
        handler.send_response_only(200)
        handler.end_headers()
        try:
            for _ in range(200):
                handler.wfile.write(b" " * 1_000_000)
                sent_mb.append(1)
        except OSError:
            pass
        handler.close_connection = True
        return True

    hooked(desk, door, 'perils = ["cold"]')
    door.behaves = pours
    assert states(watch(front(desk, 8.0), say))["cold"] == "rings"
    assert sum(sent_mb) < 40  # what is on its way in buffers


# Blind


def test_it_says_when_it_got_no_forecast_itself_and_once_a_night(desk, door):
    hooked(desk, door)
    answer = watch(desk, say)
    assert states(answer) == {"no forecast": "rings"}
    assert "Read your thermometer" in door.came[0][2].decode()
    assert states(watch(at(desk, hours=1), say)) == {"no forecast": "rung"}
    assert len(door.came) == 1


def test_a_failure_of_the_source_stands_in_the_message(desk, door):
    from arbuscula.desk.weather_choice import choose_weather
    from arbuscula.kinds.forecast import Reach

    choose_weather(desk, "open-meteo", Reach(host="http://127.0.0.1:9"))
    hooked(desk, door)
    watch(desk, say)
    assert "cannot be reached" in json.loads(door.came[0][2])["text"]


# Quiet hours

QUIET = '[quiet]\nbegins = "22:00:00"\nends = "06:30:00"\n'


def quiet(desk, door, text=QUIET):
    settings(desk, f'{text}\n[[webhook]]\nurl = "{door.url}"\n')


def test_cold_rings_in_the_quiet_hours_and_blindness_in_july_waits(desk, door):
    quiet(desk, door)
    midnight = at(desk, hours=6)  # 24:00 on the terrace
    assert states(watch(midnight, say)) == {"no forecast": "waits"}
    assert door.came == []
    cold = front(desk, 6.0, hours=7)
    tonight, coming, *_ = [a for a in watch(cold, say).alarms if a.peril == "cold"]
    assert (tonight.state, coming.state) == ("rings", "waits")


def test_what_waited_rings_when_the_quiet_is_over(desk, door):
    quiet(desk, door, '[quiet]\nbegins = "08:00:00"\nends = "19:00:00"\n')
    assert states(watch(desk, say)) == {"no forecast": "waits"}
    assert states(watch(at(desk, hours=1, minutes=1), say)) == {"no forecast": "rings"}


def test_tomorrows_heat_waits_for_the_morning(desk, door):
    quiet(desk, door)
    now = at(desk, hours=5)  # 23:00 on the terrace
    forecast(now, now.clock(), members_n=21, night_c=24.0)
    assert states(watch(now, say))["hot roots"] == "waits"


# Settings


def test_without_settings_it_says_where_they_go(desk):
    with pytest.raises(NotDoneError) as refused:
        watch(desk, say)
    assert refused.value.faults[0].message_id == "alarm.no_settings"


@pytest.mark.skipif(os.name != "posix", reason="modes are POSIX")
def test_settings_that_others_may_read_are_refused(desk, door):
    hooked(desk, door)
    (desk.home / FILE).chmod(0o640)
    assert faults(desk) == ["settings.open"]


def faults(desk):
    with pytest.raises(ArbusculaError) as refused:
        alarm_settings(desk.home)
    return sorted(fault.message_id for fault in refused.value.faults)


def test_all_faults_of_the_file_are_told_at_once(desk):
    text = '[mail]\nhost = 7\nsendr = "x"\nto = "one"\n[quiet]\nbegins = "25:00"\n'
    settings(desk, text)
    assert len(faults(desk)) >= 5


WRONG = {
    '[[post]]\nurl = "file:///etc/passwd"\n': ["address.not_web"],
    '[[webhook]]\nurl = "ftp://h/"\n[[post]]\nurl = "http://"\n': ["address.not_web"]
    * 2,
    '[[post]]\nurl = "http://h/\\r\\nX: y"\n': ["address.not_web"],
    'perils = ["cold"]\n': ["alarm.nowhere"],
    MAIL.format(host="a b").replace("one@", "one@x\\r\\nBcc: y@"): [
        "alarm.no_host",
        "alarm.no_mailbox",
    ],
    MAIL.format(host="mail.example.org") + 'password = "p"\n': [
        "alarm.password_in_clear"
    ],
    MAIL.format(host="mail.example.org:99999"): ["alarm.no_host"],
}


@pytest.mark.parametrize("text", WRONG)
def test_what_can_be_no_address_is_refused_at_the_door(desk, text):
    settings(desk, text)
    assert faults(desk) == WRONG[text]


def test_a_test_rings_everywhere(desk, door, post):
    settings(desk, f'[[post]]\nurl = "{door.url}"\n' + MAIL.format(host=post.host))
    answer = ring_a_test(desk, say)
    assert len(answer.rang) == 2
    assert (len(door.came), len(post.letters)) == (1, 1)


# What is kept


def test_what_rang_keeps_the_weather_it_rested_on(desk, door):
    from zoneinfo import ZoneInfo

    hooked(desk, door)
    watch(front(desk, 8.0), say)
    zone = ZoneInfo("Europe/Rome")
    (ground,) = grounds_in(desk.home, "stair", zone, from_s=0, until_s=1e12)
    assert ground.verb == "watch"
    assert any(s.source == "made" for s in ground.stretches)


def test_an_alarm_that_never_rang_cannot_be_known(desk):
    with pytest.raises(ArbusculaError) as refused:
        acknowledge(desk, ["ffffffff", "all"])
    assert [f.message_id for f in refused.value.faults] == ["alarm.not_there"] * 2


def test_looking_rings_nothing(desk, door):
    hooked(desk, door)
    assert look(front(desk, 8.0)).alarms
    assert door.came == []


def test_every_yard_is_watched(desk):
    assert watched_yards(desk) == ("stair",)
    assert watched_yards(desk, "Stone Stair") == ("Stone Stair",)

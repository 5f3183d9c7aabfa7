"""A page sends a picture and is told its name; who may look at the book may see it."""

from hashlib import sha256

import pytest

from arbuscula.desk.photos import photos_n
from arbuscula.photo.stripped import stripped
from arbuscula.web import doors
from tests.desk.stair import stair
from tests.photo.pictures import PLACE, picture
from tests.web.face import client_of, item

PLAIN = stripped(picture())
DIGEST = sha256(PLAIN).hexdigest()
SHOWN = f"/photo/{DIGEST}"


@pytest.fixture
def desk(tmp_path):
    return stair(tmp_path, trees_n=4)


@pytest.fixture
def client(desk):
    return client_of(desk)


def send(client, content=PLAIN, **more):
    return client.post("/photo", content=content, **more)


def test_it_is_kept_once_and_shown_as_it_was_sent(desk, client):
    for _ in range(2):
        told = send(client).json()
        assert (told["picture"], told["bytes_n"]) == (DIGEST, len(PLAIN))
    reply = client.get(SHOWN)
    assert (reply.content, photos_n(desk.home)) == (PLAIN, 1)
    assert reply.headers["content-type"] == "image/jpeg"
    assert reply.headers["x-content-type-options"] == "nosniff"
    assert "immutable" in reply.headers["cache-control"]


@pytest.mark.parametrize("form", ["JPEG", "PNG", "WEBP"])
def test_a_place_that_a_phone_left_in_goes_before_it_is_kept(client, form):
    content = picture(form)
    assert PLACE in content
    shown = client.get(f"/photo/{send(client, content).json()['picture']}")
    assert shown.content == stripped(content)
    assert PLACE not in shown.content


def test_a_tap_then_names_it_and_its_trees_page_shows_it(client):
    send(client)
    tap = item("phone-0001", "B3-4", "photographed", DIGEST, "from the front")
    assert client.post("/record", json=[tap]).json()["refused"] == []
    assert f'src="{SHOWN}"' in client.get("/tree/B3-4").text
    (told,) = client.get("/tree/B3-4.json").json()["photos"]
    assert (told["picture"], told["view"]) == (DIGEST, "from the front")


def test_a_tap_before_its_picture_is_refused(client):
    tap = item("phone-0001", "B3-4", "photographed", DIGEST)
    assert len(client.post("/record", json=[tap]).json()["refused"]) == 1


def test_a_lost_picture_is_told_in_words(desk, client):
    send(client)
    tap = item("phone-0001", "B3-4", "photographed", DIGEST)
    client.post("/record", json=[tap])
    next((desk.home / "photos").glob("*/*")).unlink()
    assert client.get(SHOWN).status_code == 404
    shown = client.get("/tree/B3-4").text
    assert f'src="{SHOWN}"' not in shown
    assert "The picture itself is missing" in shown


@pytest.mark.parametrize(
    ("content", "words"),
    [
        (b"<svg onload='alert(1)'/>", "JPEG"),
        (b"", "JPEG"),
        (PLAIN[:-9], "damaged"),
    ],
)
def test_what_is_no_whole_picture_is_refused_in_words(desk, client, content, words):
    reply = send(client, content)
    assert reply.status_code == 400
    assert words in reply.json()["faults"][0]
    assert photos_n(desk.home) == 0


@pytest.mark.parametrize("name", ["x", "..%2f..%2fbook.db", "A" * 64, "0" * 63])
def test_a_name_that_is_no_digest_is_not_looked_for(client, name):
    assert client.get(f"/photo/{name}").status_code in (404, 422)


def test_a_photo_may_be_larger_than_words_but_not_by_much(client):
    assert send(client, b"\xff\xd8\xff" + b" " * 3_000_000).status_code == 400
    too_large = send(client, b" " * 4_000_001)
    assert too_large.status_code == 413
    assert too_large.text == "too large: 4 MB are the most\n"
    in_pieces = send(client, (b" " * 500_000 for _ in range(9)))
    assert in_pieces.status_code == 413
    assert in_pieces.json() == {"detail": "too large: 4 MB are the most"}
    assert client.post("/record", content=b" " * 1_000_001).status_code == 413


def test_a_page_of_another_site_cannot_send_one(client):
    headers = {"origin": "http://evil.example"}
    assert send(client, headers=headers).status_code == 403


def test_a_guest_sees_it_and_sends_none_and_a_stranger_sees_nothing(desk, client):
    send(client)
    known, key = doors.invited(doors.Doors(), "guest", "Ondine", "", desk.clock())
    doors.keep(desk.home, known)
    inside = client_of(desk, is_open=False)
    assert inside.get(SHOWN).status_code == 303
    assert send(inside).status_code == 401
    inside.post(f"/door/in/{key}")
    assert inside.get(SHOWN).content == PLAIN
    assert send(inside).status_code == 403

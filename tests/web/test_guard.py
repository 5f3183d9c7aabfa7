"""Who may ask at all: known hosts, our own pages, small bodies."""

from base64 import b64encode
from hashlib import sha256

import pytest

from arbuscula.web.render import static_names
from tests.desk.stair import stair
from tests.web.face import client_of, item


@pytest.fixture
def client(tmp_path):
    return client_of(stair(tmp_path, trees_n=1))


@pytest.mark.parametrize("host", ["evil.example", "127.0.0.1.evil.example", "[", ""])
def test_a_name_that_was_made_to_point_here_is_refused(client, host):
    assert client.get("/round", headers={"host": host}).status_code == 421


@pytest.mark.parametrize(
    "headers",
    [
        {"origin": "http://evil.example"},
        {"origin": "null"},
        {"sec-fetch-site": "cross-site"},
        {"sec-fetch-site": "same-site"},
        {"origin": "http://127.0.0.1:9999"},
    ],
)
def test_a_page_of_another_site_cannot_write(client, headers):
    tap = [item("phone-0001", "B3-1", "watered")]
    assert client.post("/record", json=tap, headers=headers).status_code == 403


def test_our_own_page_can(client):
    headers = {"origin": "http://127.0.0.1:8710", "sec-fetch-site": "same-origin"}
    tap = [item("phone-0001", "B3-1", "watered")]
    assert client.post("/record", json=tap, headers=headers).status_code == 200


def test_a_large_body_is_refused_by_its_length(client):
    assert client.post("/record", content=b" " * 1_000_001).status_code == 413


def test_a_large_body_is_refused_without_a_length_too(client):
    pieces = (b" " * 100_000 for _ in range(11))
    assert client.post("/record", content=pieces).status_code == 413


def test_what_has_a_hash_in_its_name_is_kept_for_good_and_nothing_else(client):
    names = static_names()
    kept = client.get(f"/static/{names['round.ts']}").headers["cache-control"]
    assert "immutable" in kept
    for path in ("/sw.js", "/round", "/static/names.json", "/static/app-00000000.js"):
        assert "immutable" not in client.get(path).headers.get("cache-control", "")


def test_the_style_that_stands_in_a_page_is_the_one_that_the_policy_knows(client):
    """CSP Level 3, 6.7.2.3: the digest is of the text between the tags."""
    reply = client.get("/round")
    style = reply.text.partition("<style>")[2].partition("</style>")[0]
    digest = b64encode(sha256(style.encode()).digest()).decode()
    assert f"'sha256-{digest}'" in reply.headers["content-security-policy"]
    assert style.count("@font-face") == 2


@pytest.mark.parametrize("path", ["/round", "/round.json", "/sw.js", "/nothing"])
def test_every_reply_bears_the_strict_headers(client, path):
    headers = client.get(path).headers
    assert "default-src 'self'" in headers["content-security-policy"]
    assert "unsafe" not in headers["content-security-policy"]
    assert headers["x-content-type-options"] == "nosniff"

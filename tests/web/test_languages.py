"""Each reader is answered in their own language: words in it, data as ever."""

import re
from html.parser import HTMLParser

import pytest

from arbuscula.reports.words import Voice, language_asked
from arbuscula.web.app import create_app
from scripts.words import words_of
from tests.desk.made_yard import desk_with, forecast, observe
from tests.web.face import client_of

PAGES = ("/round", "/tree/T1", "/benches", "/year", "/import", "/begin", "/door")
PIECE_N = 12  # letters; shorter pieces of a sentence may well be the same in both


class Texts(HTMLParser):
    """All that somebody reads, piece by piece; keys of an example are no words."""

    def __init__(self):
        super().__init__()
        self.found, self.silent = set(), 0

    def handle_starttag(self, tag, attrs):
        self.silent += tag in ("style", "script")
        told = dict(attrs)
        for name in ("aria-label", "alt", "title"):
            self.found.add(" ".join((told.get(name) or "").split()))
        self.found |= {v for name, v in attrs if name.startswith("data-") and v}

    def handle_endtag(self, tag):
        self.silent -= tag in ("style", "script")

    def handle_data(self, data):
        if not self.silent:
            self.found.add(" ".join(data.split()))


def texts_of(page):
    reader = Texts()
    reader.feed(page)
    return reader.found - {""}


@pytest.fixture(scope="module")
def desk(tmp_path_factory):
    desk = desk_with(tmp_path_factory.mktemp("home"), benches=("terrace", "sill"))
    observe(desk)
    forecast(desk, members_n=5)
    return desk


@pytest.fixture(scope="module")
def client(desk):
    return client_of(desk)


def english_left(page, language):
    """Return what a page says in English though there are words for it."""
    english, told = words_of("en"), words_of(language)
    found = texts_of(page)
    everything = " / ".join(found)
    foreign = {key: words for key, words in english.items() if words != told[key]}
    whole = {words for words in foreign.values() if "{" not in words} & found
    pieces = {
        piece.strip()
        for key, words in foreign.items()
        for piece in re.split(r"{\w+}", words)
        if len(piece.strip()) >= PIECE_N and " " in piece.strip()
        if piece.strip() not in told[key]  # what is typed is typed in every language
    }
    return whole | {piece for piece in pieces if piece in everything}


@pytest.mark.parametrize("language", ["de", "it"])
@pytest.mark.parametrize("page", PAGES)
def test_a_page_speaks_the_language_of_its_reader(client, page, language):
    reply = client.get(page, headers={"accept-language": f"{language}-CH,en;q=0.5"})
    assert reply.status_code == 200
    assert f'<html lang="{language}">' in reply.text
    assert "Accept-Language" in reply.headers["vary"]
    assert english_left(reply.text, language) == set()


@pytest.mark.parametrize("page", PAGES)
def test_without_a_wish_or_with_an_unknown_one_it_is_english(client, page):
    for headers in ({}, {"accept-language": "xx,yy;q=0.5"}):
        reply = client.get(page, headers=headers)
        assert '<html lang="en">' in reply.text
    assert english_left(reply.text, "de") != set()  # the search finds something


def test_two_readers_of_one_round_get_each_their_own(client):
    pages = [
        client.get("/round", headers={"accept-language": tongue}).text
        for tongue in ("de", "it", "en", "de")
    ]
    assert pages[0] == pages[3]
    assert len({*pages}) == 3


def test_a_server_told_its_language_speaks_no_other(desk):
    app = create_app(desk, Voice("it"), by_browser=False, patience_s=60)
    said = client_of(desk).get("/door", headers={"accept-language": "it"}).text
    told = type(client_of(desk))(app, base_url="http://127.0.0.1:8710")
    assert told.get("/door", headers={"accept-language": "de"}).text == said


def numbers_of(part):
    """Yield all numbers of a twin, and the figures of its sentences."""
    if isinstance(part, dict):
        for key, one in part.items():
            yield from () if key == "words" else numbers_of(one)
    elif isinstance(part, list):
        for one in part:
            yield from numbers_of(one)
    elif isinstance(part, int | float):
        yield part


@pytest.mark.parametrize("page", ["/round", "/tree/T1", "/benches", "/year"])
def test_data_are_the_same_in_every_language(client, page):
    english, german = (
        client.get(f"{page}.json", headers={"accept-language": tongue}).json()
        for tongue in ("en", "de")
    )
    assert [*numbers_of(german)] == [*numbers_of(english)]
    assert [*numbers_of(german)]


def test_words_have_the_decimal_sign_of_their_language(client):
    year = client.get("/year.json", headers={"accept-language": "de"}).text
    assert re.search(r"\d,\d °C", year)
    assert not re.search(r"\d\.\d °C", year)


@pytest.mark.parametrize(
    ("wishes", "language"),
    [
        ("de-AT,de;q=0.9,en;q=0.5", "de"),
        ("fr, it;q=0.4, en;q=0.3", "it"),
        ("en;q=0.3, it ; q=0.4", "it"),
        ("DE", "de"),
        ("de;q=0", None),
        ("de;q=lots, *", None),
        ("", None),
    ],
)
def test_the_first_known_language_of_a_browser_is_taken(wishes, language):
    """As RFC 9110, section 12.5.4, weighs them."""
    assert language_asked(wishes) == language

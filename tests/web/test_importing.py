"""A table of trees is shown before anything is written; only its owner takes it in."""

import json

import pytest
from click.testing import CliRunner

from arbuscula.cli.door import Visit
from arbuscula.desk.tree import list_trees
from arbuscula.ledger.book import position
from arbuscula.reports.words import Voice
from arbuscula.start import command_line
from arbuscula.web import doors
from arbuscula.web.importing import fields_of
from tests.desk.stair import desk_of, stair
from tests.web.face import client_of
from tests.web.test_pages import words_of

FIG = "ficus-microcarpa"
SOUND = (
    f"label,species,bench,crown,note\nElder,{FIG},Bench 3,large,leans\n,{FIG},Bench 3\n"
)
FAULTY = f"label,species,bench,crown\nB3-1,{FIG},Bench 3,huge\n,ficus-x,Bench 9,\n"


@pytest.fixture
def desk(tmp_path):
    return stair(tmp_path / "home", trees_n=2)


@pytest.fixture
def client(desk):
    return client_of(desk)


def sent(client, text, *, do="look", file="trees.csv", **more):
    """Return the page that follows, as a browser with a chosen file asks for it."""
    body = text if isinstance(text, bytes) else text.encode()
    files = {"file": (file, body, "text/csv")}
    return client.post("/import", data={"do": do, **more}, files=files)


def digest_of(reply):
    return reply.text.partition('name="digest" value="')[2].partition('"')[0]


def labels(desk):
    return [row.label for row in list_trees(desk).trees]


def by_command(desk, path, *words):
    visit = Visit(lambda: desk, Voice())
    return CliRunner().invoke(command_line(), ["import", str(path), *words], obj=visit)


def test_a_table_is_shown_first_and_then_taken_in(desk, client):
    before = position(desk.ledger())
    looked = sent(client, SOUND)
    words = words_of(looked.text)
    assert looked.status_code == 200
    assert "trees.csv: nothing is written yet. Trees that would be set up: 2." in words
    for told in ("Elder", "B3-3", "crown large", "leans", "Take them in: 2"):
        assert told in words
    assert position(desk.ledger()) == before
    taken = sent(client, SOUND, do="take in", digest=digest_of(looked))
    assert "trees.csv: trees set up: 2, Elder to B3-3." in words_of(taken.text)
    assert labels(desk) == ["B3-1", "B3-2", "Elder", "B3-3"]


def test_the_text_goes_along_so_that_no_file_is_chosen_twice(desk, client):
    looked = sent(client, SOUND)
    carried = looked.text.partition("<textarea")[2].partition(">\n")[2]
    again = {
        "do": (None, "take in"),
        "text": (None, carried.partition("</textarea>")[0]),
        "digest": (None, digest_of(looked)),
        "name": (None, "trees.csv"),
        "file": ("", b""),
    }
    reply = client.post("/import", files=again)
    assert "trees set up: 2" in words_of(reply.text)


def test_all_faults_are_told_at_once_in_the_words_of_the_command_line(
    desk, client, tmp_path
):
    before = position(desk.ledger())
    words = words_of(sent(client, FAULTY).text)
    path = tmp_path / "trees.csv"
    path.write_text(FAULTY)
    told = by_command(desk, path).stderr.splitlines()
    assert len(told) == 4
    for line in told:
        assert line in words
    assert "Things to mend: 4." in words
    assert "Take them in" not in words
    assert position(desk.ledger()) == before


def test_page_twin_and_command_line_give_one_answer(desk, client, tmp_path):
    path = tmp_path / "trees.csv"
    for text in (SOUND, FAULTY):
        path.write_text(text)
        twin = client.post("/import.json", json={"name": "trees.csv", "text": text})
        told = by_command(desk, path, "--look", "--json")
        assert twin.json() == json.loads(told.stdout)
    assert told.exit_code == 2


def test_the_twin_takes_in_what_was_looked_at(desk, client):
    table = {"text": SOUND}
    digest = client.post("/import.json", json=table).json()["digest"]
    wish = {**table, "take_in": True, "digest": digest}
    assert client.post("/import.json", json=wish).json()["labels"] == ["Elder", "B3-3"]
    faulty = {"text": FAULTY, "take_in": True}
    assert len(client.post("/import.json", json=faulty).json()["faults"]) == 4


def test_sent_twice_it_is_taken_in_once(desk, client):
    """A reply that was lost is asked for again; labels would be others then."""
    bare = f"species,bench\n{FIG},Bench 3\n"
    digest = digest_of(sent(client, bare))
    sent(client, bare, do="take in", digest=digest)
    again = sent(client, bare, do="take in", digest=digest)
    assert again.status_code == 409
    assert "changed since you looked" in words_of(again.text)
    assert len(labels(desk)) == 3


def test_a_table_that_was_changed_after_the_look_is_shown_anew(desk, client):
    digest = digest_of(sent(client, SOUND))
    other = SOUND.replace("large", "small")
    reply = sent(client, other, do="take in", digest=digest)
    assert reply.status_code == 409
    assert "crown small" in words_of(reply.text)
    assert len(labels(desk)) == 2


@pytest.mark.parametrize(
    "odd", [b"\x89PNG\r\n\x1a\n\x00\xff", "Höhe".encode("utf-16"), b"PK\x03\x04\xfe"]
)
def test_a_file_that_is_no_text_is_one_clear_sentence(client, odd):
    reply = sent(client, odd, file="trees.xlsx")
    assert reply.status_code == 400
    told = words_of(reply.text.partition('role="alert">')[2].partition("</div>")[0])
    assert told == (
        "trees.xlsx is not a text in UTF-8. Save it as CSV or TOML in UTF-8."
    )


def test_nothing_chosen_is_told_too(client):
    assert "has no row below its head" in words_of(sent(client, "", file="").text)


def test_tabs_benches_and_a_day_are_understood(desk, client):
    text = f"species\tbench\r\n{FIG}\tTable 1\r\n"
    looked = sent(client, text, make_benches="on", since="2026-07-01")
    assert "New benches would be made" in words_of(looked.text)
    assert 'name="make_benches" checked' in looked.text
    digest = digest_of(looked)
    sent(
        client,
        text,
        do="take in",
        digest=digest,
        make_benches="on",
        since="2026-07-01",
    )
    assert labels(desk)[-1] == "T1-1"
    wrong = sent(client, text, since="2031-01-01")
    assert "2031" in words_of(wrong.text)
    assert f"{FIG}\tTable 1" in wrong.text  # what was sent stays in the form


def test_what_a_table_holds_is_never_markup(client):
    text = f"label,species,bench,note\nX,{FIG},Bench 3,<script>alert(1)</script>\n"
    assert "<script>alert" not in sent(client, text, file="<b>.csv").text


def test_a_table_over_a_megabyte_is_refused(client):
    assert sent(client, "x" * 1_000_001).status_code == 413


def test_without_a_yard_one_is_set_up_first(tmp_path):
    client = client_of(desk_of(tmp_path))
    assert client.get("/import").headers["location"] == "/begin"
    assert client.post("/import.json", json={"text": SOUND}).status_code == 404


@pytest.mark.parametrize("part", ["hand", "guest"])
def test_the_owner_alone_takes_in_a_table(desk, part):
    known = doors.with_password(doors.Doors(), "nine stone steps")
    known, key = doors.invited(known, part, "Ondine", "", desk.clock())
    doors.keep(desk.home, known)
    client = client_of(desk, is_open=False)
    for ask in (client.get, client.post):
        assert ask("/import").headers.get("location") == "/door"
    client.post(f"/door/in/{key}")
    page = client.get("/import")
    assert page.status_code == 403
    assert "This page is for the owner alone." in words_of(page.text)
    assert sent(client, SOUND).status_code == 403
    assert client.post("/import.json", json={"text": SOUND}).status_code == 403
    assert "/import" not in client.get("/benches").text
    client.post("/door", data={"password": "nine stone steps"})
    assert client.get("/import").status_code == 200
    assert 'href="/import"' in client.get("/benches").text


def test_a_look_by_the_command_line_writes_nothing(desk, tmp_path):
    path = tmp_path / "trees.tsv"
    path.write_text(f"species\tbench\n{FIG}\tTable 1\n")
    told = by_command(desk, path, "--look", "--make-benches")
    assert told.stdout.splitlines() == [
        "trees.tsv: nothing is written yet. Trees that would be set up: 1.",
        f"row 2: T1-1 on Table 1, species {FIG}",
        "New benches would be made, taken to stand in the open: Table 1.",
    ]
    assert len(labels(desk)) == 2


def test_a_form_keeps_every_byte_of_its_file():
    """The example of RFC 7578, section 4.2, has such a name; the bytes are all."""
    every = bytes(range(256)).replace(b"\r", b"").replace(b"\n", b"")
    body = (
        b'--AaB03x\r\ncontent-disposition: form-data; name="field1"\r\n\r\n'
        b'Joe Blow\r\n--AaB03x\r\ncontent-disposition: form-data; name="file"; '
        + 'filename="Ångström.csv"'.encode()
        + b"\r\ncontent-type: text/csv\r\n\r\n"
        + every
        + b"\r\n--AaB03x--\r\n"
    )
    fields = fields_of("multipart/form-data; boundary=AaB03x", body)
    assert fields["field1"].sent == b"Joe Blow"
    assert (fields["file"].file, fields["file"].sent) == ("Ångström.csv", every)
    assert fields_of("text/plain", b"nothing") == {}

"""A book moves to a server and back by commands that users have."""

import os
import subprocess
import sys

from tests.desk.stair import rec, stair


def said(home, *words, book=None):
    env = {**os.environ, "ARBUSCULA_HOME": str(home)}
    env |= {"ARBUSCULA_BOOK": book} if book else {}
    command = [sys.executable, "-m", "arbuscula", *map(str, words)]
    done = subprocess.run(command, capture_output=True, text=True, check=False, env=env)
    assert done.returncode == 0, done.stderr
    return done.stdout


def test_out_to_a_server_and_home_again(postgresql_url, tmp_path):
    home, again = tmp_path / "home", tmp_path / "again"
    desk = stair(home)
    rec(desk, "B3-4", "check half")
    rec(desk, "Bench 3", "watered", excepted="B3-2")
    desk.ledger().engine.dispose()
    there, back = tmp_path / "there.jsonl", tmp_path / "back.jsonl"
    said(home, "export", there)
    said(home, "import", there, book=postgresql_url)
    at = ("today", "--at", "2026-07-08T08:15+02:00", "--why")
    assert said(home, *at, book=postgresql_url) == said(home, *at)
    said(home, "record", "B3-5", "check", "light", book=postgresql_url)
    said(home, "export", back, book=postgresql_url)
    said(again, "import", back)
    assert there.read_text().splitlines()[1:] == back.read_text().splitlines()[1:-1]
    assert said(again, "verify") == said(home, "verify", book=postgresql_url)
    assert "light" in said(again, "tree", "show", "B3-5")

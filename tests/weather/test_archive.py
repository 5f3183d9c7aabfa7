import sqlite3
import threading
from contextlib import closing
from dataclasses import replace

import numpy as np
import pytest

from arbuscula.kinds.said import ArbusculaError, NotDoneError
from arbuscula.weather.archive import (
    GUARDS,
    add_batch,
    archive_at,
    batches,
    observed_between,
    position,
    rows_of,
    verify_archive,
)
from arbuscula.weather.packed import QUANTITIES, TIMES, packed, quantity
from tests.weathers import AT_S, HOUR_S, forecast, hours, observed


@pytest.fixture
def path(tmp_path):
    return tmp_path / "weather.db"


@pytest.fixture
def archive(path):
    return archive_at(path)


def same(some, others):
    return all(
        np.array_equal(quantity(some, name), quantity(others, name), equal_nan=True)
        for name in (*TIMES, *QUANTITIES)
    )


def test_what_was_added_comes_back(archive):
    members = np.round(20 + np.arange(51)[:, None] * 0.1 + np.zeros(48), 4)
    kept = add_batch(archive, forecast(hours(0, 48, air_c=members)))
    assert (kept.members_n, kept.rows_n, kept.position_n) == (51, 48, 1)
    rows = rows_of(archive, 1)
    # A 32-bit float holds a temperature to a hundred-thousandth.
    assert rows.air_temperature_c == pytest.approx(members, abs=1e-5)
    assert rows.rain_mm.shape == (51, 48)
    assert batches(archive, "stone-stair") == (kept,)
    assert batches(archive, "elsewhere") == ()


def test_it_is_small():
    """51 members of 15 days: 1.8 MB as they come, a tenth of it as stored."""
    rng = np.random.default_rng(1)
    air_c = np.round(15 + np.cumsum(rng.normal(0, 0.3, (51, 360)), axis=1), 1)
    rows = hours(0, 360, air_c=air_c)
    assert len(packed(rows)) < 0.1 * 5 * 51 * 360 * 8


def test_the_same_told_twice_is_stored_once(archive):
    assert add_batch(archive, observed(hours(0, 10)))
    assert add_batch(archive, observed(hours(0, 10), read_h=30)) is None
    assert add_batch(archive, forecast(hours(0, 10)))
    assert add_batch(archive, forecast(hours(0, 10), issued_h=1)) is None
    assert position(archive) == 2


def test_only_new_and_corrected_rows_are_stored(archive):
    add_batch(archive, observed(hours(0, 10)))
    corrected = np.where(np.arange(12) == 3, 21.0, 20.0)
    kept = add_batch(archive, observed(hours(0, 12, air_c=corrected), read_h=30))
    assert kept.rows_n == 3  # one corrected, two new
    first = rows_of(archive, 1).air_temperature_c
    assert first[3] == 20.0  # the earlier word stays


def test_going_back_to_an_earlier_word_is_news(archive):
    add_batch(archive, observed(hours(0, 2, air_c=[1.0, 2.0])))
    add_batch(archive, observed(hours(0, 2, air_c=[1.0, 3.0]), read_h=25))
    kept = add_batch(archive, observed(hours(0, 2, air_c=[1.0, 2.0]), read_h=26))
    assert (kept.position_n, kept.rows_n) == (3, 1)


def test_a_forecast_that_came_back_is_news(archive):
    for air_c in (1.0, 2.0, 1.0):
        assert add_batch(archive, forecast(hours(0, 2, air_c=air_c)))


def test_nobody_sees_what_was_told_later(archive):
    add_batch(archive, observed(hours(0, 10), read_h=10))
    add_batch(archive, observed(hours(10, 10), read_h=20))
    add_batch(archive, forecast(hours(0, 99), issued_h=5, read_s=AT_S + 9 * HOUR_S))
    at_h = {
        h: batches(archive, "stone-stair", as_of_s=AT_S + h * HOUR_S)
        for h in (4, 9, 10, 19, 20)
    }
    told = {h: [kept.position_n for kept in found] for h, found in at_h.items()}
    assert told == {4: [], 9: [3], 10: [1, 3], 19: [1, 3], 20: [1, 2, 3]}
    assert len(batches(archive, "stone-stair", upto_n=2)) == 2
    seen = observed_between(
        archive, "stone-stair", AT_S + 12 * HOUR_S, AT_S + 14 * HOUR_S, as_of_s=np.inf
    )
    assert [kept.position_n for kept, _ in seen] == [2]


IMPOSSIBLE = {
    "weather.nothing_told": observed(hours(0, 0)),
    "weather.times": observed(replace(hours(0, 2), until_s=hours(0, 2).from_s)),
    "weather.outside": observed(hours(0, 2, air_c=[20.0, 60.0])),
    "weather.observed_ahead": observed(hours(0, 48)),
    "weather.clock": forecast(hours(0, 2), issued_h=9, read_s=AT_S),
    "weather.members_observed": observed(hours(0, 2, air_c=np.full((3, 2), 20.0))),
}


@pytest.mark.parametrize("message_id", IMPOSSIBLE)
def test_what_cannot_be_is_not_stored(archive, message_id):
    with pytest.raises(ArbusculaError) as refused:
        add_batch(archive, IMPOSSIBLE[message_id])
    assert [fault.message_id for fault in refused.value.faults] == [message_id]
    assert position(archive) == 0


@pytest.mark.parametrize(
    "sql",
    [
        "UPDATE batch SET issued_s = 0",
        "DELETE FROM batch",
        "REPLACE INTO batch SELECT * FROM batch",
        "UPDATE asked SET outcome = ''",
        "DELETE FROM asked",
    ],
)
def test_the_archive_only_grows(archive, path, sql):
    add_batch(archive, observed(hours(0, 2)))
    with closing(sqlite3.connect(path)) as db, db:
        db.execute("INSERT INTO asked VALUES (1, '', '', 0, '', '', '', '', 0)")
    with (
        closing(sqlite3.connect(path)) as db,
        pytest.raises(sqlite3.IntegrityError, match="only grows"),
    ):
        db.execute(sql)
    assert position(archive) == 1


def test_it_is_opened_again_as_it_was(archive, path):
    add_batch(archive, observed(hours(0, 2)))
    assert position(archive_at(path)) == 1
    with closing(sqlite3.connect(path)) as db:
        assert db.execute("PRAGMA journal_mode").fetchone() == ("wal",)


def test_another_database_is_left_alone(path):
    with closing(sqlite3.connect(path)) as db, db:
        db.execute("CREATE TABLE theirs (n)")
    with pytest.raises(NotDoneError) as refused:
        archive_at(path)
    assert refused.value.faults[0].message_id == "weather.archive_not_ours"


def test_a_later_version_is_left_alone(archive, path):
    with closing(sqlite3.connect(path)) as db:
        db.execute("PRAGMA user_version = 9")
    with pytest.raises(NotDoneError) as refused:
        archive_at(path)
    assert refused.value.faults[0].message_id == "weather.archive_version"


def test_a_file_that_is_no_database_is_told(path):
    path.write_bytes(b"not a database " * 100)
    with pytest.raises(NotDoneError) as refused:
        archive_at(path)
    assert refused.value.faults[0].message_id == "weather.archive_failed"


@pytest.mark.parametrize("guard", GUARDS)
def test_a_dropped_guard_is_found(archive, path, guard):
    assert verify_archive(archive) == ()
    with closing(sqlite3.connect(path)) as db:
        db.execute(f"DROP TRIGGER {guard}")
    (fault,) = verify_archive(archive)
    assert (fault.message_id, fault.figures["guard"]) == (
        "weather.guard_missing",
        guard,
    )


def unguarded(path, sql, *values):
    with closing(sqlite3.connect(path)) as db, db:
        for guard in GUARDS:
            db.execute(f"DROP TRIGGER {guard}")
        db.execute(sql, values)
        for sql_of_guard in GUARDS.values():
            db.execute(sql_of_guard)


@pytest.mark.parametrize(
    ("sql", "message_id"),
    [
        ("UPDATE batch SET issued_s = 1 WHERE position_n = 2", "weather.batch_changed"),
        ("UPDATE batch SET sort = '?' WHERE position_n = 2", "weather.batch_changed"),
        ("UPDATE batch SET rows = x'00' WHERE position_n = 2", "weather.batch_changed"),
        ("DELETE FROM batch WHERE position_n = 2", "weather.batches_missing"),
    ],
)
def test_what_was_changed_behind_its_back_is_found(archive, path, sql, message_id):
    for n in range(3):
        add_batch(archive, observed(hours(n, 1)))
    unguarded(path, sql)
    assert message_id in [fault.message_id for fault in verify_archive(archive)]


def test_a_damaged_batch_is_told_when_it_is_read(archive, path):
    add_batch(archive, observed(hours(0, 1)))
    unguarded(path, "UPDATE batch SET rows = ?", rows_of(archive, 1).from_s.tobytes())
    with pytest.raises(NotDoneError) as refused:
        rows_of(archive, 1)
    assert refused.value.faults[0].message_id == "weather.batch_changed"


def test_a_flipped_byte_is_found(archive, path):
    for n in range(40):
        add_batch(archive, observed(hours(n, 1), read_h=99))
    with closing(sqlite3.connect(path)) as db:
        db.execute("PRAGMA wal_checkpoint(TRUNCATE)")
    whole = bytearray(path.read_bytes())
    blob = sqlite3.connect(path)
    with closing(blob):
        (rows,) = blob.execute("SELECT rows FROM batch WHERE position_n = 9").fetchone()
    whole[whole.index(rows) + len(rows) // 2] ^= 1
    path.write_bytes(whole)
    assert verify_archive(archive)


def test_two_writers_at_once_lose_nothing(path):
    archive_at(path)

    def write(source):
        archive = archive_at(path)
        for n in range(15):
            add_batch(archive, observed(hours(n, 1), source=source))

    threads = [threading.Thread(target=write, args=(name,)) for name in ("a", "b")]
    for thread in threads:
        thread.start()
    for thread in threads:
        thread.join()
    archive = archive_at(path)
    assert position(archive) == 30
    assert verify_archive(archive) == ()


def test_every_row_comes_back_as_its_bytes_were(archive):
    rows = hours(0, 3, air_c=[0.1, np.nan, -59.9])
    add_batch(archive, observed(rows))
    read = rows_of(archive, 1)
    assert not same(read, rows)  # 0.1 is no 32-bit float
    assert add_batch(archive, observed(read, read_h=25)) is None

import os
from dataclasses import replace

import pytest

from arbuscula.kinds.said import ArbusculaError
from arbuscula.weather.archive import archive_at, batches
from arbuscula.weather.folder import Folder
from arbuscula.weather.listen import listen
from tests.services import ASK, NOW_S, STATION, folder_with, host, station_text


@pytest.fixture
def archive(tmp_path_factory):
    return archive_at(tmp_path_factory.mktemp("archive") / "weather.db")


def written(path, text, at_s):
    path.write_text(text)
    os.utime(path, (at_s, at_s))


def rows_n(archive):
    return [kept.rows_n for kept in batches(archive, ASK.yard)]


def test_a_file_that_grows_tells_its_new_rows(tmp_path, archive):
    source = folder_with(tmp_path, "")
    path = tmp_path / "july.csv"
    written(path, station_text(hours_n=30), NOW_S - 3600)
    listen(archive, source, ASK)
    assert rows_n(archive) == [30]
    assert listen(archive, source, ASK).batches == ()
    written(path, station_text(hours_n=34), NOW_S)
    listen(archive, source, ASK)
    assert rows_n(archive) == [30, 4]


def test_a_line_that_is_still_being_written_waits(tmp_path, archive):
    source = folder_with(tmp_path, station_text(hours_n=30) + "2026-07-09T06:00Z,2")
    listen(archive, source, ASK)
    assert rows_n(archive) == [30]


def test_a_new_file_with_nothing_but_its_head_is_no_fault(tmp_path, archive):
    source = folder_with(tmp_path, station_text(hours_n=30))
    (tmp_path / "new.csv").write_text("Time,Temp,Hum,Wind,Rain,Solar\n")
    listen(archive, source, ASK)
    assert rows_n(archive) == [30]


def test_rows_before_the_asked_time_are_passed_over(tmp_path, archive):
    source = folder_with(tmp_path, station_text(hours_n=34))
    listen(archive, source, replace(ASK, from_s=NOW_S - 2 * 3600))
    assert rows_n(archive) == [2]


@pytest.mark.parametrize("place", ["nowhere", ""])
def test_a_folder_without_files_is_told(tmp_path, archive, place):
    source = Folder(place=str(tmp_path / place), how=STATION)
    with pytest.raises(ArbusculaError) as refused:
        listen(archive, source, ASK)
    assert refused.value.faults[0].message_id == "weather.folder_empty"


def test_a_page_is_asked_with_its_own_date(archive):
    with host() as served:
        source = Folder(place=f"{served.url}/july.csv", how=STATION)
        stamp = "Thu, 09 Jul 2026 10:00:00 GMT"
        served.says(station_text(), Last_Modified=stamp)
        listen(archive, source, ASK)
        served.says("", 304)
        assert listen(archive, source, ASK).batches == ()
        assert served.asked[1][1]["If-Modified-Since"] == stamp

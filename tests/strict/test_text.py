import os
from pathlib import Path

import pytest

from arbuscula.kinds.said import ArbusculaError
from arbuscula.strict.text import MOST_BYTES, text_of_file


def refused(path, **most):
    with pytest.raises(ArbusculaError) as caught:
        text_of_file(path, **most)
    (fault,) = caught.value.faults
    assert fault.figures["file"] == str(path)
    return fault


def test_a_text_is_read_as_it_stands(tmp_path):
    path = tmp_path / "mix.toml"
    path.write_bytes("pumice = 3\r\n# Säge\n".encode())
    assert text_of_file(path) == "pumice = 3\r\n# Säge\n"


def test_the_mark_that_windows_puts_first_is_dropped(tmp_path):
    path = tmp_path / "weights.csv"
    path.write_bytes(b"\xef\xbb\xbftime,mass_g\n")
    assert text_of_file(path).startswith("time")


@pytest.mark.parametrize("coding", ["utf-16", "latin-1"])
def test_another_coding_is_refused(tmp_path, coding):
    path = tmp_path / "weights.csv"
    path.write_text("time,Gießen", encoding=coding)
    assert refused(path).message_id == "file.not_text"


def test_two_gigabytes_are_refused_before_a_byte_is_read(tmp_path):
    """Reading the hole would take seconds and the memory of a small machine."""
    path = tmp_path / "weather.csv"
    with path.open("wb") as file:
        file.truncate(2_000_000_000)
    fault = refused(path)
    assert fault.message_id == "file.too_large"
    assert fault.figures["found_mb"] == "2,000"


def test_the_limit_itself_is_let_in(tmp_path):
    path = tmp_path / "case.toml"
    path.write_text("x" * 100)
    assert len(text_of_file(path, most_bytes=100)) == 100
    assert refused(path, most_bytes=99).message_id == "file.too_large"
    assert MOST_BYTES < 2_000_000_000


def test_a_folder_is_no_file(tmp_path):
    assert refused(tmp_path).message_id == "file.not_a_file"


def test_a_device_without_end_is_not_read():
    assert refused(Path("/dev/zero")).message_id == "file.not_a_file"


def test_a_pipe_is_not_waited_for(tmp_path):
    os.mkfifo(tmp_path / "weather.csv")
    assert refused(tmp_path / "weather.csv").message_id == "file.not_a_file"


def test_a_missing_file_is_told_with_its_neighbour(tmp_path):
    (tmp_path / "weather.csv").touch()
    fault = refused(tmp_path / "wether.csv")
    assert fault.message_id == "file.missing_near"
    assert fault.figures["near"] == "weather.csv"


@pytest.mark.parametrize("name", ["weights.csv", "no/such/folder/weights.csv"])
def test_a_missing_file_without_neighbours(tmp_path, name):
    assert refused(tmp_path / name).message_id == "file.missing"


@pytest.mark.parametrize("name", ["a\0b", "x" * 5000])
def test_a_name_that_no_disk_can_hold(tmp_path, name):
    assert refused(tmp_path / name).message_id == "file.unreadable"


def test_a_file_inside_a_file(tmp_path):
    (tmp_path / "case.toml").touch()
    fault = refused(tmp_path / "case.toml" / "weather.csv")
    assert fault.message_id == "file.unreadable"
    assert fault.figures["found"] == "not a directory"

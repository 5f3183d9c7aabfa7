from contextlib import suppress
from time import sleep

import pytest

from arbuscula.kinds.said import ArbusculaError
from arbuscula.weather.fetch import LONGEST_HOLD_S, fetch
from tests.services import NOW_S, host, http_date


@pytest.fixture
def served():
    with host() as there:
        yield there


def fault_of(url, **how):
    with pytest.raises(ArbusculaError) as refused:
        fetch(url, **how)
    (fault,) = refused.value.faults
    return fault


def test_a_page_that_moved_is_followed_on_the_same_scheme(served):
    def moves(handler):
        if handler.path == "/new":
            return False
        handler.send_response_only(301)
        handler.send_header("Location", "/new")
        handler.send_header("Content-Length", "0")
        handler.end_headers()
        return True

    served.behaves = moves
    served.says("there")
    assert fetch(f"{served.url}/old").body == b"there"


def test_a_page_that_moves_in_a_circle_is_given_up(served):
    served.says("", 302, Location="/again")
    assert fault_of(served.url).message_id == "weather.moved"
    assert len(served.asked) == 3


@pytest.mark.parametrize("url", ["file:///etc/hostname", "ftp://127.0.0.1/", "x", ""])
def test_only_the_web_is_asked(url):
    assert fault_of(url).message_id == "weather.scheme"


def test_a_fault_names_the_host_and_no_secret(served):
    served.says("", 403)
    address = served.url.replace("http://", "http://me:word@")
    told = fault_of(f"{address}/?apikey=hidden").figures
    assert told["host"] == served.url.removeprefix("http://")
    assert not {"word", "hidden"} & {*str(told).replace("'", " ").split()}
    assert "hidden" not in str(told)


def test_a_length_beyond_bounds_is_refused_at_the_first_bytes(served):
    def boasts(handler):
        handler.send_response_only(200)
        handler.send_header("Content-Length", "500000000")
        handler.end_headers()
        handler.wfile.write(b" ")
        handler.close_connection = True
        return True

    served.behaves = boasts
    assert fault_of(served.url).message_id == "weather.too_large"


def test_a_cut_stream_of_parts_is_no_page(served):
    def cuts(handler):
        handler.send_response_only(200)
        handler.send_header("Transfer-Encoding", "chunked")
        handler.end_headers()
        handler.wfile.write(b"ff\r\nonly this")
        handler.close_connection = True
        return True

    served.behaves = cuts
    assert fault_of(served.url).message_id == "weather.cut"


def test_what_is_no_http_is_one_clear_fault(served):
    served.behaves = lambda handler: handler.wfile.write(b"220 mail\r\n\r\n")
    assert fault_of(served.url).message_id == "weather.unreachable"


@pytest.mark.parametrize(
    ("expires", "lasts_s"),
    [
        (http_date(NOW_S + 60), 60),
        (http_date(NOW_S - 60), 0),
        (http_date(NOW_S + 10 * 86_400), LONGEST_HOLD_S),
        ("0", 0),
        ("", 0),
    ],
)
def test_a_page_holds_as_long_as_its_host_says_and_a_day_at_most(
    served, expires, lasts_s
):
    served.says("x", Date=http_date(NOW_S), Expires=expires)
    assert fetch(served.url).lasts_s == lasts_s


def test_a_host_that_says_nothing_is_given_up(served):
    served.behaves = lambda handler: sleep(0.5) or True
    assert fault_of(served.url, silent_s=0.1).message_id == "weather.unreachable"


def test_a_host_that_drips_is_given_up(served):
    def drips(handler):
        handler.send_response_only(200)
        handler.end_headers()
        with suppress(OSError):
            for _ in range(50):
                handler.wfile.write(b" ")
                sleep(0.02)
        handler.close_connection = True
        return True

    served.behaves = drips
    assert fault_of(served.url, longest_s=0.2).message_id == "weather.slow"

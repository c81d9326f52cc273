"""What the event loop parses of a request head: semantics of RFC 9110 and 9112, in time linear in the text."""

from __future__ import annotations

import time
from collections.abc import Callable

import pytest

from service.server.request_head import MOST_FIELD, MOST_HEAD, MOST_LENGTH, Head, line_fault, read_head

FIRST = b"POST /v1/quotes HTTP/1.1\r\nHost: x"


@pytest.mark.parametrize(
    ("line", "status"),
    [
        (b"GET / HTTP/1.1", None),
        (b"GET / HTTP/1.0", None),
        (b"GET  / HTTP/1.1", 400),
        (b"GET / HTTP/1.1 ", 400),
        (b"GET /a b HTTP/1.1", 400),
        (b"GET /", 400),
        (b"", 400),
        (b"G\xc3T / HTTP/1.1", 400),
        (b"G\x0bT / HTTP/1.1", 400),
        (b"GET / HTTP/1.1\r", 400),
        (b"GET / http/1.1", 400),
        (b"GET / HTTP/1.", 400),
        (b"GET / HTTP/1.2", 505),
        (b"PRI * HTTP/2.0", 505),
        (b"GET / HTTP/10.1", 505),
    ],
)
def test_a_first_line_is_three_words_of_a_version_that_is_spoken(line: bytes, status: int | None) -> None:
    """RFC 9112, 3 and 2.3."""
    fault = line_fault(line)
    assert (fault and fault[0]) == status


@pytest.mark.parametrize(
    ("fields", "length"),
    [
        (b"", 0),
        (b"\r\nContent-Length: 7", 7),
        (b"\r\ncontent-LENGTH:\t 007 \t", 7),
        (b"\r\nContent-Length : 7", 0),  # no field of that name (RFC 9112, 5.1): the parser refuses it
        (b"\r\nX-Content-Length: 7", 0),
        (b"\r\nContent-Length: 7\r\nContent-Length: 8", 0),  # two: the parser refuses them
        (b"\r\nContent-Length: 7, 7", 0),
        (b"\r\nContent-Length: -7", 0),
        (b"\r\nContent-Length: +7", 0),
        (b"\r\nContent-Length: " + b"0" * 5000 + b"7", 7),
        (b"\r\nContent-Length: " + b"9" * 400, MOST_LENGTH),
        (b"\r\nContent-Length: " + b"9" * 5000, MOST_LENGTH),
        (b"\r\nContent-Length: " + str(MOST_LENGTH - 1).encode(), MOST_LENGTH - 1),
    ],
)
def test_a_length_is_the_one_that_is_written_once(fields: bytes, length: int) -> None:
    assert read_head(FIRST + fields) == Head(length)


@pytest.mark.parametrize(
    ("head", "status"),
    [
        (b"GET / HTTP/1.1", 400),
        (b"GET / HTTP/1.1\r\nX: Host: y", 400),
        (b"GET / HTTP/1.0", None),
        (FIRST + b"\r\nTransfer-Encoding: chunked", 411),
        (FIRST + b"\r\nTransfer-Encoding:\tgzip, Chunked", 411),
        (FIRST + b"\r\nTransfer-Encoding: chunked\r\nContent-Length: 5", None),  # both: left to the parser, which refuses it
        (FIRST + b"\r\nX: Transfer-Encoding: chunked", None),
        (FIRST + b"\r\nX: y" * 59, None),
        (FIRST + b"\r\nX: y" * 60, 431),
        (FIRST + b"\r\nX: " + b"y" * (MOST_FIELD - 3), None),
        (FIRST + b"\r\nX: " + b"y" * (MOST_FIELD - 2), 431),
    ],
)
def test_a_head_is_refused_where_the_parser_would_wait_or_must_not_see_it(head: bytes, status: int | None) -> None:
    """RFC 9112, 3.2 (Host) and 6.3 (a body in chunks, which is not taken here)."""
    fault = read_head(head).fault
    assert (fault and fault[0]) == status


def test_who_waits_to_be_told_is_told_once() -> None:
    """RFC 9110, 10.1.1."""
    head = FIRST + b"\r\nExpect: 100-Continue\r\nContent-Length: 7"
    assert read_head(head) == Head(7, FIRST + b"\r\nContent-Length: 7")
    assert read_head(FIRST + b"\r\nExpect: 200-ok").without_expect is None


HOSTILE: dict[str, Callable[[int], bytes]] = {
    "blanks in a length": lambda n: FIRST + b"\r\nContent-Length: 1" + b" " * n + b"1",
    "tabs and blanks after a name": lambda n: FIRST + b"\r\nContent-Length" + b" \t" * (n // 2) + b":1",
    "blanks after an expectation": lambda n: FIRST + b"\r\nExpect: 100-continue" + b" " * n + b"x",
    "almost chunked, often": lambda n: FIRST + b"\r\nTransfer-Encoding: " + b"chunke" * (n // 6),
    "the same name, often": lambda n: FIRST + b"\r\nContent-Length: 1" * (n // 19),
    "digits": lambda n: FIRST + b"\r\nContent-Length: " + b"1" * n,
    "colons": lambda n: FIRST + b"\r\n" + b":" * n,
    "half an end, often": lambda n: FIRST + b"\r\n" + b"\r" * n,
    "words": lambda n: b"GET " + b"a " * (n // 2),
}


@pytest.mark.parametrize("kind", HOSTILE)
def test_sixteen_times_the_text_takes_no_more_than_its_share_of_time(kind: str) -> None:
    """What grew with the square took 256 times as long. Only the time of what is longest counts, so that noise of microseconds does not."""
    times = {size: _least_time(HOSTILE[kind](size)) for size in (MOST_HEAD // 16, MOST_HEAD)}
    short, long = times.values()
    assert long < max(48 * short, 0.005), times


def _least_time(text: bytes) -> float:
    found = []
    for _ in range(5):
        begun = time.thread_time()
        line_fault(text.partition(b"\n")[0])
        read_head(text)
        found.append(time.thread_time() - begun)
    return min(found)

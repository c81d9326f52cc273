"""Parses request heads in the worker's event loop, on untrusted input and before any rate limit.

For this reason it only slices and compares, touching each byte a fixed number of times, and uses no regular expressions. It reads
only what the loop needs: whether this is a request, how long its body is, and whether the client waits for 100 Continue. Everything
else is left to the parser behind it.
"""

from __future__ import annotations

from typing import NamedTuple

END = b"\r\n\r\n"
MOST_LINE, MOST_FIELD, MOST_FIELDS = 4096, 8190, 60  # limits of the parser behind it
MOST_HEAD = MOST_LINE + MOST_FIELDS * (MOST_FIELD + 2) + len(END)
MOST_NAME = 80  # longest field name that a fault repeats
MOST_LENGTH = 10**15  # beyond every limit; a longer number is not worth parsing
NOT_HTTP = "The first line is not an HTTP/1.1 request line."
VERSION = "Only HTTP/1.0 and HTTP/1.1 are supported."
HEADERS = "There are too many header fields, or one is too long."
NO_HOST = "An HTTP/1.1 request names its host: send the Host header field."
NO_LENGTH = "Send Content-Length with the body; chunked transfer coding is not accepted."


class Fault(NamedTuple):
    """Status and detail of a refusal, and the header field that it is for, if there is one."""

    status: int
    detail: str
    header: str = ""


class Head(NamedTuple):
    """What the event loop needs to know about a request head. `length`: the length of the body; also 0 if the parser will refuse the head, since
    it does so at once. `without_expect`: the head without its `Expect: 100-continue`; None if the client does not wait for 100 Continue.
    """

    length: int = 0
    without_expect: bytes | None = None
    fault: Fault | None = None


def line_fault(line: bytes) -> Fault | None:
    """Why a request line (without its line end) is invalid; a valid one has three words, the last being a supported version."""
    words = line.split(b" ", 3)
    if len(words) != 3 or not all(words) or b"\r" in line or not (words[0].isascii() and words[0].decode("latin-1").isprintable()):
        return Fault(400, NOT_HTTP)
    if words[2] in (b"HTTP/1.1", b"HTTP/1.0"):
        return None
    name, _, number = words[2].partition(b"/")
    whole, _, part = number.partition(b".")
    return Fault(505, VERSION) if name == b"HTTP" and whole.isdigit() and part.isdigit() else Fault(400, NOT_HTTP)


def read_head(head: bytes) -> Head:
    """Parse a head whose request line is valid; `head` runs to the end of its last field, without the empty line."""
    first, *fields = head.split(b"\r\n", MOST_FIELDS + 1)
    if len(fields) > MOST_FIELDS or any(len(field) > MOST_FIELD for field in fields):
        return Head(fault=too_large(fields))
    named = [(name.lower(), value.strip(b" \t")) for name, _, value in (field.partition(b":") for field in fields)]
    if first.endswith(b"1.1") and not any(name == b"host" for name, _ in named):
        return Head(fault=Fault(400, NO_HOST, "Host"))
    lengths = [value for name, value in named if name == b"content-length"]
    if not lengths and any(name == b"transfer-encoding" and b"chunked" in value.lower() for name, value in named):
        return Head(fault=Fault(411, NO_LENGTH, "Content-Length"))  # the parser refuses a request with both
    waits = [name == b"expect" and value.lower() == b"100-continue" for name, value in named]
    without_expect = b"\r\n".join([first, *(field for field, one in zip(fields, waits, strict=True) if not one)]) if any(waits) else None
    return Head(_length(lengths), without_expect)


def too_large(fields: list[bytes]) -> Fault:
    """The refusal of a head with too many or too long fields; it names the first field that is too long, if there is one."""
    long = next((field for field in fields if len(field) > MOST_FIELD), b"")
    return Fault(431, HEADERS, name_of(long[:MOST_NAME].decode("latin-1")))


def name_of(field: str) -> str:
    """The name of a header field as it was sent, or in title case if it is in capitals, as gunicorn's parser gives it; empty if it is not a name."""
    name = field.partition(":")[0]
    if not (name and name.isascii() and name.replace("-", "").replace("_", "").isalnum()) or len(name) >= MOST_NAME:
        return ""
    return name.title() if name.isupper() else name


def _length(written: list[bytes]) -> int:
    if len(written) != 1 or not written[0].isdigit():
        return 0
    digits = written[0].lstrip(b"0")
    return MOST_LENGTH if len(digits) >= len(str(MOST_LENGTH)) else int(digits or b"0")

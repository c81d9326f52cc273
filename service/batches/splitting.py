"""Splits a body into lines, or a JSON list into its items, holding no more than one of them in memory."""

from __future__ import annotations

import re
from collections.abc import Generator, Iterator
from typing import IO, NamedTuple

BLOCK = 65_536
_MARK = b"\xef\xbb\xbf"
_SIGN = re.compile(rb'["\\\[\]{},]')
_IN_TEXT = re.compile(rb'["\\]')
_BLANK = b" \t\r\n"


class Piece(NamedTuple):
    """`number` of the line or item, from 1. `text` is None if it exceeded the limit; `broken` says why nothing follows."""

    number: int
    text: bytes | None
    broken: str | None = None


def lines_of(file: IO[bytes], most: int) -> Iterator[Piece]:
    """The lines that are not blank; lines of more than `most` bytes are skipped over."""
    number = 0
    while line := file.readline(most + 2):
        number += 1
        if len(line.rstrip(b"\r\n")) > most:
            while line and not line.endswith(b"\n"):
                line = file.readline(BLOCK)
            yield Piece(number, None)
            continue
        text = line.removeprefix(_MARK).strip(_BLANK) if number == 1 else line.strip(_BLANK)
        if text:
            yield Piece(number, text)


def items_of(file: IO[bytes], most: int) -> Iterator[Piece]:
    """The items of a JSON list; those of more than `most` bytes are skipped over. If the list breaks off, the last piece says so.

    Items are separated by their brackets and commas alone; whether each is valid JSON is left to its reader.
    """
    scan = _Scan(most)
    while block := file.read(BLOCK):
        yield from scan.feed(block)
        if scan.over:
            break
    yield from scan.end()


class _Scan:
    """The scanner's state within a list: depth 0 before it, 1 between its items' brackets; `kept` is the item so far."""

    def __init__(self, most: int) -> None:
        self.most, self.number, self.depth = most, 0, 0
        self.kept, self.size = bytearray(), 0
        self.quoted = self.escaped = self.over = self.comma = False
        self.trouble: str | None = None

    def feed(self, block: bytes) -> Iterator[Piece]:
        at = 0
        if self.depth == 0 and not self.over:
            at = self._start(block)
        while at < len(block) and not self.over:
            at = yield from self._step(block, at)
        if self.over and self.trouble is None and block[at:].strip(_BLANK):
            self.trouble = "there is text after the end of the list"

    def _start(self, block: bytes) -> int:
        text = block.removeprefix(_MARK).lstrip(_BLANK)
        if not text:
            return len(block)
        if not text.startswith(b"["):
            self.over, self.trouble = True, "the body is not a list: start it with [ and end it with ]"
            return len(block)
        self.depth = 1
        return len(block) - len(text) + 1

    def _step(self, block: bytes, at: int) -> Generator[Piece, None, int]:
        if self.escaped:
            self._keep(block[at : at + 1])
            self.escaped = False
            return at + 1
        found = (_IN_TEXT if self.quoted else _SIGN).search(block, at)
        if found is None:
            self._keep(block[at:])
            return len(block)
        self._keep(block[at : found.start()])
        sign, after = found[0], found.end()
        if sign in (b'"', b"\\"):
            self._keep(sign)
            self.escaped = sign == b"\\"
            self.quoted ^= sign == b'"'
            return after
        yield from self._bracket(sign)
        return after

    def _bracket(self, sign: bytes) -> Iterator[Piece]:
        if self.depth == 1 and sign == b",":
            yield self._item()
            self.comma = True
            return
        self.depth += {b"[": 1, b"{": 1, b"]": -1, b"}": -1}.get(sign, 0)
        if self.depth == 0:
            if self.kept.strip(_BLANK) or self.size > self.most or self.comma:
                yield self._item()
            self.over = True
            if sign == b"}":
                self.trouble = "a closing brace has no opening brace"
            return
        self._keep(sign)

    def _item(self) -> Piece:
        self.number += 1
        piece = Piece(self.number, None if self.size > self.most else bytes(self.kept).strip(_BLANK))
        self.kept, self.size = bytearray(), 0
        return piece

    def _keep(self, text: bytes) -> None:
        self.size += len(text)
        if self.size <= self.most:
            self.kept += text

    def end(self) -> Iterator[Piece]:
        if not self.over and self.depth:
            self.trouble = "the body ends before the list does: a bracket, a brace or a quotation mark is not closed"
        if self.trouble is not None or (self.depth == self.number == 0 and not self.over):
            yield Piece(self.number + 1, None, self.trouble or "the body is empty: send a list of requests")

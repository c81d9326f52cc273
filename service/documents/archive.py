"""Streams many documents as one zip (APPNOTE.TXT, 6.3), holding no more than one of them at a time.

Each is stored uncompressed (PDFs are compressed already), and preceded by its size and checksum, so that readers need not look for them
after the data. Equal documents give equal bytes: the archive contains no creation time and no owner.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable, Iterator
from typing import Any

_BEFORE_ALL = (1980, 1, 1, 0, 0, 0)  # the earliest time that a zip can represent
_READABLE = 0o644 << 16
_UNIX = 3


class _Strip(io.RawIOBase):
    """A file object that holds what was written since the last `taken`, and counts positions over the whole."""

    def __init__(self) -> None:
        self._start, self._held = 0, io.BytesIO()

    def seekable(self) -> bool:
        return True

    def tell(self) -> int:
        return self._start + self._held.tell()

    def seek(self, place: int, whence: int = 0) -> int:
        if whence:
            raise io.UnsupportedOperation("only to a place")
        return self._start + self._held.seek(place - self._start)

    def write(self, data: Any) -> int:
        return self._held.write(data)

    def taken(self) -> bytes:
        """Return and discard everything written so far."""
        found = self._held.getvalue()
        self._start, self._held = self._start + len(found), io.BytesIO()
        return found


def zipped(files: Iterable[tuple[str, bytes]]) -> Iterator[bytes]:
    """The archive in pieces, from names and contents."""
    strip = _Strip()
    with zipfile.ZipFile(strip, "w", zipfile.ZIP_STORED) as archive:
        for name, content in files:
            entry = zipfile.ZipInfo(name, _BEFORE_ALL)
            entry.create_system, entry.external_attr = _UNIX, _READABLE
            archive.writestr(entry, content)
            yield strip.taken()
    yield strip.taken()

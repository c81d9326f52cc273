"""Many documents as one zip (APPNOTE.TXT of its maker, 6.3), written as it goes: no more than one of them is held at a time.

Each is stored as it is (PDFs are packed in themselves) with its size and checksum before it, so that readers need not look for them behind.
Equal documents give equal bytes: no time of making and no owner is in it.
"""

from __future__ import annotations

import io
import zipfile
from collections.abc import Iterable, Iterator
from typing import Any

_BEFORE_ALL = (1980, 1, 1, 0, 0, 0)  # the first moment that a zip can tell
_READABLE = 0o644 << 16
_UNIX = 3


class _Strip(io.RawIOBase):
    """What was written since it was last taken, at its place in the whole."""

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
        """Everything written so far, given away."""
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

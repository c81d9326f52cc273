"""Compression of what the database stores and of replies: gzip (RFC 1952), using ISA-L, which takes about a tenth of the time zlib does."""

from __future__ import annotations

import gzip
import zlib

from isal import igzip, igzip_lib

_LEVEL = 1
_OF_THE_LIBRARY: type[Exception] = igzip_lib.IsalError  # type: ignore[assignment]  # its stub has an instance for the class
DAMAGED: tuple[type[Exception], ...] = (igzip.BadGzipFile, _OF_THE_LIBRARY, zlib.error, EOFError)  # what `unpack` raises


def pack(content: bytes) -> bytes:
    """The content as gzip; equal content gives equal bytes."""
    return igzip.compress(content, _LEVEL, mtime=0)


def pack_small(content: bytes) -> bytes:
    """The same in as few bytes as gzip can, for what is packed once and sent often."""
    return gzip.compress(content, 9, mtime=0)


def unpack(packed: bytes) -> bytes:
    """The content of gzip data from any compressor. Raises one of `DAMAGED`."""
    content: bytes = igzip.decompress(packed)  # type: ignore[no-untyped-call]  # its signature names no types
    return content

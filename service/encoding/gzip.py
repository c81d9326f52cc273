"""Compression of what the database stores and of replies: gzip (RFC 1952), using ISA-L, which takes about a tenth of the time zlib does."""

from __future__ import annotations

import gzip
import struct
import zlib

from isal import igzip, igzip_lib, isal_zlib

_LEVEL = 1
_OF_THE_LIBRARY: type[Exception] = igzip_lib.IsalError  # type: ignore[assignment]  # its stub has an instance for the class
DAMAGED: tuple[type[Exception], ...] = (igzip.BadGzipFile, _OF_THE_LIBRARY, zlib.error, EOFError)  # what `unpack` raises


def pack(content: bytes | memoryview) -> bytes:
    """The content as gzip; equal content gives equal bytes."""
    return igzip.compress(content, _LEVEL, mtime=0)


def pack_small(content: bytes) -> bytes:
    """The same in as few bytes as gzip can, for what is packed once and sent often."""
    return gzip.compress(content, 9, mtime=0)


_BRACE = pack(b"{")
_MOST_ROOM = 16_000_000  # bytes
_HEADER, _TRAILER = 10, struct.Struct("<II")  # RFC 1952, 2.3: without name or comment ten bytes; CRC-32 and size


def pack_object(text: bytes) -> bytes:
    """A JSON object as gzip of two parts, its first brace and all else (RFC 1952, 2.2), so that `put_before` can begin it otherwise."""
    return _BRACE + pack(memoryview(text)[1:]) if text[:1] == b"{" else pack(text)


def put_before(beginning: bytes, packed: bytes) -> bytes | None:
    """gzip, in one part, of an object with this in place of its first brace, without unpacking it: only the beginning is compressed, up to
    a whole byte (RFC 1951, 3.2.4), and the checksums are combined. None if `packed` is not from `pack_object`.
    """
    if not packed.startswith(_BRACE) or len(packed) < len(_BRACE) + _HEADER + _TRAILER.size:
        return None
    rest = memoryview(packed)[len(_BRACE) :]
    checksum, size = _TRAILER.unpack(rest[-_TRAILER.size :])
    deflater = isal_zlib.compressobj(_LEVEL, isal_zlib.DEFLATED, -zlib.MAX_WBITS)
    begun = deflater.compress(beginning) + deflater.flush(isal_zlib.Z_SYNC_FLUSH)
    end = _TRAILER.pack(isal_zlib.crc32_combine(isal_zlib.crc32(beginning), checksum, size), len(beginning) + size)
    return b"".join((rest[:_HEADER], begun, rest[_HEADER : -_TRAILER.size], end))


def unpack(packed: bytes) -> bytes:
    """The content of gzip data from any compressor. Raises one of `DAMAGED`."""
    content: bytes = igzip.decompress(packed)  # type: ignore[no-untyped-call]  # its signature names no types
    return content


def unpack_behind(packed: bytes) -> bytes:
    """The content without its first byte, which for what `pack_object` made need not be cut off. Raises one of `DAMAGED`."""
    if not packed.startswith(_BRACE):
        return unpack(packed)[1:]
    rest = memoryview(packed)[len(_BRACE) :]
    _, size = _TRAILER.unpack(rest[-_TRAILER.size :]) if len(rest) >= _TRAILER.size else (0, 0)
    # into room of its own size, which is not grown; what a damaged one says of its size is no reason for more
    return isal_zlib.decompress(rest, zlib.MAX_WBITS + 16, max(min(size, _MOST_ROOM), 1))

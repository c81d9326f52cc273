"""Compresses stored documents and responses: gzip (RFC 1952) by ISA-L, which takes about a tenth of the time that zlib takes."""

from __future__ import annotations

import gzip
import struct
import zlib

from isal import igzip, igzip_lib, isal_zlib

_LEVEL = 1
_ISAL_ERROR: type[Exception] = igzip_lib.IsalError  # type: ignore[assignment]  # its stub has an instance for the class
DAMAGED: tuple[type[Exception], ...] = (igzip.BadGzipFile, _ISAL_ERROR, zlib.error, EOFError)  # what `unpack` raises


def pack(content: bytes | memoryview) -> bytes:
    """The content as gzip; equal content gives equal bytes."""
    return igzip.compress(content, _LEVEL, mtime=0)


def pack_small(content: bytes) -> bytes:
    """The content as the smallest gzip, for data that is packed once and sent often."""
    return gzip.compress(content, 9, mtime=0)


_BRACE = pack(b"{")
_MOST_ROOM = 16_000_000  # bytes
_HEADER, _TRAILER = 10, struct.Struct("<II")  # RFC 1952, 2.3: ten bytes without name or comment; CRC-32 and size


def pack_object(text: bytes) -> bytes:
    """A JSON object as gzip with two members (RFC 1952, 2.2), the opening brace and the rest, so that `put_before` can replace the brace."""
    return _BRACE + pack(memoryview(text)[1:]) if text[:1] == b"{" else pack(text)


def put_before(beginning: bytes, packed: bytes) -> bytes | None:
    """`packed` with its opening brace replaced by `beginning`, as gzip with a single member. Nothing is unpacked: only the beginning is
    compressed, up to a byte boundary (RFC 1951, 3.2.4), and the checksums are combined. None if `packed` was not made by `pack_object`.
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
    """The content without its first byte; if `pack_object` made it, only its second member is unpacked. Raises one of `DAMAGED`."""
    if not packed.startswith(_BRACE):
        return unpack(packed)[1:]
    rest = memoryview(packed)[len(_BRACE) :]
    _, size = _TRAILER.unpack(rest[-_TRAILER.size :]) if len(rest) >= _TRAILER.size else (0, 0)
    # a buffer of exactly this size need not grow; a damaged trailer must not make it larger than `_MOST_ROOM`
    return isal_zlib.decompress(rest, zlib.MAX_WBITS + 16, max(min(size, _MOST_ROOM), 1))

"""Documents as gzip (RFC 1952) whose first member can be cut off and another head put before it, without packing or unpacking the rest.

The opening brace stands in a stored block of its own (RFC 1951, 3.2.4), so that what follows begins at a known byte and refers to nothing
before it. What a gzip says of its content at the end is a CRC; that of the new whole follows from that of the old, since a CRC is linear.
"""

from __future__ import annotations

import gzip
import struct
import zlib
from functools import lru_cache

_HEADER = bytes((0x1F, 0x8B, 8, 0, 0, 0, 0, 0, 4, 0xFF))  # deflate, no name, no time, fastest, unknown system
_POLYNOMIAL = 0xEDB88320  # of RFC 1952, 8, bits reversed
_ONE, _X = 1 << 31, 1 << 30


def _stored(content: bytes) -> bytes:
    """A stored block that is not the last."""
    return struct.pack("<BHH", 0, len(content), len(content) ^ 0xFFFF) + content


_START = _HEADER + _stored(b"{")


def pack(document: bytes) -> bytes:
    """gzip of a JSON object written without a space before it; `gzip.decompress` gives it back."""
    packer = zlib.compressobj(1, zlib.DEFLATED, -zlib.MAX_WBITS)
    rest = packer.compress(document[1:]) + packer.flush()
    return _START + rest + struct.pack("<II", zlib.crc32(document), len(document) & 0xFFFFFFFF)


def with_head(head: bytes, packed: bytes) -> bytes:
    """gzip of `head` and then the packed document without its brace. What was packed in another way is unpacked and packed again."""
    if not packed.startswith(_START) or len(head) > 0xFFFF:
        return gzip.compress(head + gzip.decompress(packed)[1:], 1, mtime=0)
    crc, size = struct.unpack("<II", packed[-8:])
    crc ^= _times(zlib.crc32(head) ^ zlib.crc32(b"{"), _power(size - 1))
    return _HEADER + _stored(head) + packed[len(_START) : -8] + struct.pack("<II", crc, (len(head) + size - 1) & 0xFFFFFFFF)


def _times(left: int, right: int) -> int:
    """Product of two polynomials over GF(2), modulo the CRC's; the highest bit is the constant term."""
    product, bit = 0, _ONE
    while left:
        if left & bit:
            product ^= right
            left ^= bit
        bit >>= 1
        right = right >> 1 ^ (_POLYNOMIAL if right & 1 else 0)
    return product


@lru_cache(maxsize=1024)
def _power(count: int) -> int:
    """What `count` bytes that follow multiply a CRC by: x to the power of eight times `count`."""
    square, power = _X, _ONE
    for _ in range(3):
        square = _times(square, square)  # x to the eighth: one byte
    while count:
        if count & 1:
            power = _times(square, power)
        square = _times(square, square)
        count >>= 1
    return power

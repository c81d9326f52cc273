"""Takes a workbook file apart safely before anything interprets it: parts are counted and unpacked within limits, XML declarations are
refused.

An Office Open XML workbook (ISO/IEC 29500) is a zip of XML parts. A hostile one declares small sizes but unpacks to gigabytes,
multiplies entities, or contains a program; or it is small but slow to read. So each part that is needed is unpacked and counted
here piece by piece (`counting`), and what is passed on is a new zip of these parts alone: no macros, no links to other files, no
pictures.
"""

from __future__ import annotations

import io
import re
import zipfile
import zlib

from pricing.importing.counting import BadWorkbook, Count

MOST_PARTS = 500
_PIECE = 65_536
_FREELY, _MOST_TIMES = (
    5_000_000,
    250,
)  # bytes of a part always allowed, and the compression ratio allowed beyond that: ordinary sheets have a ratio of about 10
_MOST_NAME = 200
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_WANTED = re.compile(
    r"(\[Content_Types\]\.xml|_rels/\.rels|xl/(_rels/)?[^/]*workbook[^/]*\.xml(\.rels)?|xl/sharedStrings\.xml|xl/styles\.xml|xl/worksheets/[^/]+\.xml)",
    re.IGNORECASE,
)


def safe_parts(body: bytes, count: Count) -> io.BytesIO:
    """A zip of only those parts of the workbook that are read, each counted by `count`. Raises BadWorkbook."""
    if body.startswith(_OLE):  # a compound file: an old workbook, or a password-protected new one
        raise BadWorkbook("locked" if "EncryptedPackage".encode("utf-16-le") in body else "old_workbook")
    try:
        with zipfile.ZipFile(io.BytesIO(body)) as file:
            return _copied(file, count)
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, NotImplementedError, ValueError) as error:  # all raised by zipfile
        if isinstance(error, BadWorkbook):
            raise
        raise BadWorkbook("damaged" if body.startswith(b"PK") else "not_a_workbook") from None


def _wanted(name: str) -> bool:
    return len(name) <= _MOST_NAME and _WANTED.fullmatch(name) is not None


def _copied(file: zipfile.ZipFile, count: Count) -> io.BytesIO:
    parts = file.infolist()
    names = [part.filename for part in parts]
    if len(parts) > MOST_PARTS or sum(part.file_size for part in parts if _wanted(part.filename)) > count.limits.unpacked:
        raise BadWorkbook("too_large")
    if any(part.flag_bits & 1 for part in parts):
        raise BadWorkbook("locked")
    if any(name.lower().endswith("vbaproject.bin") for name in names):
        raise BadWorkbook("macros")
    if "[Content_Types].xml" not in names or len(set(names)) < len(names):
        raise BadWorkbook("not_a_workbook")
    copy, left = io.BytesIO(), count.limits.unpacked
    with zipfile.ZipFile(copy, "w", zipfile.ZIP_STORED) as kept:
        for part in parts:
            if _wanted(part.filename):
                data = _unpacked(file, part, left, count)
                left -= len(data)
                if part.filename == "[Content_Types].xml" and b"macroEnabled" in data:
                    raise BadWorkbook("macros")
                kept.writestr(part.filename, data)
    copy.seek(0)
    return copy


def _unpacked(file: zipfile.ZipFile, part: zipfile.ZipInfo, most: int, count: Count) -> bytes:
    """A part, unpacked piece by piece, so that one that lies about its size or contains too much is abandoned early."""
    if part.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise BadWorkbook("damaged")
    unpacked = bytearray()
    with file.open(part) as stream, count.part(part.filename) as judge:
        while piece := stream.read(_PIECE):
            unpacked += piece
            if len(unpacked) > most or len(unpacked) > max(_FREELY, _MOST_TIMES * part.compress_size):
                raise BadWorkbook("too_large")
            judge(piece)
    return bytes(unpacked)

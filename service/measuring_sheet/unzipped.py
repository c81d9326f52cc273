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

from service.measuring_sheet.counting import DAMAGED, TOO_LARGE, Count
from service.measuring_sheet.grid import NotASheet
from service.web_form.asking import N_

MOST_PARTS = 500
MOST_UNPACKED = 8_000_000  # a sheet of 200 wires with every column filled in takes 3 MB
_PIECE = 65_536
_MOST_NAME = 200
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_WANTED = re.compile(
    r"(\[Content_Types\]\.xml|_rels/\.rels|xl/(_rels/)?[^/]*workbook[^/]*\.xml(\.rels)?|xl/sharedStrings\.xml|xl/styles\.xml|xl/worksheets/[^/]+\.xml)",
    re.IGNORECASE,
)
NO_WORKBOOK = N_("This is no workbook of the kind .xlsx: save the sheet as .xlsx or as CSV, and send that.")
LOCKED = N_("The workbook is locked with a password: save it without one.")
OLD = N_("This is a workbook of the old kind .xls: save it as .xlsx.")
MACROS = N_("The workbook has macros (.xlsm): save it as .xlsx, without them. No macro is ever run here.")


def safe_workbook(body: bytes) -> io.BytesIO:
    """A zip of only those parts of the workbook that are read. Raises NotASheet."""
    if body.startswith(_OLE):  # a compound file: an old workbook, or a password-protected new one
        locked = "EncryptedPackage".encode("utf-16-le") in body
        raise NotASheet(*(("locked", LOCKED) if locked else ("old_workbook", OLD)))
    try:
        with zipfile.ZipFile(io.BytesIO(body)) as file:
            return _copied(file)
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, NotImplementedError, ValueError) as error:  # all raised by zipfile
        if isinstance(error, NotASheet):
            raise
        raise NotASheet(*(("damaged", DAMAGED) if body.startswith(b"PK") else ("not_a_workbook", NO_WORKBOOK))) from None


def _wanted(name: str) -> bool:
    return len(name) <= _MOST_NAME and _WANTED.fullmatch(name) is not None


def _copied(file: zipfile.ZipFile) -> io.BytesIO:
    parts = file.infolist()
    names = [part.filename for part in parts]
    if len(parts) > MOST_PARTS or sum(part.file_size for part in parts if _wanted(part.filename)) > MOST_UNPACKED:
        raise NotASheet("too_large", TOO_LARGE)
    if any(part.flag_bits & 1 for part in parts):
        raise NotASheet("locked", LOCKED)
    if any(name.lower().endswith("vbaproject.bin") for name in names):
        raise NotASheet("macros", MACROS)
    if "[Content_Types].xml" not in names or len(set(names)) < len(names):
        raise NotASheet("not_a_workbook", NO_WORKBOOK)
    copy, left, count = io.BytesIO(), MOST_UNPACKED, Count()
    with zipfile.ZipFile(copy, "w", zipfile.ZIP_STORED) as kept:
        for part in parts:
            if _wanted(part.filename):
                data = _unpacked(file, part, left, count)
                left -= len(data)
                if part.filename == "[Content_Types].xml" and b"macroEnabled" in data:
                    raise NotASheet("macros", MACROS)
                kept.writestr(part.filename, data)
    copy.seek(0)
    return copy


def _unpacked(file: zipfile.ZipFile, part: zipfile.ZipInfo, most: int, count: Count) -> bytes:
    """A part, piece by piece, so that one that lies about its size or contains too much is abandoned early."""
    if part.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise NotASheet("damaged", DAMAGED)
    found = bytearray()
    with file.open(part) as stream, count.part() as judge:
        while piece := stream.read(_PIECE):
            found += piece
            if len(found) > most:
                raise NotASheet("too_large", TOO_LARGE)
            judge(piece)
    return bytes(found)

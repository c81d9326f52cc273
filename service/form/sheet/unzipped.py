"""A workbook file taken apart with care, before anything interprets it: parts counted, unpacked within limits, XML without declarations.

An Office Open XML workbook (ISO/IEC 29500) is a zip of XML parts. A hostile one claims small sizes and unpacks to gigabytes, multiplies
entities, or brings a program. So each part that is wanted is unpacked here piece by piece, and what goes on is a new zip of these parts alone:
no macros, no links to other files, no pictures.
"""

from __future__ import annotations

import io
import re
import zipfile
import zlib
from xml.parsers import expat

from service.form.asking import N_
from service.form.sheet.grid import NotASheet

MOST_PARTS = 500
MOST_UNPACKED = 30_000_000
MOST_CELLS = 200_000
_PIECE = 65_536
_OLE = b"\xd0\xcf\x11\xe0\xa1\xb1\x1a\xe1"
_WANTED = re.compile(
    r"(\[Content_Types\]\.xml|_rels/\.rels|xl/(_rels/)?[^/]*workbook[^/]*\.xml(\.rels)?|xl/sharedStrings\.xml|xl/styles\.xml|xl/worksheets/[^/]+\.xml)",
    re.IGNORECASE,
)
NO_WORKBOOK = N_("This is no workbook of the kind .xlsx: save the sheet as .xlsx or as CSV, and send that.")
DAMAGED = N_("The workbook is damaged or was cut off on its way: open it, save it as .xlsx again, and send that.")
LOCKED = N_("The workbook is locked with a password: save it without one.")
OLD = N_("This is a workbook of the old kind .xls: save it as .xlsx.")
MACROS = N_("The workbook has macros (.xlsm): save it as .xlsx, without them. No macro is ever run here.")
TOO_LARGE = N_("The workbook unpacks to more than any measuring sheet has: copy what you wrote into a new sheet.")
DECLARES = N_("The workbook declares entities or a document type, which no spreadsheet writes: save it as .xlsx with a spreadsheet.")


def safe_workbook(body: bytes) -> io.BytesIO:
    """The workbook's parts that are read, in a zip of their own. Raises NotASheet."""
    if body.startswith(_OLE):  # a compound file: an old workbook, or a locked new one
        locked = "EncryptedPackage".encode("utf-16-le") in body
        raise NotASheet(*(("locked", LOCKED) if locked else ("old_workbook", OLD)))
    try:
        with zipfile.ZipFile(io.BytesIO(body)) as file:
            return _copied(file)
    except (zipfile.BadZipFile, zlib.error, EOFError, OSError, NotImplementedError, ValueError) as error:  # zipfile raises these
        if isinstance(error, NotASheet):
            raise
        raise NotASheet(*(("damaged", DAMAGED) if body.startswith(b"PK") else ("not_a_workbook", NO_WORKBOOK))) from None


def _copied(file: zipfile.ZipFile) -> io.BytesIO:
    parts = file.infolist()
    names = [part.filename for part in parts]
    if len(parts) > MOST_PARTS or sum(part.file_size for part in parts) > MOST_UNPACKED:
        raise NotASheet("too_large", TOO_LARGE)
    if any(part.flag_bits & 1 for part in parts):
        raise NotASheet("locked", LOCKED)
    if any(name.lower().endswith("vbaproject.bin") for name in names):
        raise NotASheet("macros", MACROS)
    if "[Content_Types].xml" not in names or len(set(names)) < len(names):
        raise NotASheet("not_a_workbook", NO_WORKBOOK)
    copy, left, cells = io.BytesIO(), MOST_UNPACKED, 0
    with zipfile.ZipFile(copy, "w", zipfile.ZIP_STORED) as kept:
        for part in parts:
            if _WANTED.fullmatch(part.filename):
                data = _unpacked(file, part, left)
                left -= len(data)
                cells += _judged(data)
                if part.filename == "[Content_Types].xml" and b"macroEnabled" in data:
                    raise NotASheet("macros", MACROS)
                if cells > MOST_CELLS:
                    raise NotASheet("too_large", TOO_LARGE)
                kept.writestr(part.filename, data)
    copy.seek(0)
    return copy


def _unpacked(file: zipfile.ZipFile, part: zipfile.ZipInfo, most: int) -> bytes:
    """A part, piece by piece, so that one that lies about its size is let go of early."""
    if part.compress_type not in (zipfile.ZIP_STORED, zipfile.ZIP_DEFLATED):
        raise NotASheet("damaged", DAMAGED)
    found = bytearray()
    with file.open(part) as stream:
        while piece := stream.read(_PIECE):
            found += piece
            if len(found) > most:
                raise NotASheet("too_large", TOO_LARGE)
    return bytes(found)


def _judged(data: bytes) -> int:
    """How many cells the part has. Raises NotASheet for what is no XML, or declares a document type: no entity is ever expanded."""
    cells = 0

    def refuse(*_: object) -> None:
        raise NotASheet("declares", DECLARES)

    def start(name: str, _: object) -> None:
        nonlocal cells
        cells += name.rpartition(":")[2] == "c"

    parser = expat.ParserCreate()
    parser.StartDoctypeDeclHandler = refuse
    parser.EntityDeclHandler = refuse
    parser.StartElementHandler = start
    try:
        parser.Parse(data, True)
    except expat.ExpatError:
        raise NotASheet("damaged", DAMAGED) from None
    return cells

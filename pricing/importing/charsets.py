"""The charset of a text file: from a byte-order mark, else UTF-8 if all bytes are valid, else Windows-1252 unless some byte rules it out.

No library that guesses from letter frequencies is used: on a price list with a hundred or so special letters its guess is no better, and it
cannot be explained to a person in a sentence. Windows-1252 is what spreadsheets on Windows write as "CSV", and it agrees with Latin-1 in
every printable character (common practice, no source). An assumption is shown with words from the file, so that a person can judge it.
"""

from __future__ import annotations

import codecs
import re
from collections.abc import Iterator
from typing import NamedTuple

from pricing.importing.grid import Note, Place, Unreadable

_MARKS = (
    (codecs.BOM_UTF8, "utf-8"), (codecs.BOM_UTF32_LE, "utf-32-le"), (codecs.BOM_UTF32_BE, "utf-32-be"), (codecs.BOM_UTF16_LE, "utf-16-le"),
    (codecs.BOM_UTF16_BE, "utf-16-be"),
)  # fmt: skip
_MULTIBYTE = re.compile(rb"[\xc2-\xdf][\x80-\xbf]|[\xe0-\xef][\x80-\xbf]{2}|[\xf0-\xf4][\x80-\xbf]{3}")
_SPECIAL = re.compile(rb"[\x80-\xff]+")
_BEFORE, _BEHIND = re.compile(rb"[A-Za-z\x80-\xff]{1,20}\Z"), re.compile(rb"[A-Za-z\x80-\xff]{1,20}")
_UNDEFINED = re.compile(rb"[\x81\x8d\x8f\x90\x9d]")  # in Windows-1252
_DOS = re.compile(rb"[A-Za-z][\x81\x84\x94\x99\xe1][a-z]")  # ü ä ö Ö ß of code page 850 within a word; in Windows-1252 signs or á
_NO_TEXT = re.compile("[\x01-\x08\x0e-\x1f]")  # control characters but for tabs and ends of lines
_TWICE = re.compile("Ã[\u0080-\u00bf„“–ŸœŒ¤¶¼]|â€")  # UTF-8 that was read as Windows-1252 and saved again
_EXAMPLES = 4
ASK = "say which with --charset (utf-8, cp1252, cp850, utf-16), or save the file as UTF-8"


class Decoded(NamedTuple):
    """A file's text, its charset, and what was assumed."""

    text: str
    charset: str
    notes: tuple[Note, ...] = ()


def decoded(body: bytes, file: str, charset: str | None = None) -> Decoded:
    """The text of a file, without its byte-order mark; `charset` overrides detection. Raises Unreadable."""
    if charset is not None:
        return _in_given_charset(body, file, charset)
    for mark, name in _MARKS:
        if body.startswith(mark):
            return _by_mark(body[len(mark) :], file, name)
    if b"\x00" in body:
        return _with_nuls(body, file)
    try:
        return _no_nul(Decoded(body.decode("utf-8"), "utf-8"), file)
    except UnicodeDecodeError as error:
        return _windows(body, file, error.start)


def _in_given_charset(body: bytes, file: str, charset: str) -> Decoded:
    mark = next((mark for mark, name in _MARKS if body.startswith(mark) and name.startswith(charset.lower()[:5])), b"")
    try:
        return _no_nul(Decoded(body[len(mark) :].decode(charset), charset), file)
    except LookupError:
        raise Unreadable(Note("charset", Place(file), charset, "is not a known charset: " + ASK)) from None
    except UnicodeDecodeError as error:
        words = f"is not text in {charset}: {ASK}"
        raise Unreadable(Note("charset", Place(file, row=_row(body, error.start)), _byte(body, error.start), words)) from None
    except ValueError:  # a codec that no file uses, such as punycode, or a name with a NUL
        raise Unreadable(Note("charset", Place(file), charset, "is not the charset of a file: " + ASK)) from None


def _by_mark(body: bytes, file: str, name: str) -> Decoded:
    try:
        return _no_nul(Decoded(body.decode(name), name), file)
    except UnicodeDecodeError as error:
        words = f"the file says that it is {name.upper()}, and this is not: it was cut off or edited as another; save it anew from the spreadsheet"
        raise Unreadable(Note("charset", Place(file, row=_row(body, error.start)), _byte(body, error.start), words)) from None


def _with_nuls(body: bytes, file: str) -> Decoded:
    """UTF-16 without a mark, recognised by a NUL in every second byte of the beginning and in no other."""
    head = body[:4096]
    odd, even = head[1::2].count(0), head[::2].count(0)
    for name, many, few in (("utf-16-le", odd, even), ("utf-16-be", even, odd)):
        if few == 0 and many * 3 > len(head):
            decoded = _by_mark(body, file, name)
            words = f"the file has no mark of its charset, and was read as {name.upper()}: every second byte is a NUL"
            return decoded._replace(notes=(Note("charset", Place(file), "", words),))
    at = body.index(b"\x00")
    words = "a NUL byte, which no text has: the file is damaged or of another kind; save it as CSV (UTF-8) or .xlsx"
    raise Unreadable(Note("nul", Place(file, row=_row(body, at)), "", words))


def _no_nul(decoded: Decoded, file: str) -> Decoded:
    if "\x00" in decoded.text:
        row = decoded.text.count("\n", 0, decoded.text.index("\x00")) + 1
        words = "a NUL character, which no text has: the file is damaged; save it anew from the spreadsheet"
        raise Unreadable(Note("nul", Place(file, row=row), "", words))
    if match := _NO_TEXT.search(decoded.text):
        row = decoded.text.count("\n", 0, match.start()) + 1
        words = "a character that no text has: the file is of another kind, or damaged; save the list as CSV (UTF-8) or .xlsx"
        raise Unreadable(Note("no_text", Place(file, row=row), f"<{ord(match[0]):02x}>", words))
    if match := _TWICE.search(decoded.text):
        row = decoded.text.count("\n", 0, match.start()) + 1
        excerpt = decoded.text[max(match.start() - 12, 0) : match.end() + 12]
        words = (
            "letters were garbled before the file was saved (ä has become two): open the original with the right charset, and save it anew"
        )
        raise Unreadable(Note("charset", Place(file, row=row), " ".join(excerpt.split()), words))
    return decoded


def _windows(body: bytes, file: str, first: int) -> Decoded:
    place = Place(file, row=_row(body, first))
    singles = len(_MULTIBYTE.findall(body))
    if singles and singles * 10 >= sum(1 for byte in body if byte >= 0x80):
        words = f"is not UTF-8, though other rows are: two charsets are mixed in the file; write this row again, or {ASK}"
        raise Unreadable(Note("charset", place, _byte(body, first), words))
    if odd := _UNDEFINED.search(body) or _DOS.search(body):
        row = _row(body, odd.start())
        words = f"is neither UTF-8 nor Windows-1252 (it may be an old DOS charset, cp850): {ASK}"
        raise Unreadable(Note("charset", Place(file, row=row), _byte(body, odd.start() + (len(odd[0]) > 1)), words))
    words = ", ".join(repr(each) for each in _examples(body))
    explanation = f"not UTF-8; read as Windows-1252, in which it has {words}: if that is wrong, {ASK}"
    return _no_nul(Decoded(body.decode("cp1252"), "cp1252", (Note("charset", place, "", explanation),)), file)


def _examples(body: bytes) -> Iterator[str]:
    words: dict[str, None] = {}
    for match in _SPECIAL.finditer(body):
        before = _BEFORE.search(body[max(match.start() - 20, 0) : match.start()])
        behind = _BEHIND.match(body, match.end())
        word = (before[0] if before else b"") + match[0][:20] + (behind[0] if behind else b"")
        words[word.decode("cp1252")] = None
        if len(words) == _EXAMPLES:
            break
    return iter(words)


def _row(body: bytes, at: int) -> int:
    return body.count(b"\n", 0, at) + 1


def _byte(body: bytes, at: int) -> str:
    before = body[max(at - 10, 0) : at].rpartition(b"\n")[2].decode("ascii", "replace")
    return " ".join(f"{before}<byte {body[at]:02x}>".split())

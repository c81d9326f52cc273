"""Strict JSON parsing and encoding: UTF-8 only, no NaN, no number beyond the range of a double, no lone surrogate, no duplicate member
names.
"""

from __future__ import annotations

import json
import re
from typing import Any

import orjson


class NotJson(ValueError):
    """Text that is not JSON. `detail` names the place and the remedy; `place` has line and column, from 1, if they are known."""

    def __init__(self, code: str, detail: str, place: dict[str, int] | None = None) -> None:
        super().__init__(detail)
        self.code, self.detail, self.place = code, detail, place or {}


def read(body: bytes) -> Any:
    """The value that `body` holds. Raises NotJson."""
    try:
        value = orjson.loads(body)
    except orjson.JSONDecodeError as fault:
        raise _refusal(body, fault) from None
    _no_member_twice(body, _written(value))
    return value


def read_own(body: bytes) -> Any:
    """The value of JSON that this service wrote itself. Skips the checks for duplicate names and deep nesting that `read` makes, which double
    the time, and for text with line breaks take ten times as long. Raises NotJson.
    """
    try:
        return orjson.loads(body)
    except orjson.JSONDecodeError as fault:
        raise _refusal(body, fault) from None


def write(value: object) -> bytes:
    """Compact UTF-8, with members in their given order."""
    return orjson.dumps(value)


def canonical(value: object) -> bytes:
    """RFC 8785 form of a value without floats: sorted names, no white space between tokens; used for checksums."""
    return orjson.dumps(value, option=orjson.OPT_SORT_KEYS)


_LEVELS_AROUND = 54  # levels of nesting reserved for the response or record that contains what was sent

_REMEDIES = {
    "depth limit exceeded": "nested too deeply: a quote request needs no more than ten levels",
    "number is infinity when parsed as double": "a number out of range: write lengths as text with a unit",
    "Input is a zero-length, empty document": "the body is empty: send a JSON object",
    "UTF-8 byte order mark (BOM) is not supported": "the body starts with a byte order mark: send UTF-8 without it",
    "str is not valid UTF-8: surrogates not allowed": "the body is not UTF-8: save it as UTF-8 and send it again",
    "no low surrogate in string": "half of a surrogate pair: write the character itself, in UTF-8",
    "unexpected end of data": "the data ends before the document does: send all of it",
    "unexpected control character in string": "a control character inside text: write it as an escape, or leave it out",
}
_STRANGE = ("unexpected character", "no digit after sign")  # the parser's messages about a single character
_NOTHING = "this is not JSON; leave out a field that has no value"
# what other notations use in such places, and the JSON equivalent
_HINTS = {
    "NaN": _NOTHING,
    "Infinity": _NOTHING,
    "None": _NOTHING,
    "undefined": _NOTHING,
    "True": "JSON writes true in small letters",
    "False": "JSON writes false in small letters",
    "'": 'names and texts stand between double quotation marks (")',
    "/": "JSON has no comments",
    "#": "JSON has no comments",
}
_LONGEST_HINT = max(map(len, _HINTS))


def _refusal(body: bytes, fault: orjson.JSONDecodeError) -> NotJson:
    line, column, why = fault.lineno, fault.colno, fault.msg
    if why.startswith("str is not valid UTF-8"):
        line, column = _first_bad_byte(body)
    found = fault.doc[max(fault.pos, 0) :][:_LONGEST_HINT]
    hint = next((f": {words}" for start, words in _HINTS.items() if found.startswith(start)), "") if why.startswith(_STRANGE) else ""
    detail = f"line {line}, column {column}: {_REMEDIES.get(why, why)}{hint}"
    return NotJson("not_json", detail, {"line": line, "column": column})


def _first_bad_byte(body: bytes) -> tuple[int, int]:
    try:
        body.decode("utf-8")
    except UnicodeDecodeError as fault:
        before = body[: fault.start].decode("utf-8")
        return before.count("\n") + 1, len(before) - before.rfind("\n")
    return 1, 1


def _written(value: object) -> bytes:
    """`value` encoded again. Raises NotJson if it is nested too deeply for a response or record containing it to be encoded.

    The parser accepts 1,024 levels, the encoder only 254.
    """
    for _ in range(_LEVELS_AROUND):
        value = [value]
    try:
        return orjson.dumps(value)
    except orjson.JSONEncodeError:
        raise NotJson("not_json", _REMEDIES["depth limit exceeded"]) from None


def _no_member_twice(body: bytes, written: bytes) -> None:
    """Raises NotJson if a name appears twice in an object: the parser silently keeps the last of such members.

    Without a backslash every character stands for itself, so a dropped member shows as a missing colon. With one, a slower parser decides.
    """
    if b"\\" not in body and body.count(b":") == written.count(b":"):
        return
    open_objects: list[set[str] | None] = []  # names so far of each object around; None: an array
    text = body.decode()
    for token in _TOKENS.finditer(text):
        found = token[0]
        if found in "{[":
            open_objects.append(set() if found == "{" else None)
        elif found in "}]":
            open_objects.pop()
        elif found.endswith(":") and (names := open_objects[-1]) is not None:
            name = json.loads(found[:-1])
            if name in names:
                raise _twice(name, text, token.start())
            names.add(name)


_TOKENS = re.compile(r'[][{}]|"(?:[^"\\]|\\.)*+"(?:[ \t\r\n]*+:)?')  # brackets and strings, a name with its colon; in text that is JSON


def _twice(name: str, text: str, at: int) -> NotJson:
    line, column = text.count("\n", 0, at) + 1, at - text.rfind("\n", 0, at)
    words = f"line {line}, column {column}: the member {name[:80]!r} appears twice in one object: keep one of them"
    return NotJson("duplicate_member", words, {"line": line, "column": column})

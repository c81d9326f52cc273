"""A failure inside marshmallow's messages: text with a code, so that one list of faults can be made of any tree of messages."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Self
from urllib.parse import quote

from marshmallow import ValidationError

from service import problems

SCHEMA = "_schema"


class Failure(str):  # noqa: SLOT000  # a str cannot have slots besides its text
    """One sentence with the remedy, and a stable code."""

    code: str

    def __new__(cls, code: str, detail: str) -> Self:
        """Text that knows its code."""
        made = super().__new__(cls, detail)
        made.code = code
        return made


def refusal(code: str, detail: str) -> ValidationError:
    """A refusal of the value at hand."""
    return ValidationError([Failure(code, detail)])


def faults(messages: object, pointer: str = "#") -> Iterator[dict[str, object]]:
    """Every failure in a tree of messages, each with the JSON Pointer (as a URI fragment, RFC 6901 §6) of what it is about."""
    if isinstance(messages, Mapping):
        for key, below in messages.items():
            yield from faults(below, pointer if key == SCHEMA else f"{pointer}/{_token(key)}")
    elif isinstance(messages, list):
        for each in messages:
            yield from faults(each, pointer)
    else:
        yield problems.fault(pointer, getattr(messages, "code", "invalid"), str(messages))


def _token(key: object) -> str:
    return quote(str(key).replace("~", "~0").replace("/", "~1"), safe="~!$&'()*+,;=:@")


def merged(tree: dict[str | int, object], path: tuple[str | int, ...], failure: Failure) -> dict[str | int, object]:
    """`tree` with one more failure at `path`."""
    at = tree
    for step in path[:-1]:
        at = at.setdefault(step, {})  # type: ignore[assignment]  # inner nodes are made here, always as dicts
    at.setdefault(path[-1], []).append(failure)  # type: ignore[attr-defined]  # leaves are lists
    return tree

"""A failure inside marshmallow's messages: text with a code, so that any tree of messages can be turned into one list of faults."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping, Sequence
from typing import Self
from urllib.parse import quote

from marshmallow import ValidationError

from pricing.nearest import nearest
from service.http import problems

SCHEMA = "_schema"
_LONGEST = 500


class Failure(str):  # noqa: SLOT000  # a str cannot have slots besides its text
    """One sentence with the remedy, plus a stable code."""

    code: str
    message: str
    values: Mapping[str, str]

    def __new__(cls, code: str, message: str, values: Mapping[str, str] | None = None) -> Self:
        """Create text that carries its code: a message with its values filled in (`%(name)s`)."""
        made = super().__new__(cls, message % values if values else message)
        made.code, made.message, made.values = code, message, values or {}
        return made

    def __getnewargs__(self) -> tuple[str, str, Mapping[str, str]]:  # type: ignore[override]  # what `__new__` takes, when unpickled
        return self.code, self.message, self.values

    def translated(self, say: Callable[[str], str]) -> str:
        """The sentence in another language: `say` translates the message."""
        translation = say(self.message)
        return translation % self.values if self.values else translation


class UnknownField(Failure):  # as above
    """An unknown field of an object, with the names of the fields that the object has. `below`: fields of nested objects, each with the names of
    the objects that have it.
    """

    names: tuple[str, ...]
    below: Mapping[str, Sequence[str]]

    @classmethod
    def among(cls, names: tuple[str, ...], below: Mapping[str, Sequence[str]] | None = None) -> Self:
        """The failure of an object that has fields of these names."""
        made = cls("unknown_field", f"no field of that name; accepted here: {', '.join(names)}")
        made.names, made.below = names, below or {}
        return made

    def near(self, given: str) -> str:
        """The sentence, with the nested object that has a field of this name, or the name that was most likely meant."""
        if given in self.below:
            return (
                f"not a field of this object: {given!r} belongs in {' or '.join(self.below[given])}. Accepted here: {', '.join(self.names)}"
            )
        meant = nearest(given, self.names)
        return str(self) if meant is None else f"no field of that name; did you mean {meant!r}? Accepted here: {', '.join(self.names)}"


def refusal(code: str, message: str, values: Mapping[str, str] | None = None) -> ValidationError:
    """An error refusing the current value."""
    return ValidationError([Failure(code, message, values)])


def faults(messages: object) -> Iterator[dict[str, object]]:
    """Every failure in a tree of messages, with the JSON Pointer (as a URI fragment, RFC 6901 §6) to the value it concerns. Suggestions for
    unknown fields are only computed for the faults that will be shown, so that a hostile list of names does not cost more.
    """
    for place, (pointer, key, failure) in enumerate(_failures(messages, "#", "")):
        detail = failure if isinstance(failure, Failure) else str(failure)
        if isinstance(failure, UnknownField) and place < problems.MOST_SHOWN:
            detail = failure.near(key)
        yield problems.fault(pointer, getattr(failure, "code", "invalid"), detail)


def _failures(messages: object, pointer: str, key: str) -> Iterator[tuple[str, str, object]]:
    """Each failure with its pointer and the last key that leads there."""
    if isinstance(messages, Mapping):
        for name, below in messages.items():
            yield from _failures(below, pointer if name == SCHEMA else f"{pointer}/{_token(name)}", str(name))
    elif isinstance(messages, list):
        for each in messages:
            yield from _failures(each, pointer, key)
    else:
        yield pointer, key, messages


def translated_detail(detail: object, say: Callable[[str], str]) -> str:
    """A fault's detail in another language; `say` translates texts."""
    return detail.translated(say) if isinstance(detail, Failure) else say(str(detail))


def _token(key: object) -> str:
    """A segment of a JSON Pointer; very long names are truncated."""
    key = str(key)
    key = key if len(key) <= _LONGEST else f"{key[:_LONGEST]}…"
    return quote(str(key).replace("~", "~0").replace("/", "~1"), safe="~!$&'()*+,;=:@")


def merged(tree: dict[str | int, object], path: tuple[str | int, ...], failure: Failure) -> dict[str | int, object]:
    """`tree` with one more failure at `path`."""
    at = tree
    for step in path[:-1]:
        at = at.setdefault(step, {})  # type: ignore[assignment]  # inner nodes are made here, always as dicts
    at.setdefault(path[-1], []).append(failure)  # type: ignore[attr-defined]  # leaves are lists
    return tree

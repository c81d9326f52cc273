"""An assembly that is still being entered in a form, read by the rules of a quote request as far as possible.

Only unknown fields are refused. A value that cannot be read counts as missing, and its place is reported.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from typing import Any

from marshmallow import ValidationError
from marshmallow.fields import Field

from service.http.problems import Problem
from service.schemas.assemblies import AssemblySchema
from service.schemas.failure import faults
from service.schemas.fields import Anything, Read, Text
from service.schemas.schema import Many, Object, RequestSchema


@dataclass(frozen=True, slots=True)
class Unread:
    """A value that could not be read: its JSON Pointer within the assembly, and the fault's code."""

    pointer: str
    code: str


@dataclass(slots=True)
class Drafted:
    """The values that could be read, nested as in a request; an unreadable item of a list keeps its place as None."""

    values: dict[str, Any] = field(default_factory=dict)
    unread: list[Unread] = field(default_factory=list)
    asked: str = ""


@dataclass(frozen=True, slots=True)
class _DraftBody:
    assembly: Any
    asked: str = ""


class DraftSchema(RequestSchema):
    """The request body: an incomplete assembly, and the place of the question that the form shows now."""

    made = _DraftBody
    assembly = Anything(required=True)
    asked = Text(200)


_SHAPE, _ASSEMBLY = DraftSchema(), AssemblySchema()


def read_draft(value: object) -> Drafted:
    """Read a draft. Raises Problem (422) for an unknown field, or if the body is not a draft."""
    try:
        sent: _DraftBody = _SHAPE.load(value)  # type: ignore[arg-type]  # anything but an object is refused there
    except ValidationError as error:
        raise _refused(error.messages) from None
    found, unknown = Drafted(asked=sent.asked), dict[str, object]()
    found.values = _object(_ASSEMBLY, sent.assembly, "", found, unknown) or {}
    if unknown:
        raise _refused({"assembly": unknown})
    return found


def _refused(messages: object) -> Problem:
    return Problem(422, "The request cannot be read; each fault is listed with its place.", list(faults(messages)))


def _object(schema: RequestSchema, value: object, at: str, found: Drafted, unknown: dict[str, object]) -> dict[str, Any] | None:
    """The readable values of an object; None, noted in `found`, if `value` is not an object. Unknown fields are added to `unknown`."""
    if type(value) is not dict:
        found.unread.append(Unread(at, "not_an_object"))
        return None
    fields = {each.data_key or name: each for name, each in schema.load_fields.items()}
    values = {}
    for name, each in value.items():
        if name not in fields:
            unknown[name] = [schema.error_messages["unknown"]]
            continue
        below: dict[str, object] = {}
        if (read := _value(fields[name], each, f"{at}/{name}", found, below)) is not None:
            values[name] = read
        if below:
            unknown[name] = below
    return values


def _value(shape: Field[Any], value: object, at: str, found: Drafted, unknown: dict[str, object]) -> Any:
    try:
        if isinstance(shape, Object):
            assert isinstance(shape.schema, RequestSchema)  # noqa: S101  # all of a request's are
            return _object(shape.schema, shape.expand(value), at, found, unknown)
        if isinstance(shape, Many):
            return _items(shape, value, at, found, unknown)
        assert isinstance(shape, Read)  # noqa: S101  # there are no others
        return shape.read(value)
    except ValidationError as error:
        (first, *_) = faults(error.messages)
        found.unread.append(Unread(at, str(first["code"])))
        return None


def _items(shape: Many, value: object, at: str, found: Drafted, unknown: dict[str, object]) -> list[Any]:
    items = []
    for place, each in enumerate(shape.bounded(value)):
        below: dict[str, object] = {}
        items.append(_value(shape.inner, each, f"{at}/{place}", found, below))
        if below:
            unknown[str(place)] = below
    return items

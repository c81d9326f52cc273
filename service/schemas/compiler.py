"""A fast path for the same schemas: closures built from the schema objects, for requests without faults.

Marshmallow remains authoritative. Whatever these closures do not read (`Fallback`, or any refusal) goes to `Schema.load`, which
words the faults; a differential test holds both to the same result. It is worth it: marshmallow's own load takes about ten times as
long.
"""

from __future__ import annotations

from collections.abc import Callable
from typing import Any

from marshmallow.fields import Field

from service.schemas.fields import Read
from service.schemas.schema import Many, Object, RequestSchema

Reader = Callable[[Any], Any]


class Fallback(Exception):
    """A value that must be left to `Schema.load` to refuse."""


def compiled(schema: RequestSchema) -> Reader:
    """A function from a decoded JSON object to the dataclass of `schema`. Raises Fallback or ValidationError."""
    readers = {field.data_key or name: (name, _reader(field)) for name, field in schema.load_fields.items()}
    required = frozenset(name for name, field in schema.load_fields.items() if field.required)
    build = schema.build

    def read(value: Any) -> Any:
        if type(value) is not dict:
            raise Fallback
        values = {}
        try:
            for key, each in value.items():
                name, reader = readers[key]
                values[name] = reader(each)
        except (KeyError, TypeError):
            raise Fallback from None
        if not required <= values.keys():
            raise Fallback
        return build(values)

    return read


def _reader(field: Field[Any]) -> Reader:
    if isinstance(field, Read):
        return field.quick()
    if isinstance(field, Object):
        return _object(field)
    if isinstance(field, Many):
        return _list(field)
    raise TypeError(f"the fast path does not support fields of type {type(field).__name__}")


def _object(field: Object) -> Reader:
    schema = field.schema
    if not isinstance(schema, RequestSchema):
        raise TypeError(f"{type(schema).__name__} is not a RequestSchema")
    inner = compiled(schema)
    if type(field).expand is Object.expand:
        return inner
    return lambda value: inner(field.expand(value))


def _list(field: Many) -> Reader:
    inner = _reader(field.inner)

    def read(value: Any) -> Any:
        items = field.bounded(value)
        if field.across(items):
            raise Fallback
        return tuple([inner(each) for each in items])

    return read

"""Objects and lists in a request: closed objects, each building one frozen dataclass, and bounded lists of them."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any, ClassVar

from marshmallow import RAISE, Schema, ValidationError, fields, post_load

from service.schemas.failure import Failure, UnknownField, refusal
from service.schemas.fields import MESSAGES


class RequestSchema(Schema):
    """A closed object; `build` turns its values into `made` and may refuse them (marshmallow's ValidationError)."""

    made: ClassVar[type]

    class Meta:
        """Unknown fields are refused."""

        unknown = RAISE

    def __init__(self, **options: Any) -> None:
        super().__init__(**options)
        names = [field.data_key or name for name, field in self.fields.items()]
        self.error_messages = {
            **self.error_messages,
            "unknown": UnknownField.among(tuple(names), self._below()),
            "type": Failure("not_an_object", f"an object is expected here, with: {', '.join(names)}"),
        }

    def _below(self) -> dict[str, list[str]]:
        """The fields of the nested objects, each with the names of the fields that hold such an object."""
        found: dict[str, list[str]] = {}
        for name, field in self.fields.items():
            each = field.inner if isinstance(field, Many) else field
            if isinstance(each, Object) and isinstance(each.nested, Schema):
                place = f"each of {name!r}" if isinstance(field, Many) else repr(name)
                for below in each.nested.fields:
                    found.setdefault(below, []).append(place)
        return found

    def build(self, values: dict[str, Any]) -> object:
        """The dataclass with these values."""
        return self.made(**values)

    @post_load
    def _build(self, values: dict[str, Any], **_: object) -> object:
        return self.build(values)


class Object(fields.Nested):
    """A field holding one object of a shape. `expand` lets a shorthand stand for an object."""

    default_error_messages = MESSAGES

    def expand(self, value: object) -> object:
        """The object that `value` stands for; by default the value itself."""
        return value

    def _deserialize(self, value: object, attr: str | None, data: Mapping[str, object] | None, partial: Any = None, **options: Any) -> Any:
        return super()._deserialize(self.expand(value), attr, data, partial, **options)


class Many(fields.List[Any]):
    """A list of `least` to `most` items, as a tuple; a list of another size is refused before its items are read."""

    default_error_messages = MESSAGES

    def __init__(self, inner: fields.Field[Any], least: int, most: int, **options: Any) -> None:
        super().__init__(inner, **options)
        self.least, self.most = least, most

    def bounded(self, value: object) -> list[object]:
        """`value`, if it is a list of an accepted size."""
        if type(value) is not list:
            raise refusal("not_a_list", "a list is expected here: write it between [ and ], a single item too")
        if not self.least <= len(value) <= self.most:
            remedy = "send the rest in another request" if len(value) > self.most else f"send at least {self.least}"
            raise refusal("list_size", f"{self.least} to {self.most} items are accepted here; these are {len(value)}: {remedy}")
        return value

    def across(self, items: list[object]) -> dict[int, object]:
        """Failures that only show when the items are seen together, as messages by index."""
        return {}

    def _deserialize(self, value: object, attr: str | None, data: Mapping[str, object] | None, **options: Any) -> Any:
        items = self.bounded(value)
        messages: dict[int, object] = self.across(items)
        try:
            read = super()._deserialize(items, attr, data, **options)
        except ValidationError as error:
            messages = _joined(error.messages, messages)  # type: ignore[arg-type]  # a list's messages are by index
        if messages:
            raise ValidationError(messages)
        return tuple(read)


def _joined(left: dict[int, object], right: dict[int, object]) -> dict[int, object]:
    """Merge two sets of messages by index; where both have an object, their fields are merged too."""
    joined = {**right, **left}
    for index in left.keys() & right.keys():
        one, other = left[index], right[index]
        joined[index] = {**other, **one} if isinstance(one, dict) and isinstance(other, dict) else one
    return joined

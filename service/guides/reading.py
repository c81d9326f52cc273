"""Arranges an OpenAPI 3.1 document for reading: operations by tag, and schemas by name."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from http import HTTPStatus
from typing import Any, NamedTuple

import orjson

Node = Mapping[str, Any]
METHODS = ("get", "post", "put", "patch", "delete")
_LIMITS = (
    "minimum",
    "maximum",
    "exclusiveMinimum",
    "exclusiveMaximum",
    "minLength",
    "maxLength",
    "minItems",
    "maxItems",
    "format",
    "default",
)


class Part(NamedTuple):
    """A parameter, header or property. `kind` describes its content, `link` is the schema with details, `limits` its permitted values."""

    name: str
    where: str
    required: bool
    kind: str
    link: str | None
    limits: str
    description: str
    example: str


class Body(NamedTuple):
    """A body in one media type."""

    media: str
    kind: str
    link: str | None
    example: str


class Answer(NamedTuple):
    """A possible response."""

    status: str
    phrase: str
    description: str
    headers: list[Part]
    bodies: list[Body]


class Operation(NamedTuple):
    """One method of a path."""

    id: str
    method: str
    path: str
    summary: str
    description: str
    public: bool
    parameters: list[Part]
    asked: list[Body]
    answers: list[Answer]


class Chapter(NamedTuple):
    """A tag with its operations."""

    name: str
    description: str
    operations: list[Operation]


class Schema(NamedTuple):
    """A schema with a name."""

    name: str
    kind: str
    description: str
    properties: list[Part]
    choices: list[tuple[str, str | None]]
    example: str


def chapters(document: Node) -> list[Chapter]:
    """Every operation, under its first tag, in the document's order."""
    found = [(each["tags"][0], _operation(document, path, method, item, each)) for path, item in document["paths"].items()
             for method in METHODS if (each := item.get(method)) is not None]  # fmt: skip
    return [Chapter(tag["name"], tag["description"], [each for name, each in found if name == tag["name"]]) for tag in document["tags"]]


def named_schemas(document: Node) -> list[Schema]:
    """Every schema of the components, by name."""
    return [_schema(document, name, each) for name, each in sorted(document["components"]["schemas"].items())]


def _operation(document: Node, path: str, method: str, item: Node, found: Node) -> Operation:
    listed = [_seen(document, each) for each in (*item.get("parameters", ()), *found.get("parameters", ()))]
    return Operation(
        found["operationId"], method.upper(), path, found["summary"], found.get("description", ""),
        found.get("security", document["security"]) == [],
        [_part(document, each["name"], each, each["in"], each["schema"], required=each.get("required", False)) for each in listed],
        list(_bodies(document, _seen(document, found.get("requestBody", {})))),
        [_answer(document, status, _seen(document, each)) for status, each in found["responses"].items()],
    )  # fmt: skip


def _answer(document: Node, status: str, found: Node) -> Answer:
    headers = [
        _part(document, name, each, "header", each["schema"], required=each.get("required", False))
        for name, each in ((name, _seen(document, each)) for name, each in found.get("headers", {}).items())
    ]
    return Answer(status, HTTPStatus(int(status)).phrase, found["description"], headers, list(_bodies(document, found)))


def _bodies(document: Node, holder: Node) -> Iterator[Body]:
    for media, content in holder.get("content", {}).items():
        yield Body(media, *_kind(document, content.get("schema", {})), _example(document, content))


def _part(document: Node, name: str, holder: Node, where: str, schema: Node, *, required: bool) -> Part:
    own = _seen(document, schema)
    said = holder.get("description") or own.get("description", "")
    return Part(name, where, required, *_kind(document, schema), _limits(own), said, _example(document, holder) or _example(document, own))


def _schema(document: Node, name: str, found: Node) -> Schema:
    wanted = found.get("required", ())
    properties = [
        _part(document, each, inner, "", inner, required=each in wanted) for each, inner in found.get("properties", {}).items()
    ]  # fmt: skip
    choices = [
        _kind(document, each)
        for word in ("oneOf", "anyOf", "allOf")
        for each in found.get(word, ())
        if "required" not in each or "type" in each
    ]
    return Schema(name, _kind(document, found)[0], found.get("description", ""), properties, choices, _example(document, found))


def _kind(document: Node, schema: Node) -> tuple[str, str | None]:
    """A description of a schema's content, and the named schema it refers to."""
    if "$ref" in schema:
        name = schema["$ref"].rpartition("/")[2]
        return name, name
    if "const" in schema:
        return orjson.dumps(schema["const"]).decode(), None
    if "enum" in schema:
        return " | ".join(str(each) for each in schema["enum"]), None
    if schema.get("type") == "array":
        inner, link = _kind(document, schema.get("items", {}))
        return f"list of {inner}", link
    for word in ("oneOf", "anyOf"):
        if word in schema and "type" not in schema:
            found = [_kind(document, each) for each in schema[word]]
            return " or ".join(each for each, _ in found), next((link for _, link in found if link), None)
    kind = schema.get("type", "anything")
    return (kind if isinstance(kind, str) else " or ".join(kind)), None


def _limits(schema: Node) -> str:
    return ", ".join(f"{name} {schema[name]}" for name in _LIMITS if name in schema)


def _example(document: Node, holder: Node) -> str:
    found = holder.get("example")
    if found is None:
        found = (
            next((_seen(document, each).get("value") for each in holder.get("examples", {}).values()), None)
            if isinstance(holder.get("examples"), Mapping)
            else None
        )
    if found is None:
        return ""
    return found if isinstance(found, str) else orjson.dumps(found, option=orjson.OPT_INDENT_2, default=str).decode()


def _seen(document: Node, node: Node) -> Node:
    """A node, with a reference within the document resolved."""
    while "$ref" in node:
        found: Any = document
        for step in node["$ref"].removeprefix("#/").split("/"):
            found = found[step.replace("~1", "/").replace("~0", "~")]
        node = found
    return node

"""Checks responses against openapi.yaml, by operation and status.

Two validators read it: a fast one checks every response, and a slower one explains what is wrong when the fast one refuses.
"""

from __future__ import annotations

import gzip
import json
import re
from functools import cache
from pathlib import Path
from typing import Any

import jsonschema_rs
from jsonschema import Draft202012Validator
from referencing import Registry, Resource
from referencing.jsonschema import DRAFT202012
from werkzeug.test import TestResponse

from tests.plain_yaml import read_yaml

OPENAPI = Path(__file__).parents[2] / "openapi.yaml"
Operation = dict[str, Any]
REACHED: set[tuple[str, str]] = set()  # operation and status of every reply that was looked at
UNLISTED = {405}  # wrong methods have no operation to be listed under


@cache
def contract() -> dict[str, Any]:
    """The document."""
    found: dict[str, Any] = read_yaml(OPENAPI.read_text(encoding="utf-8"))
    return found


@cache
def _registry() -> Registry[Any]:
    return Registry().with_resource("urn:contract", Resource(contents=contract(), specification=DRAFT202012))


@cache
def validator(name: str) -> Draft202012Validator:
    """A validator for a component schema, formats checked."""
    return _validator({"$ref": f"urn:contract#/components/schemas/{name}"})


@cache
def _quick_registry() -> jsonschema_rs.Registry:
    return jsonschema_rs.Registry([("urn:contract", contract())], draft=jsonschema_rs.Draft202012)


class Judge:
    """A schema of the contract, given as JSON, with both validators."""

    def __init__(self, schema: str) -> None:
        self.schema = json.loads(schema.replace('"#/', '"urn:contract#/'))
        self.quick = jsonschema_rs.Draft202012Validator(self.schema, registry=_quick_registry(), validate_formats=True)

    def complaints(self, value: Any) -> list[str]:
        """What it has against a value; empty where it has nothing."""
        if self.quick.is_valid(value):
            return []
        explained = [f"{error.json_path}: {error.message[:300]}" for error in _validator(self.schema).iter_errors(value)]
        return explained or [str(error)[:300] for error in self.quick.iter_errors(value)]


@cache
def judge(schema: str) -> Judge:
    """The judge by a schema, given as JSON."""
    return Judge(schema)


def judge_of(name: str) -> Judge:
    """The judge of a component schema."""
    return judge(json.dumps({"$ref": f"#/components/schemas/{name}"}))


def _validator(schema: dict[str, Any]) -> Draft202012Validator:
    return Draft202012Validator(schema, registry=_registry(), format_checker=Draft202012Validator.FORMAT_CHECKER)


def resolved(node: dict[str, Any]) -> dict[str, Any]:
    """A node, or what its reference points to."""
    if "$ref" not in node:
        return node
    found: Any = contract()
    for step in node["$ref"].removeprefix("#/").split("/"):
        found = found[step]
    return resolved(found)


@cache
def _templates() -> list[tuple[re.Pattern[str], dict[str, Operation]]]:
    """Addresses and their operations by method, literal ones before templates."""
    paths = sorted(contract()["paths"].items(), key=lambda each: each[0].count("{"))
    return [(re.compile(re.sub(r"\{[^}]+\}", "[^/]+", template)), operations) for template, operations in paths]


def operation_at(method: str, path: str) -> Operation | None:
    """The operation that answers this, literal paths before templates; HEAD is answered by GET's."""
    method = "get" if method == "HEAD" else method.lower()
    return next((operations.get(method) for template, operations in _templates() if template.fullmatch(path)), None)


def complaints(method: str, path: str, response: TestResponse) -> list[str]:
    """What the contract has against a reply; empty where it keeps to it."""
    operation = operation_at(method, path)
    if operation is None or response.status_code in UNLISTED or method == "OPTIONS":
        return [] if response.status_code in (404, 405) or method == "OPTIONS" else [f"{method} {path} is not in the contract"]
    listed = operation["responses"].get(str(response.status_code))
    if listed is None:
        return [f"{method} {path} may not answer {response.status_code}"]
    REACHED.add((operation["operationId"], str(response.status_code)))
    return [*_headers(resolved(listed), response), *_body(method, resolved(listed), response)]


def _headers(listed: dict[str, Any], response: TestResponse) -> list[str]:
    required = [name for name, header in listed.get("headers", {}).items() if resolved(header).get("required")]
    return [f"the header {name} is missing" for name in required if name not in response.headers]


def _body(method: str, listed: dict[str, Any], response: TestResponse) -> list[str]:
    content = listed.get("content")
    if content is None or method == "HEAD":
        return [] if not response.data else ["a body where there is none"]
    media = response.mimetype
    if media not in content:
        return [f"the media type {media} is not listed"]
    if not media.endswith("json"):
        return []
    by = judge(json.dumps(content[media]["schema"]))
    if media.endswith("ndjson"):
        return [each for line in response.data.splitlines() for each in by.complaints(json.loads(line))]
    coded = response.headers.get("Content-Encoding") == "gzip"
    value = json.loads(gzip.decompress(response.data) if coded else response.data, parse_constant=_no_constant)
    return by.complaints(value)


def _no_constant(name: str) -> None:
    raise AssertionError(f"{name} in a reply")

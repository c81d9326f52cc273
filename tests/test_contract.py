"""The contract and the code agree: endpoints, requests, enumerated values, and every description that a reader needs."""

from __future__ import annotations

import re
from collections.abc import Iterator
from typing import Any

import pytest
from flask import Flask
from jsonschema import Draft202012Validator
from marshmallow.fields import Field
from openapi_spec_validator import OpenAPIV31SpecValidator

from service.auth.access import ACCESS
from service.schemas.assemblies import (
    AssemblySchema,
    MeasurementSchema,
    OldWireSchema,
    SettingSchema,
    StopSchema,
    TurnbuckleSchema,
    WireSchema,
    WorkSchema,
)
from service.schemas.ends import BoatFittingSchema, EndSchema, LinkSchema
from service.schemas.fields import Amount, Choice, Count, Email, Flag, Id, Length, Quantity, Reduction, Text, WrittenLength
from service.schemas.life import (
    AcceptanceSchema,
    AcceptingCustomerSchema,
    BuiltRecordSchema,
    DecliningCustomerSchema,
    DecliningSchema,
    EndingSchema,
    FinishedSchema,
    LinkOrderSchema,
    MovementOrderSchema,
)
from service.schemas.measured import (
    DeflectionTestSchema,
    OldTurnbuckleSchema,
    OwnLinkSchema,
    OwnTerminalSchema,
    OwnTurnbuckleSchema,
    TapeComparisonSchema,
    ThreadReadingSchema,
)
from service.schemas.plan import PlanOrderSchema, PlanTermsSchema, PlanWireSchema, StockSchema, TypedPieceSchema
from service.schemas.request import (
    AddressSchema,
    BoatSchema,
    CustomerSchema,
    DiscountSchema,
    ExtraArticleSchema,
    ExtraLineSchema,
    QuoteRequestSchema,
)
from service.schemas.schema import Many, Object, RequestSchema
from tests.service.conftest import app, empty_file, engine, quotes  # noqa: F401  # fixtures
from tests.service.contract import contract, resolved, validator

METHODS = {"get", "post", "put", "patch", "delete"}
SCHEMAS: dict[str, type[RequestSchema]] = {
    "QuoteRequest": QuoteRequestSchema, "Boat": BoatSchema, "Customer": CustomerSchema, "CustomerAddress": AddressSchema, "ExtraLine": ExtraLineSchema, "ExtraArticle": ExtraArticleSchema, "Discount": DiscountSchema, "WorkAsked": WorkSchema, "Assembly": AssemblySchema, "Wire": WireSchema, "OldWire": OldWireSchema, "End": EndSchema,
    "BoatFitting": BoatFittingSchema, "LinkObject": LinkSchema, "Turnbuckle": TurnbuckleSchema, "Setting": SettingSchema, "Measurement": MeasurementSchema, "Stop": StopSchema, "ThreadReading": ThreadReadingSchema, "OwnTerminal": OwnTerminalSchema, "OwnLink": OwnLinkSchema,
    "OwnTurnbuckle": OwnTurnbuckleSchema, "OldTurnbuckle": OldTurnbuckleSchema, "DeflectionTest": DeflectionTestSchema, "TapeComparison": TapeComparisonSchema,
    "PlanOrder": PlanOrderSchema, "PlanWire": PlanWireSchema, "TypedPiece": TypedPieceSchema, "PlanStock": StockSchema, "PlanTerms": PlanTermsSchema,
    "Acceptance": AcceptanceSchema, "AcceptingCustomer": AcceptingCustomerSchema, "Ending": EndingSchema, "Decline": DecliningSchema, "DecliningCustomer": DecliningCustomerSchema, "LinkOrder": LinkOrderSchema, "BuiltReport": BuiltRecordSchema, "FinishedAssembly": FinishedSchema, "MovementOrder": MovementOrderSchema,
}  # fmt: skip
QUANTITIES = {
    "18 degC": "Temperature",
    "3 K": "TemperatureDifference",
    "50 N": "Force",
    "1.5 kN": "Force",
    "2.6 mm2": "Area",
    "0.14 N/m": "LineWeight",
}
SCHEMA_WORDS = {
    "$ref", "type", "description", "deprecated", "example", "examples", "enum", "const", "default", "format", "pattern", "oneOf", "anyOf", "allOf", "items", "properties",
    "required", "additionalProperties", "unevaluatedProperties", "minProperties", "maxProperties", "minItems", "maxItems", "minLength", "maxLength", "minimum", "maximum", "contentMediaType", "contentSchema",
}  # fmt: skip


def operations() -> Iterator[tuple[str, str, dict[str, Any]]]:
    for path, item in contract()["paths"].items():
        for method in METHODS & item.keys():
            yield method.upper(), path, item[method]


def schemas() -> Iterator[tuple[str, dict[str, Any]]]:
    """Every schema object of the components with its place."""
    for name, schema in contract()["components"]["schemas"].items():
        yield from _inside(name, schema)


def all_schemas() -> Iterator[tuple[str, dict[str, Any]]]:
    """Those, and the ones that stand in operations, parameters, bodies and headers."""
    yield from schemas()
    yield from _written_in("", {key: each for key, each in contract().items() if key != "components"})
    yield from _written_in("components", {key: each for key, each in contract()["components"].items() if key != "schemas"})


def _written_in(place: str, node: Any) -> Iterator[tuple[str, dict[str, Any]]]:
    if isinstance(node, dict):
        for key, each in node.items():
            if key not in ("example", "examples"):
                yield from _inside(f"{place}/{key}", each) if key == "schema" else _written_in(f"{place}/{key}", each)
    elif isinstance(node, list):
        for number, each in enumerate(node):
            yield from _written_in(f"{place}/{number}", each)


def _inside(place: str, schema: Any) -> Iterator[tuple[str, dict[str, Any]]]:
    yield place, schema
    for name, each in schema.get("properties", {}).items():
        yield from _inside(f"{place}.{name}", each)
    for word in ("oneOf", "anyOf", "allOf"):
        for number, each in enumerate(schema.get(word, ())):
            yield from _inside(f"{place}/{word}/{number}", each)
    for word in ("items", "additionalProperties"):
        if isinstance(schema.get(word), dict):
            yield from _inside(f"{place}/{word}", schema[word])


@pytest.mark.long
def test_the_document_is_openapi_3_1() -> None:
    assert contract()["openapi"].startswith("3.1.")
    OpenAPIV31SpecValidator(contract()).validate()


NUMBER = "<number:number>"  # stands where an id stands: OpenAPI has one address for both


def test_every_address_and_method_of_the_service_is_in_the_contract_and_the_reverse(app: Flask) -> None:  # noqa: F811
    served = {
        (method, rule.rule.replace("plan_id", "quote_id").replace("batch_id", "quote_id").replace(NUMBER, "<uuid:quote_id>"))
        for rule in app.url_map.iter_rules()
        for method in (rule.methods or set()) - {"HEAD", "OPTIONS"}
    }
    listed = {
        (
            method,
            path.replace("{id}", "<uuid:quote_id>")
            .replace("{settlement}", "<uuid:settlement_id>")
            .replace("{question}", "<uuid:question_id>")
            .replace("{kind}", "<kind>")
            .replace("{edition}", "<edition>")
            .replace("{name}", "<name>")
            .replace("{code}", "<code>")
            .replace("{tag}", "<tag:tag>"),
        )
        for method, path, _ in operations()
    }
    assert served == listed


@pytest.mark.parametrize("name", SCHEMAS)
def test_a_request_schema_has_the_fields_of_the_code_and_requires_the_same(name: str) -> None:
    schema, shape = contract()["components"]["schemas"][name], SCHEMAS[name]()
    ways = [resolved(each) for each in schema.get("anyOf") or schema.get("oneOf") or [schema]]  # a union of whole schemas, or one
    fields = {field.data_key or attribute: field for attribute, field in shape.fields.items()}
    assert {key for way in ways for key in way["properties"]} == set(fields)
    assert set.intersection(*(set(way.get("required", ())) for way in ways)) == {key for key, field in fields.items() if field.required}
    for way in ways:
        assert way["additionalProperties"] is False
        for key, each in way["properties"].items():
            hold(f"{name}.{key}", each, fields[key])


def hold(place: str, schema: dict[str, Any], field: Field[Any]) -> None:
    """Assert that a property says what its field reads."""
    target = resolved(schema)
    if isinstance(field, Choice):
        assert (target["type"], target["enum"]) == ("string", list(field.accepted)), place
    elif isinstance(field, Text):
        assert (target["type"], target["minLength"], target["maxLength"]) == ("string", 1, field.most), place
        assert isinstance(field, Email) == place.endswith("Customer.email")
    elif isinstance(field, Id):
        assert (target["type"], target["format"]) == ("string", "uuid"), place
    elif isinstance(field, Flag):
        assert target["type"] == "boolean", place
    elif isinstance(field, Count):
        assert (target["type"], target["minimum"], target["maximum"]) == ("integer", field.least, field.most), place
    elif isinstance(field, Length | WrittenLength):
        assert schema["$ref"].rpartition("/")[2] == ("LengthOrZero" if getattr(field, "zero", False) else "Length"), place
    elif isinstance(field, Amount | Reduction):
        assert target["pattern"] == (
            "^[0-9]{1,9}(\\.[0-9]{1,6})?( ?%)?$" if isinstance(field, Reduction) else "^[0-9]{1,9}(\\.[0-9]{1,6})?$"
        ), place
    elif isinstance(field, Quantity):
        assert schema["$ref"].rpartition("/")[2] == QUANTITIES[field.example], place
    elif isinstance(field, Many):
        assert (target["type"], target.get("minItems", 0), target["maxItems"]) == ("array", field.least, field.most), place
        hold(f"{place}[]", target["items"], field.inner)
    else:
        assert isinstance(field, Object), place
        name = schema["$ref"].rpartition("/")[2]
        assert SCHEMAS["LinkObject" if name == "Link" else name] is type(field.schema), place


def test_no_schema_has_a_word_that_json_schema_does_not_know() -> None:
    odd = {place: sorted(set(schema) - SCHEMA_WORDS) for place, schema in all_schemas() if set(schema) - SCHEMA_WORDS}
    assert odd == {}


def test_a_choice_is_between_whole_schemas() -> None:
    """Of a choice between lists of required names a generator of types makes nothing."""
    bare = [
        f"{place}/{word}/{number}"
        for place, schema in all_schemas()
        for word in ("oneOf", "anyOf", "allOf")
        for number, each in enumerate(schema.get(word, ()))
        if not {"$ref", "type", "enum", "const", "oneOf", "anyOf", "allOf"} & each.keys()
    ]
    assert bare == []


def test_what_may_be_left_out_has_no_default() -> None:
    """A generator of types makes a property with a default one that is always there, in requests as well: what stands for it is said in words."""
    assert [place for place, schema in schemas() if "default" in schema] == []


def test_every_object_is_closed() -> None:
    shared = {"QuoteBody", "Quote/allOf/1", "Preview/allOf/1"}  # closed together by unevaluatedProperties
    open_ones = [
        place
        for place, schema in schemas()
        if (schema.get("type") == "object" or "allOf" in schema)
        and place not in shared
        and "additionalProperties" not in schema
        and schema.get("unevaluatedProperties") is not False
    ]
    assert open_ones == []


def test_every_property_is_described_and_every_plain_one_has_an_example() -> None:
    for place, schema in schemas():
        if "." not in place.rpartition("/")[2]:
            continue
        whole = {**resolved(schema), **schema}
        assert whole.get("description"), place
        if whole.get("type") in ("string", "integer", "boolean"):
            assert "example" in whole, place


def test_every_example_is_valid() -> None:
    for place, schema in schemas():
        if "example" in schema:
            bare = {key: value for key, value in schema.items() if key != "example"}
            checked = Draft202012Validator({**validator_root(), **absolute(bare)}, registry=validator("Problem")._registry)
            assert checked.is_valid(schema["example"]), (place, schema["example"])
    body = contract()["components"]["requestBodies"]["QuoteRequest"]["content"]["application/json"]["example"]
    validator("QuoteRequest").validate(body)


def validator_root() -> dict[str, Any]:
    return {"$schema": "https://json-schema.org/draft/2020-12/schema"}


def absolute(node: Any) -> Any:
    """A node whose references name the document."""
    if isinstance(node, dict):
        return {key: f"urn:contract{value}" if key == "$ref" else absolute(value) for key, value in node.items()}
    return [absolute(each) for each in node] if isinstance(node, list) else node


def test_every_operation_can_fail_by_500_and_be_refused_by_406_and_says_what_it_is() -> None:
    for method, path, operation in operations():
        assert {"406", "500"} <= operation["responses"].keys(), (method, path)
        assert all(operation[word] for word in ("operationId", "summary", "tags")), (method, path)
        assert (method == "POST") == ("requestBody" in operation), (method, path)
    names = [operation["operationId"] for _, _, operation in operations()]
    assert len(names) == len(set(names))


def endpoints(app: Flask) -> Iterator[tuple[str, dict[str, Any]]]:  # noqa: F811
    """Each endpoint with its operation."""
    for rule in app.url_map.iter_rules():
        named = re.sub("(settlement|question)_id", r"\1", rule.rule.replace(NUMBER, "<uuid:quote_id>"))
        path = re.sub("<(?:[a-z]+:)?(?:[a-z]+_)?([a-z]+)>", r"{\1}", named)
        for method in (rule.methods or set()) - {"HEAD", "OPTIONS"}:
            yield rule.endpoint, contract()["paths"][path][method.lower()]


def test_every_operation_says_who_may_call_it_and_how_often(app: Flask) -> None:  # noqa: F811
    for endpoint, operation in endpoints(app):
        requirement, responses = ACCESS[endpoint], operation["responses"]
        wanted = (
            []
            if requirement.public or requirement.form
            else [{"key": []}, {"link": []}]
            if requirement.link
            else list(contract()["security"])
        )
        if endpoint == "quotes.current":  # for keys alone, at the address that a link's own quote has as well
            assert wanted == [{"key": []}]
            wanted.append({"link": []})
        assert operation.get("security", contract()["security"]) == wanted, endpoint
        refusals = {"429"} if requirement.form else {"401", "403", "429"}
        assert (refusals <= responses.keys()) is not requirement.public, endpoint
        for status, response in responses.items():
            headers = resolved(response)["headers"]
            assert resolved(headers["X-Request-Id"])["required"], (endpoint, status)
            assert status[0] != "2" or ({"RateLimit", "RateLimit-Policy"} <= headers.keys()) is not requirement.public, (endpoint, status)


def test_every_operation_that_is_carried_out_once_takes_a_key_for_it(app: Flask) -> None:  # noqa: F811
    idempotent = {endpoint for endpoint, operation in endpoints(app) if ref("IdempotencyKey") in operation.get("parameters", [])}
    assert idempotent == {endpoint for endpoint, _ in endpoints(app) if hasattr(app.view_functions[endpoint], "idempotent")}
    for endpoint, operation in endpoints(app):
        assert endpoint not in idempotent or {"400", "409", "422"} <= operation["responses"].keys(), endpoint


def ref(name: str) -> dict[str, str]:
    return {"$ref": f"#/components/parameters/{name}"}


def _in_words(method: str, path: str) -> set[str]:
    """The failures that are pages for a browser."""
    if path in ("/form", "/form/sheet", "/measure"):
        return {"400", "404", "409", "411", "413", "415", "422", "429", "500", "503"}
    if (method, path) == ("POST", "/v1/quotes/{id}/reply"):
        return {"401", "409", "412", "422", "429", "500", "503"}
    return {"401", "429", "500", "503"} if method == "GET" and path in ("/v1/quotes/{id}", "/v1/quotes/{id}/reply") else set()


def test_every_failure_listed_is_a_problem() -> None:
    for method, path, operation in operations():
        for status, response in operation["responses"].items():
            content = resolved(response).get("content", {})
            too = ["text/html"] if status in _in_words(method, path) else []  # for who opens it in a browser
            assert int(status) < 400 or list(content) == ["application/problem+json", *too], (method, path, status)

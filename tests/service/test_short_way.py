"""The compiled fast path agrees with the schemas on everything: the same request, or a refusal by both."""

from __future__ import annotations

import copy
import json
import random
from collections.abc import Iterator
from dataclasses import fields
from typing import Any

import pytest
from marshmallow import ValidationError

from pricing.measurement import assembly as engine
from pricing.measurement.assembly import QuoteRequest
from service.demo import demo_names, demo_request
from service.schemas.assemblies import AssemblySchema, MeasurementSchema, SettingSchema, StopSchema, TurnbuckleSchema, WireSchema
from service.schemas.compiler import Fallback, compiled
from service.schemas.ends import BoatFittingSchema, EndSchema, LinkSchema
from service.schemas.measured import (
    DeflectionTestSchema,
    OldTurnbuckleSchema,
    OwnLinkSchema,
    OwnTerminalSchema,
    OwnTurnbuckleSchema,
    ThreadReadingSchema,
)
from service.schemas.request import SHAPE, BoatSchema, CustomerSchema, QuoteRequestSchema, load, load_by_marshmallow
from service.schemas.schema import RequestSchema
from tests.counts import some
from tests.service.contract import validator

ROUNDS = some(4_000, 160)
FULL: dict[str, Any] = {
    "assemblies": [
        {
            "tag": "A", "role": "cap_shroud", "side": "port", "mast": "mizzen", "quantity": 2, "furled": True, "sheave_diameter": "80 mm", "wire_age_years": 12,
            "deflection_test": {"span": "2 m", "deflection": "45 mm", "force": "50 N"}, "note": "two\nlines",
            "wire": {"construction": "1x19", "diameter": {"value": "4", "unit": "mm"}, "material": "316"},
            "old_wire": {"construction": "7x7", "diameter": "5/32 in"}, "everyday_tension": "1.5 kN",
            "upper": {"terminal": "ball", "attachment": "swage", "sku": "X", "pin": "8 mm", "old_pin": "7 mm", "boat_hole": "as_is", "reuse": False},
            "lower": {"terminal": "stud", "attachment": "swage", "thread": "3/8-24 UNF", "hand": "left", "links": ["toggle", {"kind": "shackle", "pin": "8 mm", "dimensions": {"length": "30 mm", "inner_hole": "9 mm", "hole": "9 mm", "within": "1 mm"}}],
                "measured_pin": "9.4 mm", "measured_thread": {"diameter": "9.5 mm", "threads": 12, "over": "1/2 in"},
                "dimensions": {"reach": "60 mm", "depth": "40 mm", "hole": "9 mm", "tip": "5 mm", "jaw": "8 mm", "thread_length": "50 mm", "plain_tip": "0 mm", "within": "1 mm"},
            },
            "turnbuckle": {
                "body": "tubular", "thread": "M8x1.25", "hand": "right", "upper_end": "eye", "lower_end": "fork", "pin": "8 mm", "inner_pin": "8 mm",
                "reuse": False, "at": "lower", "build_at": "centred", "like_for_like": True, "sku": "T",
                "measured_pin": "9.4 mm", "measured_thread": {"diameter": "9.5 mm", "threads": 12, "over": "1/2 in"},
                "dimensions": {"body": "4 in", "thread_length": "50 mm", "runout": "20 mm", "plain_tip": "0 mm", "locknut": "5 mm", "within": "1 mm"},
                "old": {"stud_thread_length": "2 in", "body": "4 in", "runout": "20 mm"},
                "setting": {"upper_exposed": "0 mm", "lower_exposed": "12 mm", "recorded_with": "pen_mark", "read_from": "locknut"},
            },
            "measurement": {
                "readings": ["9568 mm", "9.569 m"], "includes_turnbuckle": False, "includes_links": True, "support": "hung", "rig_setting": "slack",
                "upper_datum": "ball_centre", "lower_datum": "stud_tip", "temperature": "18 degC", "wire_temperature": "64 degF",
                "tape_temperature": "-5 °C", "tape_material": "steel", "tape_class": "II", "resolution": "1 mm", "pull": "100 N", "tape_pull": "50 N",
                "tape_standard_pull": "50 N", "tape_area": "2.6 mm2", "tape_on_wire": False, "tape_weight": "14 g/m",
                "hung_as": "level", "tape_start": "hook", "tension": "2 kN", "tension_within": "500 N", "pull_within": "10 N", "temperature_within": "3 K",
                "tape_comparison": {"marked": "5 m", "true": "5001 mm", "within": "1 mm", "temperature": "20 degC", "pull": "50 N"},
            },
            "stops": [{"kind": "ball", "from": "upper", "position": "4 3/8 in", "bears_toward": "lower", "ball": "12 mm", "slot": "5 mm"}],
        },
        {
            "tag": "B", "role": "pennant", "wire": {"construction": "7x19", "measured": "4.1 mm", "coated": True}, "upper": {"terminal": "thimble_eye"},
            "lower": {"terminal": "none", "leave": "300 mm"}, "measurement": {"readings": ["31 ft 4 5/16 in"]},
        },
    ],
    "boat": {"name": "Kittiwake", "length_overall": "8.4 m"},
    "customer": {"name": "Ann", "reference": "7", "email": "ann@example.org", "address": {"street": "3 Quay", "country": "US"}},
    "display_units": "imperial", "price_list": "retail", "delivery": "ship", "note": "n",
}  # fmt: skip
VALUES: tuple[Any, ...] = (
    None, True, False, 0, 1, 2, 5.0, 1.5, -1, 10**18, 1e300, "", " ", "x", "US", "0 mm", "8 mm", "9,568 mm", "9568", "3/8 in", "18 degC", "50 N", "toggle", "shackle",
    "none", "thimble_eye", "fork", "stud", "swage", "sleeve", "upper", "lower", "pin_centre", "stud_tip", "A", "B", "a\0b", "x" * 41, "é\u2028",
    [], {}, [None], ["8 mm"], ["toggle"], {"value": "5", "unit": "mm"}, {"value": 5, "unit": "mm"}, {"value": "5"}, {"kind": "toggle"}, [{}], {"terminal": "none"},
)  # fmt: skip


def spots(value: Any) -> Iterator[tuple[Any, Any]]:
    """Every (container, key) in a value."""
    keys = list(value) if isinstance(value, dict) else range(len(value)) if isinstance(value, list) else ()
    for key in keys:
        yield value, key
        yield from spots(value[key])


def mutated(start: dict[str, Any], chance: random.Random) -> Any:
    """A copy with one to three changes: a value replaced, removed, moved, doubled or added."""
    made = copy.deepcopy(start)
    for _ in range(chance.randint(1, 3)):
        container, key = chance.choice(list(spots(made)) or [({"": 0}, "")])
        kind = chance.random()
        if kind < 0.55:
            container[key] = copy.deepcopy(chance.choice(VALUES))
        elif kind < 0.75:
            del container[key]
        elif kind < 0.85:
            other, place = chance.choice(list(spots(start)))
            container[key] = copy.deepcopy(other[place])
        elif isinstance(container, list):
            container.append(copy.deepcopy(chance.choice([*container, *VALUES])))
        else:
            container[chance.choice(["extra", "pin", "links", "leave", "kind", "note", "tag"])] = copy.deepcopy(chance.choice(VALUES))
    return made


def _short(value: Any) -> QuoteRequest | None:
    try:
        found: QuoteRequest = compiled(SHAPE)(value)
    except (Fallback, ValidationError):
        return None
    return found


def test_thousands_of_damaged_requests_are_read_alike_or_refused_by_both() -> None:
    chance = random.Random(20261125)
    starts = [FULL, *(json.loads(demo_request(name)) for name in demo_names())]
    read = 0
    short_way = compiled(SHAPE)
    schema = validator("QuoteRequest")
    for number in range(ROUNDS):
        value = mutated(starts[number % len(starts)], chance)
        untouched = copy.deepcopy(value)
        try:
            short = short_way(value)
        except (Fallback, ValidationError):
            short = None
        long = load_by_marshmallow(value)
        assert value == untouched, "reading changed the request"
        if isinstance(long, QuoteRequest):
            read += 1
            assert short == long, value
            assert type(short) is QuoteRequest
            assert number % 8 or schema.is_valid(value), ("read, though the contract refuses it", value)
        else:
            assert short is None, (value, long)
            assert long
    assert ROUNDS / 20 < read < ROUNDS * 19 / 20  # both kinds were met often


def test_a_full_request_is_read_the_short_way(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("service.schemas.request.load_by_marshmallow", lambda _: pytest.fail("the long way was taken"))
    for value in (FULL, *(json.loads(demo_request(name)) for name in demo_names())):
        assert isinstance(load(value), QuoteRequest)


SCHEMAS: tuple[type[RequestSchema], ...] = (
    QuoteRequestSchema, BoatSchema, CustomerSchema, AssemblySchema, WireSchema, EndSchema, BoatFittingSchema, LinkSchema, TurnbuckleSchema, SettingSchema, MeasurementSchema, StopSchema,
    ThreadReadingSchema, OwnTerminalSchema, OwnLinkSchema, OwnTurnbuckleSchema, OldTurnbuckleSchema, DeflectionTestSchema,
)  # fmt: skip
NOT_SENT = {"WireSpec": {"size"}, "Measurement": {"inches", "written"}}


@pytest.mark.parametrize("schema", SCHEMAS, ids=lambda schema: schema.__name__)
def test_a_request_can_say_all_that_the_engine_reads_and_nothing_else(schema: type[RequestSchema]) -> None:
    names = {field.name for field in fields(schema.made)} - NOT_SENT.get(schema.made.__name__, set())
    assert set(schema().fields) == names


def test_the_words_of_a_request_are_the_engines(monkeypatch: pytest.MonkeyPatch) -> None:
    choices = {field.accepted for schema in SCHEMAS for field in schema().fields.values() if hasattr(field, "accepted")}
    words = {value for name, value in vars(engine).items() if name.isupper() and isinstance(value, tuple)}
    assert words <= choices

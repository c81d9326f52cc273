"""Damaged requests, most of them still readable, never make the service fail; every response conforms to the contract."""

from __future__ import annotations

import copy
import json
import random
from typing import Any

from flask.testing import FlaskClient

from service.demo import demo_names, demo_request
from tests.counts import some
from tests.service.test_short_way import FULL, mutated, spots

ROUNDS = some(250, 40)
SIZES = ("0.5 mm", "1000 m", "0.01 mm", "3/8 in", "8 mm", "2 m", "4 mm", "31 ft 4 in", "0 mm")
WORDS: dict[str, tuple[Any, ...]] = {
    "terminal": ("fork", "eye", "tee", "stud", "ball", "toggle", "thimble_eye", "none"), "attachment": ("swage", "compression", "sleeve"),
    "construction": ("1x19", "compacted_1x19", "7x7", "7x19"), "hand": ("left", "right"), "body": ("open", "tubular"), "at": ("upper", "lower"),
    "build_at": ("as_recorded", "centred"), "support": ("flat", "hung", "aboard", "pattern"), "thread": ("3/8-24 UNF", "M8x1.25", "none"),
    "pull": ("0.001 N", "9000 kN"), "temperature": ("-60 degC", "80 degC"), "quantity": (1, 999), "delivery": ("ship", "collect"),
}  # fmt: skip


def bent(start: dict[str, Any], chance: random.Random) -> dict[str, Any]:
    """A copy with other words and sizes in one to six places, and now and then something left out."""
    made = copy.deepcopy(start)
    made["assemblies"] = chance.sample(made["assemblies"], min(3, len(made["assemblies"])))
    for _ in range(chance.randint(1, 6)):
        container, key = chance.choice(list(spots(made)))
        value = container[key]
        if key in WORDS:
            container[key] = chance.choice(WORDS[key])
        elif isinstance(value, bool):
            container[key] = not value
        elif isinstance(value, str) and value.endswith((" mm", " in", " m")):
            container[key] = chance.choice(SIZES)
        elif chance.random() < 0.3:
            del container[key]
    return made


def test_no_damaged_request_makes_the_service_fail(client: FlaskClient) -> None:
    chance = random.Random(6)
    starts = [FULL, *(json.loads(demo_request(name)) for name in demo_names())]
    answered = {200: 0, 422: 0}
    for number in range(ROUNDS):
        damage = mutated if number % 4 == 0 else bent
        value = damage(chance.choice(starts), chance)
        answer = client.post("/v1/quotes/preview", data=json.dumps(value), content_type="application/json")
        assert answer.status_code in answered, (answer.status, value)
        answered[answer.status_code] += 1
    assert min(answered.values()) > ROUNDS / 5

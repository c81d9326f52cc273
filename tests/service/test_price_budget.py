"""How much planning a request may cost before it is priced: limits on wires and on steps."""

from __future__ import annotations

from random import Random
from typing import Any

import pytest
from flask.testing import FlaskClient

from service.schemas.request import MOST_PIECES
from tests.yardstick import at_most


def request_of(ends: int, quantity: int, seed: int = 1) -> dict[str, Any]:
    """Long shrouds of a wire that the demo shop buys for the job; invented, no boat has such."""
    rng = Random(seed)
    wire = {"construction": "1x19", "material": "316", "diameter": "12 mm"}
    fork, eye = ({"terminal": name, "attachment": "swage"} for name in ("fork", "eye"))
    return {
        "assemblies": [
            {
                "tag": f"T{n}", "role": "cap_shroud", "wire": wire, "upper": fork, "lower": eye, "quantity": quantity,
                "measurement": {"readings": [f"{rng.randint(20_000, 900_000) / 10} mm"], "support": "flat", "rig_setting": "everyday"},
            }
            for n in range(ends)
        ]
    }  # fmt: skip


@pytest.mark.long
def test_a_preview_of_200_ends_on_one_wire_is_priced_in_time_and_says_what_was_not_shown(client: FlaskClient) -> None:
    """It took 231 s, some 7,000 times the yardstick; 30 times are meant. What is said has the share that another plan might save."""
    answer = at_most(200, lambda: client.post("/v1/quotes/preview", json=request_of(200, 9)))
    assert answer.status_code == 200
    (said,) = [each for each in answer.json["findings"] if each["code"] == "cheapest-lengths-not-shown"]
    assert (said["severity"], set(said["values"])) == ("note", {"wire", "saved"})
    assert 0 < float(said["values"]["saved"]["value"]) < 100


def test_a_boat_s_wires_say_nothing_of_that_and_cost_the_same_each_time(client: FlaskClient) -> None:
    first, second = (client.post("/v1/quotes/preview", json=request_of(12, 1)).json for _ in range(2))
    assert "cheapest-lengths-not-shown" not in {each["code"] for each in first["findings"]}
    assert first["lines"] == second["lines"]


def test_more_wires_than_a_quote_is_made_for_are_refused_at_the_assembly_that_goes_beyond(client: FlaskClient) -> None:
    """By hand: 10 times 999 is 9,990, and the eleventh assembly makes it 10,989."""
    answer = client.post("/v1/quotes/preview", json=request_of(12, 999))
    assert answer.status_code == 422
    assert [(each["pointer"], each["code"]) for each in answer.json["errors"]] == [("#/assemblies/10/quantity", "too_many_pieces")]
    assert f"{MOST_PIECES}" in answer.json["errors"][0]["detail"]

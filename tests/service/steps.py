"""Steps that a quote goes through before its wire is cut, by the calls of the API."""

from __future__ import annotations

from typing import Any

from flask.testing import FlaskClient

Json = dict[str, Any]
MOST_AT_ONCE = 200  # SettlementOrders of openapi.yaml
WORDS = {"words": "Asked by telephone: as written.", "by": "Jo Marsh"}


def settled(client: FlaskClient, quote: Json) -> Json:
    """The quote with all that it asks settled."""
    at = f"/v1/quotes/{quote['id']}"
    asked = client.get(f"{at}/settlements").json["open"]
    answers = [{**{name: each[name] for name in ("tag", "code", "pointer") if each[name]}, **WORDS} for each in asked]
    for start in range(0, len(answers), MOST_AT_ONCE):
        done = client.post(f"{at}/settlements", json={"settlements": answers[start : start + MOST_AT_ONCE]})
        assert done.status_code == 201, done.json
    found: Json = client.get(at).json
    return found


def accepted(client: FlaskClient, quote: Json) -> Json:
    """The quote settled and accepted."""
    settled(client, quote)
    at = f"/v1/quotes/{quote['id']}"
    tag = client.get(at).headers["ETag"]
    done = client.post(f"{at}/acceptance", json={"customer": {"name": "Pelican Reach Sailing School"}}, headers={"If-Match": tag})
    assert done.status_code == 200, done.json
    found: Json = done.json
    return found

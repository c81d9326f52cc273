"""What stands at the desk of a shop at work: tables with something that is doubted, and a fleet with a boat that differs."""

from __future__ import annotations

from pricing.catalogue import DEMO_FOLDER
from service.engine.catalogues import files_of
from service.storage import Editions
from tests.batches.fleet import boat, ndjson, worked
from tests.service.conftest import DAY, KEY

WITH_KEY = {"Authorization": f"Bearer {KEY}"}


def trial(desk):
    """An edition with a tax that is doubted, so that its page has everything."""
    quotes = desk.app.extensions["quotes"]
    tables = files_of(DEMO_FOLDER)
    edition = desk.app.extensions["catalogues"].current().key
    Editions(quotes).put_in_force(edition, tables, DAY)
    sent = {"files": {"tax.csv": tables["tax.csv"].replace("wire,S,2026-01-01,7,", "wire,S,2026-01-01,0.19,")}, "base": edition.id}
    made = desk.app.test_client().post("/v1/tables", json=sent, headers=WITH_KEY)
    assert made.json["doubts"], made.json
    return f"/desk/tables/{made.json['edition']['id']}?from={DAY}"


def fleet(desk):
    """Four sisters, one that was measured a hundred feet longer, and one that cannot be read."""
    wrong = boat("HULL-9")
    measured = wrong["assemblies"][0]["measurement"]
    measured["readings"] = [f"1{each}" for each in measured["readings"]]
    lines = ndjson(*(boat(f"HULL-{each}") for each in range(4)), wrong, {"custom_id": "HULL-X", "assemblies": []})
    made = desk.app.test_client().post("/v1/batches", data=lines, headers={**WITH_KEY, "Content-Type": "application/x-ndjson"})
    assert made.status_code == 202, made.json
    worked(desk.app, desk.app.extensions["quotes"])
    return f"/desk/fleets/{made.json['id']}"

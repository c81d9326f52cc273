"""What the shop pays is shown to its owner alone: every cell of purchases.csv holds a mark, and counter and bench ask for every address of the desk."""

from __future__ import annotations

import re
from collections.abc import Iterator
from io import BytesIO
from pathlib import Path
from typing import Any

import pytest
from flask import Flask

from service.credentials.people import Role
from service.desk.quote import PAPERS
from service.engine.catalogues import files_of
from service.engine.engine import Engine
from service.storage import Editions, Quotes
from tests.counts import THOROUGH
from tests.desk.colleague import BROWSER, Colleague
from tests.desk.test_roles import token_of
from tests.service.conftest import DAY, made_app
from tests.service.test_purchases_hidden import folder, marked, marks_in, work_through

__all__ = ["folder", "marked"]
Json = dict[str, Any]


@pytest.fixture
def desk(marked: Engine, folder: Path, quotes: Quotes) -> Flask:
    """The desk over tables with the marks."""
    Editions(quotes).put_in_force(marked.key, files_of(folder), DAY)
    return made_app(marked, quotes, desk=True)


def addresses(desk: Flask, ids: Json) -> Iterator[str]:
    """Everything of the desk that can be read."""
    for rule in desk.url_map.iter_rules():
        if not rule.rule.startswith("/desk") or "GET" not in (rule.methods or ()):
            continue
        path = rule.rule
        for name, value in ids.items():
            path = re.sub(f"<([a-z]+:)?{name}>", value, path)
        for paper in PAPERS if "<paper>" in path else ("",):
            if THOROUGH or not paper.endswith(".pdf"):  # a second each to set and to read
                yield path.replace("<paper>", paper)


def test_no_page_file_or_refusal_tells_counter_or_bench_what_the_shop_pays(
    desk: Flask, folder: Path, quotes: Quotes, caplog: pytest.LogCaptureFixture
) -> None:
    ids, _ = work_through(desk.test_client(), desk, quotes)
    (edition,) = [each["id"] for each in desk.test_client().get("/v1/tables").json["editions"]]
    ids |= {"edition": edition, "name": "purchases.csv"}
    people = {role: Colleague(desk, role) for role in Role}
    told: dict[str, set[str]] = {}
    read = 0
    for role in (Role.COUNTER, Role.BENCH):
        for path in addresses(desk, ids):
            if "/labels/" in path and not THOROUGH:
                continue
            answer = people[role].client.get(path, headers={**BROWSER, "Accept": "*/*"})
            read += answer.status_code == 200
            told[f"{role} {path}"] = marks_in(answer.data + str(answer.headers).encode())
        for path, fields in sent(ids, folder, token_of(people[role])):
            answer = people[role].client.post(path, data=fields, headers={**BROWSER, "Origin": "http://localhost"})
            told[f"{role} POST {path}"] = marks_in(answer.data + str(answer.headers).encode())
    assert read > 30
    assert {path: found for path, found in told.items() if found} == {}
    assert marks_in(caplog.text) == set()
    for path in ("/desk/what-to-buy.csv", f"/desk/tables/{edition}/files/purchases.csv"):
        assert marks_in(people[Role.OWNER].client.get(path, headers={**BROWSER, "Accept": "*/*"}).data) >= {"sillabub", "sill-order"}


def sent(ids: Json, folder: Path, token: str) -> Iterator[tuple[str, Json]]:
    """What would show them if it were done, or in its refusal."""
    faulty = (folder / "purchases.csv").read_bytes().replace(b"yes", b"perhaps")
    at = f"/desk/quotes/{ids['quote_id']}"
    yield "/desk/tables", {"form": token, "files": (BytesIO(faulty), "purchases.csv")}
    yield f"/desk/tables/{ids['edition']}/in-force", {"form": token, "from": DAY.isoformat()}
    yield "/desk/terms", {"form": token, "value-minimum_order": "1"}
    yield "/desk/stock/file", {"form": token, "file": (BytesIO(faulty), "purchases.csv"), "others": "kept"}
    yield "/desk/fleets", {"form": token, "boats": (BytesIO(faulty), "purchases.csv")}
    yield "/desk/bench/plans", {"form": token, f"quote-{ids['quote_id']}": "on"}
    yield f"{at}/lines", {"form": token, "text-0": "Sail", "quantity-0": "1", "unit_price-0": "1", "tax-0": "Z"}
    yield f"{at}/hand-over", {"form": token}
    yield f"{at}/cancel", {"form": token, "reason": "Asked twice."}

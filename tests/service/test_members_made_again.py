"""Quotes stored before their documents said where each member lies are drawn and built from as on the day they were issued."""

from __future__ import annotations

import json
from pathlib import Path
from typing import Any

from flask import Flask
from sqlalchemy import select, update

from service.encoding.gzip import pack, unpack
from service.engine.catalogues import files_of
from service.engine.engine import Engine, engine_of
from service.settings import Settings
from service.storage import Editions, Quotes
from service.storage.tables import quotes as table
from tests.service.conftest import DAY, made_app
from tests.service.shops import dearer, shop


def as_before(quotes: Quotes, quote_id: str) -> None:
    """Take from a stored quote what earlier releases did not tell, and name what they named otherwise as they did."""
    with quotes.writing() as connection:
        packed = connection.execute(select(table.c.document).where(table.c.id == quote_id)).scalar_one()
        document = json.loads(unpack(packed))
        for assembly in document["assemblies"]:
            del assembly["ends"], assembly["free_wire"]
            assembly["wire"]["break_kn"] = assembly["wire"].pop("break_kN")
            assembly["derivation"] = [
                {name: line[name] for name in ("step", "mm", "source", "formula", "inputs")} for line in assembly["derivation"]
            ]
        connection.execute(update(table).where(table.c.id == quote_id).values(document=pack(json.dumps(document).encode())))


def papers(app: Flask, made: dict[str, Any]) -> tuple[bytes, dict[str, Any]]:
    client = app.test_client()
    drawn = client.get(f"/v1/quotes/{made['id']}/assemblies/{made['assemblies'][0]['tag']}/drawing").data
    sheet = client.get(f"/v1/quotes/{made['id']}/bench-sheet", headers={"Accept": "application/json"}).json
    return drawn, sheet


def test_members_are_made_again_from_the_quotes_own_tables(engine: Engine, quotes: Quotes, demo: dict[str, Any], tmp_path: Path) -> None:
    Editions(quotes).put_in_force(engine.key, files_of(shop(tmp_path / "then")))
    app = made_app(engine, quotes)
    made = app.test_client().post("/v1/quotes", json=demo).json
    drawn, sheet = papers(app, made)
    assert any(each["build"] for each in sheet["assemblies"])
    as_before(quotes, made["id"])
    assert papers(app, made) == (drawn, sheet)


def test_without_its_tables_nothing_is_guessed(engine: Engine, quotes: Quotes, demo: dict[str, Any], tmp_path: Path) -> None:
    app = made_app(engine, quotes)
    made = app.test_client().post("/v1/quotes", json=demo).json
    as_before(quotes, made["id"])
    changed = made_app(engine_of(dearer(tmp_path / "now"), Settings(today=DAY)), quotes)
    drawn, sheet = papers(changed, made)
    assert b"</svg>" in drawn
    assert [each["build"] for each in sheet["assemblies"]] == [None] * len(sheet["assemblies"])
    assert "members-not-told" in {reason["code"] for each in sheet["assemblies"] for reason in each["do_not_cut"]}

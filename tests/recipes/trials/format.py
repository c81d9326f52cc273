"""The invented format: asked for by name and by media type, cached, saved, and shown in the gallery."""

from __future__ import annotations

from pathlib import Path
from typing import Any

from flask.testing import FlaskClient

from tests.service.conftest import Command


def test_a_quote_is_had_in_it(client: FlaskClient, demo: dict[str, Any]) -> None:
    made = client.post("/v1/quotes", json=demo)
    at, quote = made.headers["Location"], made.json
    named, accepted = client.get(f"{at}?format=markdown"), client.get(at, headers={"Accept": "text/markdown"})
    assert named.mimetype == accepted.mimetype == "text/markdown"
    assert named.data == accepted.data
    assert named.text.splitlines()[4:] == [f"| {line['name']} | {line['net']} |" for line in quote["lines"]]
    assert named.headers["Content-Disposition"] == 'attachment; filename="Q-2026-000001-1.md"'
    again = client.get(f"{at}?format=markdown", headers={"If-None-Match": named.headers["ETag"]})
    assert (again.status_code, again.data) == (304, b"")


def test_it_is_among_what_is_offered(client: FlaskClient, demo: dict[str, Any]) -> None:
    at = client.post("/v1/quotes", json=demo).headers["Location"]
    refused = client.get(at, headers={"Accept": "image/png"})
    assert (refused.status_code, "text/markdown" in refused.headers["Accept"].split(", ")) == (406, True)


def test_the_gallery_shows_it(command: Command, tmp_path: Path) -> None:
    assert command("gallery", str(tmp_path / "gallery")) == 0
    (index,) = (tmp_path / "gallery").glob("index.html")
    assert "Its priced lines in Markdown" in index.read_text(encoding="utf-8")
    assert len([*(tmp_path / "gallery").glob("*/quote-markdown.md")]) == 3

"""The quotation over HTTP: its language, its policy, its tags, and who may read it."""

from __future__ import annotations

import io
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from pypdf import PdfReader

from service.settings import Settings
from service.storage import Quotes
from tests.service.holders import link_to
from tests.service.test_access import bare
from tests.service.test_pdfs import needs_pango


@pytest.fixture
def at(client: FlaskClient, demo: dict[str, Any]) -> str:
    location: str = client.post("/v1/quotes", json=demo).headers["Location"]
    return location


def test_the_page_is_in_the_language_asked_for(client: FlaskClient, at: str) -> None:
    answers = {
        "en": [client.get(f"{at}?format=html"), client.get(at, headers={"Accept": "text/html", "Accept-Language": "fr, en;q=0.3"})],
        "de": [client.get(f"{at}?format=html&lang=de"), client.get(f"{at}?format=html", headers={"Accept-Language": "de-AT, en;q=0.5"})],
    }
    for language, both in answers.items():
        for answer in both:
            assert (answer.status_code, answer.mimetype) == (200, "text/html")
            assert answer.headers["Content-Language"] == language
            assert "Accept-Language" in answer.headers["Vary"]
            assert f'<html lang="{language}">' in answer.text
        assert both[0].headers["ETag"] == both[1].headers["ETag"]
    assert answers["en"][0].headers["ETag"] != answers["de"][0].headers["ETag"]


def test_a_language_that_it_is_not_written_in_is_refused_by_name(client: FlaskClient, at: str) -> None:
    answer = client.get(f"{at}?format=html&lang=tlh")
    assert answer.status_code == 422
    assert "en and de" in answer.text


def test_the_page_runs_nothing_and_is_not_made_again_for_who_has_it(client: FlaskClient, at: str) -> None:
    answer = client.get(f"{at}?format=html")
    policy = answer.headers["Content-Security-Policy"]
    assert "default-src 'none'" in policy
    assert "script-src" not in policy
    assert "unsafe" not in policy
    assert client.get(f"{at}?format=html", headers={"If-None-Match": answer.headers["ETag"]}).status_code == 304


def test_a_customer_reads_it_by_the_link(app: Flask, quotes: Quotes, at: str) -> None:
    quote_id = at.rsplit("/", 1)[1]
    token = link_to(quotes, quote_id)
    app.extensions["keyring"]._ring = None
    answer = bare(app).get(f"{at}?format=html&token={token}")
    assert answer.status_code == 200
    assert answer.headers["Cache-Control"] == "no-store"
    assert token not in answer.text


@needs_pango
def test_the_pdf_is_kept_by_language(client: FlaskClient, at: str) -> None:
    for language, word in (("en", "Quotation"), ("de", "Angebot"), ("en", "Quotation")):
        answer = client.get(f"{at}?format=pdf&lang={language}")
        assert (answer.status_code, answer.mimetype, answer.headers["Content-Language"]) == (200, "application/pdf", language)
        assert PdfReader(io.BytesIO(answer.data)).pages[0].extract_text().count(word) >= 1


def test_the_shops_holidays_are_a_setting() -> None:
    from service.settings import SettingsError, read_settings

    assert read_settings({"SERVICE_HOLIDAYS": "US-RI"}).holidays == "US-RI"
    assert Settings().holidays is None
    with pytest.raises(SettingsError, match="SERVICE_HOLIDAYS"):
        read_settings({"SERVICE_HOLIDAYS": "Atlantis"})

"""The quotation over HTTP: its language, its policy, its tags, and who may read it."""

from __future__ import annotations

import io
from dataclasses import replace
from typing import Any

import pytest
from flask import Flask
from flask.testing import FlaskClient
from pypdf import PdfReader

from service.settings import Settings, SettingsError, read_settings
from service.storage import Quotes
from tests.service.holders import link_to
from tests.service.test_access import bare


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
    answer = bare(app).get(f"{at}?format=html&token={token}", headers={"Accept-Encoding": "gzip"})
    assert answer.status_code == 200
    assert answer.headers["Cache-Control"] == "no-store"
    assert token in answer.text  # where its forms go: so it is not compressed, beside words of others
    assert "Content-Encoding" not in answer.headers
    assert app.test_client().get(f"{at}?format=html", headers={"Accept-Encoding": "gzip"}).headers["Content-Encoding"] == "gzip"


def test_the_pdf_is_in_the_language_asked_for(client: FlaskClient, demo: dict[str, Any]) -> None:
    at = client.post("/v1/quotes", json={**demo, "assemblies": demo["assemblies"][:1]}).headers["Location"]
    for language, word in (("en", "Quotation"), ("de", "Angebot"), ("en", "Quotation")):
        answer = client.get(f"{at}?format=pdf&lang={language}")
        assert (answer.status_code, answer.mimetype, answer.headers["Content-Language"]) == (200, "application/pdf", language)
        assert PdfReader(io.BytesIO(answer.data)).pages[0].extract_text().count(word) >= 1


def test_the_address_of_the_service_is_a_setting_and_part_of_what_a_page_is_made_of(app: Flask, client: FlaskClient, at: str) -> None:
    before = client.get(f"{at}?format=html")
    assert f'href="{at}"' in before.text
    app.extensions["settings"] = replace(app.extensions["settings"], base_url="https://shop.example")
    after = client.get(f"{at}?format=html")
    assert f'href="https://shop.example{at}"' in after.text
    assert before.headers["ETag"] != after.headers["ETag"]
    assert read_settings({"SERVICE_BASE_URL": "https://shop.example/quotes/"}).base_url == "https://shop.example/quotes"
    for wrong in ("shop.example", "javascript:alert(1)", 'https://x/"><script>', "ftp://x", "https://user@x"):
        with pytest.raises(SettingsError, match="SERVICE_BASE_URL"):
            read_settings({"SERVICE_BASE_URL": wrong})


def test_the_shops_holidays_are_a_setting() -> None:
    assert read_settings({"SERVICE_HOLIDAYS": "US-RI"}).holidays == "US-RI"
    assert Settings().holidays is None
    with pytest.raises(SettingsError, match="SERVICE_HOLIDAYS"):
        read_settings({"SERVICE_HOLIDAYS": "Atlantis"})

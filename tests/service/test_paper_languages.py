"""The language of a paper over HTTP: the one asked for, otherwise the most preferred one, otherwise the quote's own."""

from __future__ import annotations

import json

import pytest
from flask import Flask
from flask.testing import FlaskClient

from service.demo import demo_names, demo_request

PAPERS = {
    "": ("text/html", "Angebot Q-", "Quotation Q-"),
    "/bench-sheet": ("text/html", "Draht ablängen auf", "Cut the wire to"),
    "/rig-sheet": ("image/svg+xml", "BEREIT ZUM ABLÄNGEN", "READY TO CUT"),
    "/assemblies/CAP-P/drawing": ("image/svg+xml", "Schnittlänge des Drahts", "Cut length of the wire"),
    "/cutting-plan": ("image/svg+xml", "Schnittplan: ", "Cutting plan: "),
}


@pytest.fixture(scope="module")
def app(one_app: Flask) -> Flask:
    return one_app


@pytest.fixture(scope="module")
def made(app: Flask) -> dict[str, str]:
    """Where a quote in each language stands."""
    asked = json.loads(demo_request(demo_names()[0]))
    return {each: app.test_client().post("/v1/quotes", json={**asked, "language": each}).headers["Location"] for each in ("en", "de")}


@pytest.mark.parametrize("paper", PAPERS)
@pytest.mark.parametrize(
    ("own", "lang", "accepted", "said"),
    [
        ("en", None, None, "en"), ("de", None, None, "de"), ("de", None, "fr", "de"), ("de", None, "en-GB", "en"), ("en", None, "de-AT, en;q=0.5", "de"),
        ("en", "de", "en", "de"), ("de", "en", "de", "en"),
    ],
)  # fmt: skip
def test_the_language_asked_for_goes_before_the_preferred_and_the_quotes_own(
    client: FlaskClient, made: dict[str, str], paper: str, own: str, lang: str | None, accepted: str | None, said: str
) -> None:
    media, german, english = PAPERS[paper]
    headers = {"Accept": media} | ({} if accepted is None else {"Accept-Language": accepted})
    answer = client.get(f"{made[own]}{paper}{f'?lang={lang}' if lang else ''}", headers=headers)
    assert answer.headers["Content-Language"] == said
    assert "Accept-Language" in answer.headers["Vary"]
    assert (german if said == "de" else english) in answer.text
    assert (english if said == "de" else german) not in answer.text


@pytest.mark.parametrize("paper", PAPERS)
def test_a_language_that_is_not_spoken_is_refused_and_each_has_a_tag_of_its_own(
    client: FlaskClient, made: dict[str, str], paper: str
) -> None:
    at, headers = f"{made['en']}{paper}", {"Accept": PAPERS[paper][0]}
    refused = client.get(f"{at}?lang=fr", headers=headers)
    assert (refused.status_code, refused.json["errors"][0]["code"]) == (422, "unknown_language")
    tags = [client.get(f"{at}?lang={each}", headers=headers).headers["ETag"] for each in ("en", "de")]
    assert tags[0] != tags[1]
    assert client.get(f"{at}?lang=de", headers={**headers, "If-None-Match": tags[1]}).status_code == 304


def test_a_plan_in_an_unknown_language_is_refused_before_it_is_stored(client: FlaskClient) -> None:
    order = {"wire": {"construction": "1x19", "material": "316", "diameter": "5 mm"}, "pieces": [{"length": "5.2 m"}]}
    before = client.get("/v1/cutting-plans").json["plans"]
    assert client.post("/v1/cutting-plans?lang=fr", json=order).status_code == 422
    assert client.get("/v1/cutting-plans").json["plans"] == before
    made = client.post("/v1/cutting-plans?lang=de&format=csv", json=order)
    assert made.headers["Content-Language"] == "de"
    assert "Draht 1x19" in made.text

"""The invented role of a bowsprit's shroud: quoted, judged, named and offered."""

from __future__ import annotations

from typing import Any

import pytest
from flask.testing import FlaskClient


def asked(**more: Any) -> dict[str, Any]:
    """A request for one such wire, to port."""
    fork = {"terminal": "fork", "attachment": "swage", "pin": "8 mm"}
    measured = {"readings": ["2214 mm", "2215 mm"], "support": "flat", "temperature": "20 degC", "rig_setting": "everyday"}
    wire = {"construction": "1x19", "material": "316", "diameter": "4 mm"}
    assembly = {
        "tag": "BOW-P",
        "role": "bowsprit_shroud",
        "side": "port",
        "wire": wire,
        "upper": fork,
        "lower": fork,
        "measurement": measured,
    }
    return {"boat": {"name": "Dunlin", "length_overall": "8 m"}, "display_units": "metric", "assemblies": [{**assembly, **more}]}


def codes(client: FlaskClient, **more: Any) -> set[str]:
    """What a preview finds."""
    answer = client.post("/v1/quotes/preview", json=asked(**more))
    assert answer.status_code == 200, answer.json
    return {each["code"] for each in [*answer.json["findings"], *answer.json["assemblies"][0]["findings"]]}


def test_it_is_judged_as_its_entry_says(client: FlaskClient) -> None:
    assert "partner-missing" in codes(client)  # one of a pair
    assert "shroud-at-centre" in codes(client, side="centre")
    long = ["20 m", "20 m"]  # 2.5 of the hull's 8 m: longer than any stay
    assert "length-implausible" in codes(client, measurement={"readings": long, "support": "flat"})
    thick = {"construction": "1x19", "material": "316", "diameter": "14 mm"}  # 1.75 mm to the metre: standing wire is thinner
    assert "wire-size-implausible" in codes(client, wire=thick)
    assert "number-not-used" in codes(client, number=1)


def test_papers_and_findings_name_it(client: FlaskClient) -> None:
    made = client.post("/v1/quotes", json=asked())
    assert (made.status_code, made.json["assemblies"][0]["role"]) == (201, "bowsprit_shroud")
    at = made.headers["Location"]
    assert "Bowsprit shroud, port" in client.get(f"{at}/assemblies/BOW-P/drawing").text
    assert "Bowsprit shroud" in client.get(f"{at}/rig-sheet").text
    assert "Bowsprit shroud" in client.get(f"{at}/bench-sheet?format=html").text
    assert "Bowsprit shroud" in client.get(f"{at}?format=html&lang=en").text
    assert "Bugspriet-Want" in client.get(f"{at}?format=html&lang=de").text
    german = client.post("/v1/quotes/preview", json={**asked(measurement={"readings": ["20 m"], "support": "flat"}), "language": "de"}).json
    assert "Bugspriet-Want" in str(german["assemblies"][0]["findings"])


@pytest.mark.parametrize(("language", "label"), [("en", "Bowsprit shroud"), ("de", "Bugspriet-Want")])
def test_the_form_offers_it(client: FlaskClient, language: str, label: str) -> None:
    questions = {each["path"]: each for each in client.get(f"/v1/form?lang={language}").json["questions"]}
    assert {"value": "bowsprit_shroud", "label": label} in questions["role"]["choices"]

"""Kinds of problem: every refusal names one, whose page explains it (RFC 9457, 3.1.1), and names the header or parameter at fault."""

from __future__ import annotations

import ast
import re
from collections.abc import Iterator
from http import HTTPStatus
from pathlib import Path
from typing import Any
from urllib.parse import quote

import pytest
from flask.testing import FlaskClient

from service.http.problem_types import DEFAULT_CODES, KINDS, code_of
from service.schemas import failure
from tests.service.contract import contract
from tests.service.test_access import bare

SERVICE = Path(__file__).parents[2] / "service"
QUOTE = "/v1/quotes/01a21202-0dfc-7812-9843-0e6a6544d0d4"


def refused(answer: Any, status: int, code: str) -> dict[str, Any]:
    assert (answer.status_code, answer.json["type"], answer.json["code"]) == (status, f"/problems/{code}", code), answer.text
    return answer.json["errors"][0] if answer.json["errors"] else {}


def test_every_kind_has_its_page_and_the_list_leads_to_all(client: FlaskClient) -> None:
    listed = client.get("/problems").get_data(as_text=True)
    assert set(re.findall(r'href="/problems/([a-z_]+)"', listed)) == KINDS.keys()
    for code, kind in KINDS.items():
        page = client.get(f"/problems/{code}")
        assert page.status_code == 200
        assert all(str(part).partition("`")[0] in page.get_data(as_text=True) for part in (kind.status, code))
    refused(client.get("/problems/no-such"), 404, "unknown_problem")


def test_a_program_reads_what_a_kind_means_as_json(client: FlaskClient) -> None:
    asked = {"Accept": "application/json"}
    listed = client.get("/problems", headers=asked)
    assert {each["code"] for each in listed.json["problems"]} == KINDS.keys()
    told = client.get("/problems/no_key", headers=asked)
    assert told.json == next(each for each in listed.json["problems"] if each["code"] == "no_key")
    assert (told.json["type"], told.json["status"]) == ("/problems/no_key", 401)
    assert "keys make" in told.json["remedy"]
    assert "Accept" in told.headers["Vary"]
    assert client.get("/problems/no_key", headers={"Accept": "text/html,*/*;q=0.8"}).mimetype == "text/html"
    refused(client.get("/problems/no_key", headers={"Accept": "image/png"}), 406, "not_acceptable")


def test_what_a_remedy_says_that_a_quote_has_it_has() -> None:
    (_, own) = contract()["components"]["schemas"]["Quote"]["allOf"]
    told = {named for kind in KINDS.values() for named in re.findall(r"Read the quote: `(\w+)`", kind.remedy)}
    assert told == {"status"}
    assert told <= own["properties"].keys()


def test_statuses_are_registered_and_have_a_usual_kind_of_their_own() -> None:
    """Statuses: IANA's HTTP Status Code Registry, as the standard library has it."""
    assert {each.status for each in KINDS.values()} <= {each.value for each in HTTPStatus} & DEFAULT_CODES.keys()
    assert [code for status, code in DEFAULT_CODES.items() if KINDS[code].status != status] == []


def test_several_reasons_of_one_kind_are_that_kind_and_of_several_the_usual() -> None:
    assert code_of(409, [{"code": "on_hold"}, {"code": "on_hold"}]) == "on_hold"
    assert code_of(409, [{"code": "on_hold"}, {"code": "asks_more"}]) == "conflict"
    assert code_of(409, [{"code": "withdrawn"}]) == "wrong_status"  # the code of such a fault is the status that the quote has
    assert code_of(422, [{"code": "on_hold"}]) == "unprocessable"  # a kind of another status
    assert (code_of(404, []), code_of(418, []), code_of(599, [])) == ("unknown_address", "malformed_request", "failed")


def codes_of_conflicts() -> Iterator[tuple[str, str]]:
    """Each code that stands beside a 409 or 403 in the source, and the file."""
    for path in SERVICE.rglob("*.py"):
        text = path.read_text(encoding="utf-8")
        for node in ast.walk(ast.parse(text)) if "Problem" in text or "WrongKey" in text else ():
            if isinstance(node, ast.Call) and isinstance(node.func, ast.Name) and node.func.id in {"Problem", "WrongKey"} and node.args:
                status = node.args[0]
                if isinstance(status, ast.Constant) and status.value in {401, 403, 404, 406, 409, 412, 415, 428, 429}:
                    for each in ast.walk(node):
                        if isinstance(each, ast.Call) and isinstance(each.func, ast.Name) and each.func.id.endswith("fault"):
                            code = each.args[1]
                            if isinstance(code, ast.Constant):
                                yield str(code.value), path.name


def test_every_code_of_a_conflict_is_a_kind() -> None:
    found = list(codes_of_conflicts())
    assert len(found) > 20
    assert [(code, where) for code, where in found if code not in KINDS] == []


@pytest.mark.parametrize(
    ("method", "address", "headers", "status", "code", "at"),
    [
        ("GET", "/v1/no-such", {}, 404, "unknown_address", {}),
        ("GET", QUOTE, {}, 404, "unknown_quote", {"parameter": "id"}),
        ("GET", "/v1/catalogue/boats", {}, 404, "unknown_part_of_catalogue", {"parameter": "kind"}),
        ("GET", "/v1/batches/01a21202-0dfc-7812-9843-0e6a6544d0d4", {}, 404, "unknown_batch", {"parameter": "id"}),
        ("GET", "/docs/no-such", {}, 404, "unknown_guide", {"parameter": "name"}),
        ("PUT", "/v1/quotes", {}, 405, "method_not_allowed", {}),
        ("GET", "/v1/stock", {"Accept": "image/png"}, 406, "not_acceptable", {"header": "Accept"}),
        ("POST", "/v1/quotes", {"Content-Type": "text/plain"}, 415, "wrong_media_type", {"header": "Content-Type"}),
        ("POST", "/v1/quotes", {"Content-Type": "application/json; charset=latin-1"}, 415, "wrong_charset", {"header": "Content-Type"}),
        ("POST", "/v1/quotes", {"Content-Type": "application/json", "Content-Encoding": "gzip"}, 415, "coded_body", {"header": "Content-Encoding"}),
        ("POST", "/v1/quotes", {"Content-Type": "application/json", "Idempotency-Key": "ä"}, 400, "bad_key", {"header": "Idempotency-Key"}),
    ],
)  # fmt: skip
def test_a_refusal_names_its_header_or_parameter(
    client: FlaskClient, method: str, address: str, headers: dict[str, str], status: int, code: str, at: dict[str, str]
) -> None:
    body = b"{}" if method == "POST" else None
    found = refused(client.open(address, method=method, data=body, headers=headers), status, code)
    assert {name: found[name] for name in ("header", "parameter") if name in found} == at


def test_without_a_key_and_with_a_wrong_one(client: FlaskClient) -> None:
    stranger = bare(client.application)
    assert refused(stranger.get(QUOTE), 401, "no_key")["header"] == "Authorization"
    assert refused(stranger.get(QUOTE, headers={"Authorization": "Bearer wrong"}), 401, "unknown_key")["header"] == "Authorization"
    assert refused(stranger.get(f"{QUOTE}?token=wrong"), 401, "unknown_link")["parameter"] == "token"


def test_a_step_on_what_was_not_read_or_is_another_document(client: FlaskClient, demo: dict[str, Any]) -> None:
    at = client.post("/v1/quotes", json=demo).headers["Location"]
    answer = {"customer": {"name": "Ada Example"}}
    assert refused(client.post(f"{at}/acceptance", json=answer), 428, "precondition_required")["header"] == "If-Match"
    sheet = client.get(f"{at}/rig-sheet").headers["ETag"]
    another = client.post(f"{at}/acceptance", json=answer, headers={"If-Match": sheet})
    assert refused(another, 412, "etag_of_another_document")["header"] == "If-Match"
    other = client.post("/v1/quotes", json={**demo, "note": "another"}).headers["ETag"]
    for tag in (other, '"cut-short"'):
        not_its = client.post(f"{at}/acceptance", json=answer, headers={"If-Match": tag})
        assert refused(not_its, 412, "etag_of_another_quote")["header"] == "If-Match"
    for written in (other.strip('"'), other[1:], f"{other} x", '"a" "b', "'a'", "W/a"):
        for step, body in (("acceptance", answer), ("revisions", demo)):
            unread = client.post(f"{at}/{step}", json=body, headers={"If-Match": written})
            assert refused(unread, 400, "not_an_etag")["header"] == "If-Match"
    assert f"write If-Match: {other}" in client.post(f"{at}/acceptance", json=answer, headers={"If-Match": other.strip('"')}).json["detail"]
    for several in (f'"x", {other}', f'W/"x",,"y" ,{other}'):  # a list, with empty elements too (RFC 9110, 5.6.1)
        refused(client.post(f"{at}/acceptance", json=answer, headers={"If-Match": several}), 412, "etag_of_another_quote")
    seen = client.get(at).headers["ETag"]
    client.post(f"{at}/questions", json={"words": "Is the wire in stock?"})
    old = client.post(f"{at}/acceptance", json=answer, headers={"If-Match": seen})
    assert refused(old, 412, "changed_since_read")["header"] == "If-Match"


def test_a_number_where_an_id_belongs_says_so(client: FlaskClient) -> None:
    found = client.get("/v1/quotes/Q-2026-000001/events")
    assert "is the number of a quote" in refused(found, 404, "unknown_quote")["detail"]


@pytest.mark.parametrize(
    ("address", "code", "at"),
    [
        ("/v1/quotes/42", "unknown_quote", "id"),
        (f"{QUOTE[:-1]}", "unknown_quote", "id"),
        ("/v1/quotes/42/events", "unknown_quote", "id"),
        ("/v1/batches/42/results", "unknown_batch", "id"),
        ("/v1/cutting-plans/42", "unknown_plan", "id"),
        (f"{QUOTE}/settlements/42/reversal", "unknown_settlement", "settlement"),
        (f"{QUOTE}/questions/first/answer", "unknown_question", "question"),
    ],
)
def test_what_is_no_id_is_told_what_an_id_is(client: FlaskClient, address: str, code: str, at: str) -> None:
    found = refused(client.get(address), 404, code)
    assert (found["parameter"], "An id is a UUID, such as " in found["detail"]) == (at, True)


def test_a_number_of_no_quote_is_an_unknown_quote(client: FlaskClient) -> None:
    assert "no quote Q-2026-000099" in refused(client.get("/v1/quotes/Q-2026-000099"), 404, "unknown_quote")["detail"]


@pytest.mark.parametrize(
    ("address", "meant"),
    [
        ("/v1/quote", "/v1/quotes"),
        ("/quotes", "/v1/quotes"),
        ("/v1/quotes/", "/v1/quotes"),
        ("/v1/quotes/preveiw", "/v1/quotes/preview"),
        ("/v1/quotes/42x", None),
        (f"{QUOTE}/", QUOTE),
        (f"{QUOTE}/benchsheet", f"{QUOTE}/bench-sheet"),
        ("/v1/cutting_plans", "/v1/cutting-plans"),
        ("/v1/no-such", None),
        ("/v1/" + "quotes/" * 500, None),
        ("/v1/quote" + "x" * 3000, None),
    ],
)
def test_a_mistyped_address_is_told_the_nearest(client: FlaskClient, address: str, meant: str | None) -> None:
    answer = client.get(address)
    assert answer.status_code == 404
    told = re.search(r"Did you mean (\S+)\? ", answer.json["detail"])
    assert (told[1] if told else None) == meant


@pytest.mark.parametrize(
    ("name", "meant"),
    [("turnbukle", "turnbuckle"), ("Tag", "tag"), ("old-wire", "old_wire"), ("uper", "upper"), ("xyzzy", None), ("t" * 100_000, None)],
)  # fmt: skip
def test_a_misspelt_field_is_told_the_nearest(client: FlaskClient, demo: dict[str, Any], name: str, meant: str | None) -> None:
    demo["assemblies"][0][name] = "x"
    answer = client.post("/v1/quotes/preview", json=demo)
    (told,) = [each for each in answer.json["errors"] if each["code"] == "unknown_field"]
    assert told["pointer"] == f"#/assemblies/0/{name if len(name) < 100 else quote(name[:500] + chr(0x2026))}"
    assert (f"did you mean '{meant}'?" in told["detail"]) is (meant is not None)
    assert ("did you mean" in told["detail"]) is (meant is not None)


def test_names_are_compared_only_where_that_is_shown(client: FlaskClient, monkeypatch: pytest.MonkeyPatch) -> None:
    compared: list[str] = []
    monkeypatch.setattr(failure, "nearest", lambda given, _: compared.append(given))
    answer = client.post("/v1/lengths", json={"lengths": ["5 mm"], **{f"length{each}": 1 for each in range(1200)}})
    assert len(answer.json["errors"]) == len(compared) == 1000
    assert "The first 1000 of 1200 are shown." in answer.json["detail"]


@pytest.mark.parametrize(
    ("value", "meant"), [("thimble-eye", "thimble_eye"), ("Fork", "fork"), ("frok", "fork"), ("ratchet", None), ("", None), (7, None)]
)
def test_a_misspelt_value_is_told_the_nearest(client: FlaskClient, demo: dict[str, Any], value: object, meant: str | None) -> None:
    demo["assemblies"][0]["upper"] = {"terminal": value}
    answer = client.post("/v1/quotes/preview", json=demo)
    (told,) = [each for each in answer.json["errors"] if each["pointer"] == "#/assemblies/0/upper/terminal"]
    assert (f"did you mean '{meant}'?" in told["detail"]) is (meant is not None)

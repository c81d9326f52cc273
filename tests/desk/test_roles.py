"""Who may do what at the desk: every address with every role, against a table written by hand."""

from __future__ import annotations

import re
from functools import cache
from typing import Any

from flask import Flask
from flask.testing import FlaskClient

from service.credentials.people import Role
from tests.desk.colleague import BROWSER, HOST, Colleague
from tests.service.test_access import addresses

IN = "in"
# nobody | counter, bench, owner
TABLE = {
    "GET /desk/desk.css":                 "in  | in  in  in",
    "GET /desk/scan.js":                  "in  | in  in  in",
    "GET /desk/sign-in":                  "in  | in  in  in",
    "POST /desk/language":                "401 | in  in  in",
    "GET /desk":                          "401 | in  in  in",
    "GET /desk/what-to-buy.csv":          "401 | 403 403 in",
    "GET /desk/messages":                 "401 | 403 403 in",
    "GET /desk/find":                     "401 | in  in  in",
    "GET /desk/find.js":                  "in  | in  in  in",
    "GET /desk/bench":                    "401 | in  in  in",
    "GET /desk/bench/find":               "401 | in  in  in",
    "GET /desk/bench/<uuid:quote_id>":    "401 | in  in  in",
    "GET /desk/bench/<uuid:quote_id>/<tag:tag>":          "401 | in  in  in",
    "GET /desk/bench/drawings/<uuid:quote_id>/<tag:tag>": "401 | in  in  in",
    "GET /desk/bench/labels/<uuid:quote_id>":             "401 | in  in  in",
    "GET /desk/bench/built/<uuid:quote_id>/<tag:tag>":    "401 | 403 in  in",
    "POST /desk/bench/built/<uuid:quote_id>/<tag:tag>":   "401 | 403 in  in",
    "GET /desk/bench/plans":                        "401 | in  in  in",
    "POST /desk/bench/plans":                       "401 | 403 in  in",
    "GET /desk/bench/plans/<uuid:plan_id>":         "401 | in  in  in",
    "POST /desk/bench/plans/<uuid:plan_id>/take":   "401 | 403 in  in",
    "POST /desk/bench/plans/<uuid:plan_id>/undo":   "401 | 403 in  in",
    "GET /desk/stock":                              "401 | in  in  in",
    "GET /desk/stock/count":                        "401 | 403 in  in",
    "POST /desk/stock/count":                       "401 | 403 in  in",
    "POST /desk/stock/file":                        "401 | 403 in  in",
    "GET /desk/quotes/<uuid:quote_id>":             "401 | in  in  in",
    "GET /desk/quotes/<uuid:quote_id>/<paper>":      "401 | in  in  in",
    "GET /desk/form.css":                           "in  | in  in  in",
    "GET /desk/quotes/<uuid:quote_id>/revise":      "401 | in  403 in",
    "POST /desk/quotes/<uuid:quote_id>/revise":     "401 | in  403 in",
    "GET /desk/quotes/<uuid:quote_id>/lines":       "401 | in  403 in",
    "POST /desk/quotes/<uuid:quote_id>/lines":      "401 | in  403 in",
    "POST /desk/quotes/<uuid:quote_id>/settle":     "401 | in  403 in",
    "POST /desk/quotes/<uuid:quote_id>/settlements/<uuid:settlement_id>/undo": "401 | in  403 in",
    "POST /desk/quotes/<uuid:quote_id>/questions/<uuid:question_id>/answer":   "401 | in  403 in",
    "POST /desk/quotes/<uuid:quote_id>/link":       "401 | in  403 in",
    "POST /desk/quotes/<uuid:quote_id>/<any('accept', 'decline', 'withdraw', 'cancel', 'hand-over', 'end-links'):step>":     "401 | in  403 in",
    "GET /desk/tables":                             "401 | 403 403 in",
    "POST /desk/tables":                            "401 | 403 403 in",
    "GET /desk/tables/<edition>/files/<name>": "401 | 403 403 in",
    "GET /desk/tables/<edition>":                   "401 | 403 403 in",
    "POST /desk/tables/<edition>/in-force":                  "401 | 403 403 in",
    "GET /desk/figures":                            "401 | 403 403 in",
    "GET /desk/terms":                             "401 | 403 403 in",
    "POST /desk/terms":                            "401 | 403 403 in",
    "GET /desk/fleets.js":                          "in  | in  in  in",
    "GET /desk/fleets":                             "401 | in  403 in",
    "POST /desk/fleets":                            "401 | in  403 in",
    "GET /desk/fleets/<uuid:batch_id>":             "401 | in  403 in",
    "GET /desk/fleets/<uuid:batch_id>/results.csv": "401 | in  403 in",
    "POST /desk/fleets/<uuid:batch_id>/stop":       "401 | in  403 in",
    "GET /desk/people":                             "401 | 403 403 in",
    "POST /desk/people/<person_id>/link":           "401 | 403 403 in",
    "POST /desk/sessions/<session_id>/end":         "401 | 403 403 in",
    "POST /desk/sign-in":                           "401 | 401 401 401",  # of a link that there is not
    "POST /desk/sign-out":                          "401 | in  in  in",
}  # fmt: skip


def test_every_address_of_the_desk_lets_in_exactly_whom_the_table_names(desk: Flask, demo: dict[str, Any]) -> None:
    assert {each for each in addresses(desk) if each.partition(" ")[2].startswith("/desk")} == TABLE.keys()
    quote_id = desk.test_client().post("/v1/quotes", json=demo).json["id"]
    people = [Colleague(desk, role) for role in Role]
    for address, row in TABLE.items():
        method, _, rule = address.partition(" ")
        path = re.sub("<uuid:[a-z_]+>", quote_id, rule).replace("<tag:tag>", "CAP-P")
        path = re.sub("<any[^>]+>", "accept", re.sub("<[a-z_]+>", "none", path))
        assert [_told(desk, None, method, path), *(_told(desk, each, method, path) for each in people)] == row.replace("|", "").split(), (
            address
        )


def _told(desk: Flask, person: Colleague | None, method: str, path: str) -> str:
    client = FlaskClient(desk, desk.response_class) if person is None else person.client
    if person is not None and not client.get_cookie("desk", path="/desk"):
        person.sign_in()
    data = {"form": kept_token_of(person) if person is not None and method == "POST" else "none"}
    reply = client.open(path, method=method, data=data if method == "POST" else None, headers={**BROWSER, "Origin": HOST})
    return str(reply.status_code) if reply.status_code in (401, 403) else IN


@cache
def _token(person: Colleague, cookie: str) -> str:
    assert cookie
    return token_of(person)


def kept_token_of(person: Colleague) -> str:
    """What a form of this session sends, read from a page once a session."""
    return _token(person, person.cookie)


def token_of(person: Colleague) -> str:
    person.go("/desk")
    return str(person.prepared("Deutsch")[1]["form"])

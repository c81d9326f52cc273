"""Calls the API within this process, on behalf of whoever is signed in at the desk: with the same routes, checks and answers that a
program gets whose key has the role's scopes.
"""

from __future__ import annotations

import time
from collections.abc import Mapping
from dataclasses import dataclass
from http import HTTPStatus
from typing import Any, cast
from urllib.parse import urlencode

from flask import current_app, request
from werkzeug.datastructures import Headers
from werkzeug.test import EnvironBuilder, run_wsgi_app

from service.auth.sessions import ON_BEHALF
from service.encoding import json
from service.http.caller import caller
from service.http.idempotency import HEADER as ONCE
from service.http.problems import MEDIA, Problem, header_fault
from service.http.unproxied import request_state

JSON = "application/json"
STILL_RUNNING, WAITS = (
    "still_running",
    (0.1, 0.2, 0.4, 0.8),
)  # seconds between attempts, while the first sending of a form sent twice is still being worked on
Query = Mapping[str, str | int | None]


@dataclass(frozen=True, slots=True)
class Answer:
    """What the API answered: status, headers and body."""

    status: int
    headers: Headers
    body: bytes

    @property
    def ok(self) -> bool:
        """Whether the API did what was asked."""
        return self.status < HTTPStatus.BAD_REQUEST

    @property
    def value(self) -> Any:
        """The body, read as JSON."""
        return json.read_own(self.body)

    @property
    def etag(self) -> str:
        """The entity tag, as it is sent in If-Match; empty without one."""
        return self.headers.get("ETag", "")

    @property
    def code(self) -> str:
        """The code of the problem; empty if there is none."""
        return "" if self.ok or self.headers.get("Content-Type") != MEDIA else cast("str", self.value["code"])


def get(path: str, query: Query | None = None, accept: str = JSON) -> Answer:
    """The answer to a GET. Raises Problem where the API refuses, which makes the page an error page."""
    answer = call("GET", path, query, headers={"Accept": accept})
    if not answer.ok:
        raise problem_in(answer)
    return answer


def read(path: str, query: Query | None = None) -> Any:
    """The JSON that a GET is answered with. Raises Problem where the API refuses."""
    return get(path, query).value


def post(path: str, value: Any, once: str = "", seen: str = "") -> Answer:
    """The answer to a POST; a refusal is returned too, to be shown beside what was typed. `once`: the form's idempotency key, so that sending
    it twice does nothing more; `seen`: the entity tag of what the person saw.
    """
    headers = {"Content-Type": JSON, **({ONCE: once} if once else {}), **({"If-Match": seen} if seen else {})}
    return call("POST", path, body=json.write(value), headers=headers)


def call(method: str, path: str, query: Query | None = None, body: bytes = b"", headers: Mapping[str, str] | None = None) -> Answer:
    """The answer to any call. `path` must be percent-encoded; query parameters that are None or empty are left out.

    After a double click the browser shows the answer to the second request: while the first is being worked on, the second is repeated for
    a moment, to get the same answer.
    """
    _refuse_damaged(headers or {})
    answer = _call_once(method, path, query, body, headers)
    for seconds in WAITS:
        if answer.code != STILL_RUNNING:
            break
        time.sleep(seconds)
        answer = _call_once(method, path, query, body, headers)
    return answer


def _call_once(method: str, path: str, query: Query | None, body: bytes, headers: Mapping[str, str] | None) -> Answer:
    query_string = urlencode({name: value for name, value in (query or {}).items() if value not in (None, "")})
    builder = EnvironBuilder(
        path=path, query_string=query_string, method=method, input_stream=None, data=body or None, base_url=request.host_url, headers=list((headers or {}).items()),
    )  # fmt: skip
    environ = builder.get_environ()
    environ[ON_BEHALF] = caller()
    environ["REMOTE_ADDR"] = request.remote_addr or ""
    environ["HTTP_X_REQUEST_ID"] = request_state().get("request_id", "")
    with current_app.app_context():  # else Flask would share `g`, in which a request keeps its body
        chunks, status, response_headers = run_wsgi_app(current_app.wsgi_app, environ, buffered=True)
    return Answer(int(status.split()[0]), response_headers, b"".join(chunks))


def _refuse_damaged(headers: Mapping[str, str]) -> None:
    """Raises Problem (400) for an idempotency key or entity tag that cannot be sent in a header: a form may post anything."""
    for name, value in headers.items():
        if not (value.isascii() and value.isprintable()):
            words = "The form was changed on its way, and nothing was done: open the page again."
            raise Problem(400, words, [header_fault(name, "damaged_form", words)])


def problem_in(answer: Answer) -> Problem:
    """The API's refusal as an exception that the page can raise."""
    problem = answer.value
    headers = {"Retry-After": answer.headers["Retry-After"]} if "Retry-After" in answer.headers else {}
    return Problem(answer.status, problem["detail"], problem["errors"], headers)

"""Calls of the API within this process, in the name of whoever is signed in at the desk: the same routes, checks and answers that a
program with a key of the role's scopes gets.
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
from service.http.behind import the_facts
from service.http.caller import caller
from service.http.idempotency import HEADER as ONCE
from service.http.problems import MEDIA, Problem, header_fault

JSON = "application/json"
STILL_RUNNING, WAITS = "still_running", (0.1, 0.2, 0.4, 0.8)  # seconds before a form that is sent twice is asked for again
Query = Mapping[str, str | int | None]


@dataclass(frozen=True, slots=True)
class Answer:
    """What the API answered: status, headers and body."""

    status: int
    headers: Headers
    body: bytes

    @property
    def ok(self) -> bool:
        """Whether it was done."""
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
        """The problem's code; empty if it was done."""
        return "" if self.ok or self.headers.get("Content-Type") != MEDIA else cast("str", self.value["code"])


def get(path: str, query: Query | None = None, accept: str = JSON) -> Answer:
    """Read. Raises Problem where the API refuses: the page itself is then the refusal."""
    answer = call("GET", path, query, headers={"Accept": accept})
    if not answer.ok:
        raise problem_in(answer)
    return answer


def read(path: str, query: Query | None = None) -> Any:
    """Read as JSON. Raises Problem where the API refuses."""
    return get(path, query).value


def post(path: str, value: Any, once: str = "", seen: str = "") -> Answer:
    """Do something; the answer may be a refusal, to be shown beside what was typed. `once`: the form's own mark, by which a second
    sending does nothing more; `seen`: the entity tag of what the person saw.
    """
    headers = {"Content-Type": JSON, **({ONCE: once} if once else {}), **({"If-Match": seen} if seen else {})}
    return call("POST", path, body=json.write(value), headers=headers)


def call(method: str, path: str, query: Query | None = None, body: bytes = b"", headers: Mapping[str, str] | None = None) -> Answer:
    """Any call. `path` is percent-encoded where it must be; parameters that are None or empty are left out. Of a double click the second is what
    the browser shows: while the first is being done, it waits a little for the same answer.
    """
    _refuse_damaged(headers or {})
    answer = _once(method, path, query, body, headers)
    for seconds in WAITS:
        if answer.code != STILL_RUNNING:
            break
        time.sleep(seconds)
        answer = _once(method, path, query, body, headers)
    return answer


def _once(method: str, path: str, query: Query | None, body: bytes, headers: Mapping[str, str] | None) -> Answer:
    asked = urlencode({name: value for name, value in (query or {}).items() if value not in (None, "")})
    builder = EnvironBuilder(
        path=path, query_string=asked, method=method, input_stream=None, data=body or None, base_url=request.host_url, headers=list((headers or {}).items()),
    )  # fmt: skip
    environ = builder.get_environ()
    environ[ON_BEHALF] = caller()
    environ["REMOTE_ADDR"] = request.remote_addr or ""
    environ["HTTP_X_REQUEST_ID"] = the_facts().get("request_id", "")
    with current_app.app_context():  # else Flask would share `g`, in which a request keeps its body
        pieces, status, answered = run_wsgi_app(current_app.wsgi_app, environ, buffered=True)
    return Answer(int(status.split()[0]), answered, b"".join(pieces))


def _refuse_damaged(headers: Mapping[str, str]) -> None:
    """Raises Problem (400) for a mark or an entity tag that no page has written: what a form sends may be anything, a header may not."""
    for name, value in headers.items():
        if not (value.isascii() and value.isprintable()):
            words = "The form was changed on its way, and nothing was done: open the page again."
            raise Problem(400, words, [header_fault(name, "damaged_form", words)])


def problem_in(answer: Answer) -> Problem:
    """The refusal in an answer, to be raised by the page."""
    said = answer.value
    headers = {"Retry-After": answer.headers["Retry-After"]} if "Retry-After" in answer.headers else {}
    return Problem(answer.status, said["detail"], said["errors"], headers)

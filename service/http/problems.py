"""One response body for every failure, whatever its origin: problem details (RFC 9457), with a JSON Pointer, a code and the remedy for
each fault.
"""

from __future__ import annotations

import logging
import re
from collections.abc import Callable, Iterable, Mapping
from http import HTTPStatus
from typing import Any

from flask import Flask, Response, current_app, g, request
from sqlalchemy.exc import SQLAlchemyError
from werkzeug.exceptions import HTTPException, MethodNotAllowed, NotFound

from pricing.errors import NoPrice, RequestError, TableError
from service.encoding import json
from service.http.addresses import alike, below, no_id
from service.http.problem_types import ADDRESS, KINDS, code_of
from service.lifecycle.statuses import NotAllowed
from service.storage import NoQuote, errors

MEDIA = "application/problem+json"
MOST_SHOWN = 1000
_NUMBER = re.compile(r"/v1/quotes/(Q-[0-9]{4}-[0-9]{6,9})(?:/|$)", re.ASCII)
log = logging.getLogger("service")
Fault = Mapping[str, object]
DETAILS = {
    404: "There is no endpoint at this URL; /openapi.yaml lists all endpoints.",
    500: "The service failed and logged the cause. Nothing was stored. Try again later.",
    503: "The service is temporarily unable to handle the request. Try again later.",
}


class Problem(Exception):
    """A refusal to be returned: status, one sentence with the remedy, the faults, and headers that belong to the status. Its problem type
    follows from the faults' codes (`problem_types.code_of`).
    """

    def __init__(self, status: int, detail: str, faults: Iterable[Fault] = (), headers: Mapping[str, str] | None = None) -> None:
        super().__init__(detail)
        self.status, self.detail, self.faults, self.headers = status, detail, list(faults), dict(headers or {})

    def below(self, place: str) -> Problem:
        """The same problem for an object nested in a larger body: `place`, a JSON Pointer as a URI fragment, is put before each pointer."""
        faults = [{**each, "pointer": f"{place}{str(each['pointer'])[1:]}"} if "pointer" in each else each for each in self.faults]
        return Problem(self.status, self.detail, faults, self.headers)


def fault(pointer: str, code: str, detail: str) -> dict[str, object]:
    """One fault in a request body."""
    return {"pointer": pointer, "code": code, "detail": detail}


def parameter_fault(parameter: str, code: str, detail: str) -> dict[str, object]:
    """One fault in a query parameter, or in a variable part of the path."""
    return {"parameter": parameter, "code": code, "detail": detail}


def header_fault(header: str, code: str, detail: str) -> dict[str, object]:
    """One fault in a header."""
    return {"header": header, "code": code, "detail": detail}


def unknown(name: str, code: str, detail: str) -> Problem:
    """404 for a resource that a path parameter names."""
    return Problem(404, detail, [parameter_fault(name, code, detail)])


def wrong_type(detail: str, accepted: str) -> Problem:
    """415, with the media type of the request and those that are accepted."""
    sent_as = f"as {request.mimetype[:60]!r}" if request.mimetype else "without a Content-Type"
    detail = f"{detail} The request was sent {sent_as}."
    return Problem(415, detail, [header_fault("Content-Type", "wrong_media_type", detail)], {"Accept": accepted})


def document(status: int, detail: str, faults: Iterable[Fault] = ()) -> bytes:
    """The problem as bytes; also used for responses of the server underneath the application."""
    shown = list(faults)
    code = code_of(status, shown)
    if len(shown) > MOST_SHOWN:
        detail = f"{detail} The first {MOST_SHOWN} of {len(shown)} are shown."
    body = {
        "type": f"{ADDRESS}/{code}",
        "title": KINDS[code].title,
        "status": status,
        "code": code,
        "detail": detail,
        "errors": shown[:MOST_SHOWN],
    }
    return json.write(body)


def respond(problem: Problem) -> Response:
    """The problem as a response."""
    body = document(problem.status, problem.detail, problem.faults)
    return Response(body, problem.status, {**problem.headers, "Cache-Control": "no-store"}, mimetype=MEDIA)


def _http(error: HTTPException) -> Response:
    """Errors raised by Flask and Werkzeug: unknown path, wrong method, and the rest by their reason phrase."""
    status = error.code or 500
    if isinstance(error, MethodNotAllowed):
        allowed = ", ".join(sorted(error.valid_methods or ()))
        steps = below(request.path, (each.rule for each in current_app.url_map.iter_rules() if "POST" in (each.methods or ())))
        words = f" To change the resource, POST to one of the endpoints below it: {', '.join(steps)}." if steps else ""
        return respond(Problem(405, f"This endpoint supports {allowed}.{words}", headers={"Allow": allowed}))
    if isinstance(error, NotFound) and (number := _NUMBER.match(request.path)):
        words = f"{number[1]} is the number of a quote, but this endpoint takes the id of one: `GET /v1/quotes?number={number[1]}` lists the ids of its revisions."
        return respond(unknown("id", "unknown_quote", words))
    if isinstance(error, NotFound):
        return respond(_no_route())
    return respond(Problem(status, DETAILS.get(status, f"{HTTPStatus(status).phrase}.")))


def _no_route() -> Problem:
    """404 for a URL that matches no route, with the endpoint that was probably meant."""
    rules = sorted({each.rule for each in current_app.url_map.iter_rules()})
    near = alike(request.path, rules)
    if near is not None:
        return Problem(404, f"There is no endpoint at this URL. Did you mean {near}? /openapi.yaml lists all endpoints.")
    wrong = no_id(request.path, rules)
    return Problem(404, DETAILS[404]) if wrong is None else unknown(*wrong)


def _unreadable(error: RequestError) -> Problem:
    faults = [fault(f"#{pointer}", code, detail) for pointer, code, detail in error.faults]
    return Problem(422, "The request is well formed but cannot be processed; each fault is listed with its place.", faults)


# How each exception becomes a problem: the same for a request and for a line of a batch.
REFUSALS: Mapping[type[Exception], Callable[[Any], Problem]] = {
    Problem: lambda problem: problem,
    RequestError: _unreadable,
    NotAllowed: lambda error: Problem(409, str(error), [fault("#", error.status.value, str(error))]),
    NoQuote: lambda _: unknown("id", "unknown_quote", "There is no quote with this id: `GET /v1/quotes` lists all quotes."),
    NoPrice: lambda error: Problem(503, f"The shop's price table cannot price this today: {error}. The shop must load tables that can."),
    TableError: lambda _: Problem(503, "The shop's tables have no terms in force today: the shop must load tables that do."),
}
REFUSED = tuple(REFUSALS)


def problem_of(error: Exception) -> Problem:
    """The problem for an exception of one of the types in `REFUSED`."""
    return next(make(error) for kind, make in REFUSALS.items() if isinstance(error, kind))


def _refused(error: Exception) -> Response:
    if isinstance(error, (NoPrice, TableError)):
        log.error("the tables cannot price a request: %s", error)
    return respond(problem_of(error))


def _database(error: SQLAlchemyError) -> Response:
    g.database_failed = True
    log.error("the database failed: %s: %s", type(error).__name__, errors.server_words(error))
    return respond(Problem(503, errors.words_for(error), headers={"Retry-After": str(errors.RETRY_SECONDS)}))


def install(app: Flask) -> None:
    """Answer every failure inside the application with a problem; uncaught exceptions reach this as Flask's own 500, already logged."""
    app.register_error_handler(HTTPException, _http)
    for kind in REFUSED:
        app.register_error_handler(kind, _refused)
    for passing in errors.PASSING:
        app.register_error_handler(passing, _database)

"""One body for every failure of every origin: problem details (RFC 9457), with a JSON Pointer, a code and the remedy for each fault."""

from __future__ import annotations

import logging
from collections.abc import Iterable, Mapping
from http import HTTPStatus

from flask import Flask, Response, g
from sqlalchemy.exc import SQLAlchemyError
from werkzeug.exceptions import HTTPException, MethodNotAllowed

from pricing.errors import NoPrice, RequestError, TableError
from service import json
from service.life.statuses import NotAllowed
from service.storage import NoQuote, troubles

MEDIA = "application/problem+json"
MOST_SHOWN = 1000
log = logging.getLogger("service")
Fault = Mapping[str, object]
TITLES = {413: "Content Too Large", 422: "Unprocessable Content"}
DETAILS = {
    404: "There is nothing at this address; the addresses are listed in /openapi.yaml.",
    500: "The service failed. The failure was recorded; nothing was stored. Try again later.",
    503: "The service cannot answer now. Try again later.",
}


class Problem(Exception):
    """A refusal on its way out: status, one sentence with the remedy, the faults, and headers that belong to the status."""

    def __init__(self, status: int, detail: str, faults: Iterable[Fault] = (), headers: Mapping[str, str] | None = None) -> None:
        super().__init__(detail)
        self.status, self.detail, self.faults, self.headers = status, detail, list(faults), dict(headers or {})


def fault(pointer: str, code: str, detail: str) -> dict[str, object]:
    """One fault in the body of a request."""
    return {"pointer": pointer, "code": code, "detail": detail}


def parameter_fault(parameter: str, code: str, detail: str) -> dict[str, object]:
    """One fault in a query parameter."""
    return {"parameter": parameter, "code": code, "detail": detail}


def document(status: int, detail: str, faults: Iterable[Fault] = ()) -> bytes:
    """The problem as bytes; what the server below the application answers, too."""
    title = TITLES.get(status) or HTTPStatus(status).phrase
    shown = list(faults)
    if len(shown) > MOST_SHOWN:
        detail = f"{detail} The first {MOST_SHOWN} of {len(shown)} are shown."
    body = {"type": "about:blank", "title": title, "status": status, "detail": detail, "errors": shown[:MOST_SHOWN]}
    return json.write(body)


def respond(problem: Problem) -> Response:
    """The problem as a response."""
    body = document(problem.status, problem.detail, problem.faults)
    return Response(body, problem.status, {**problem.headers, "Cache-Control": "no-store"}, mimetype=MEDIA)


def _http(error: HTTPException) -> Response:
    """What Flask and Werkzeug refuse: wrong address, wrong method, and the rest by their phrase."""
    status = error.code or 500
    if isinstance(error, MethodNotAllowed):
        allowed = ", ".join(sorted(error.valid_methods or ()))
        return respond(Problem(405, f"This address takes {allowed}.", headers={"Allow": allowed}))
    return respond(Problem(status, DETAILS.get(status, f"{HTTPStatus(status).phrase}.")))


def _unreadable(error: RequestError) -> Response:
    faults = [fault(f"#{pointer}", code, detail) for pointer, code, detail in error.faults]
    return respond(Problem(422, "The request can be read but not worked with; each fault is listed with its place.", faults))


def _no_price(error: NoPrice) -> Response:
    log.error("no price: %s", error)
    return respond(Problem(503, f"The shop's price table cannot price this today: {error}."))


def _no_terms(error: TableError) -> Response:
    log.error("tables: %s", error)
    return respond(Problem(503, "The shop's tables have no terms in force today."))


def _no_quote(error: NoQuote) -> Response:
    return respond(Problem(404, "There is no quote with this id."))


def _not_allowed(error: NotAllowed) -> Response:
    return respond(Problem(409, str(error), [fault("#", error.status.value, str(error))]))


def _database(error: SQLAlchemyError) -> Response:
    g.database_failed = True
    log.error("the database failed: %s: %s", type(error).__name__, troubles.server_words(error))
    return respond(Problem(503, troubles.words_for(error), headers={"Retry-After": str(troubles.RETRY_SECONDS)}))


def install(app: Flask) -> None:
    """Answer every failure inside the application with a problem; what nothing catches comes as Flask's own 500, logged."""
    app.register_error_handler(Problem, respond)
    app.register_error_handler(HTTPException, _http)
    app.register_error_handler(RequestError, _unreadable)
    app.register_error_handler(NoPrice, _no_price)
    app.register_error_handler(TableError, _no_terms)
    app.register_error_handler(NoQuote, _no_quote)
    app.register_error_handler(NotAllowed, _not_allowed)
    for passing in troubles.PASSING:
        app.register_error_handler(passing, _database)

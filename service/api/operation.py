"""Operations: liveness, readiness, metrics, and the contract itself."""

from __future__ import annotations

from collections.abc import Callable
from functools import cache
from pathlib import Path

from flask import Blueprint, Response, current_app

from service import guides
from service.api.readiness import reasons
from service.formats.replies import PAGE_POLICY
from service.http.current import engine, settings, store
from service.http.problem_types import ADDRESS, KINDS
from service.http.problems import Problem, fault, unknown
from service.http.responses import JSON, chosen, produces, reply, reply_json

operation = Blueprint("operation", __name__)
OPENAPI = Path(__file__).parents[2] / "openapi.yaml"
YAML = "application/yaml"
PLAIN, HTML = "text/plain", "text/html"


@operation.get("/livez")
def alive() -> Response:
    """Liveness: the process responds."""
    return reply_json({"status": "alive"})


@operation.get("/readyz")
def ready() -> Response:
    """Readiness: the process can make and store quotes."""
    found = reasons(store(), engine(), settings().min_free_mb)
    if found:
        raise Problem(503, " ".join(each.words for each in found), [fault("#", each.code, each.words) for each in found])
    return reply_json({"status": "ready"})


@operation.get("/metrics")
@produces(PLAIN)
def metrics() -> Response:
    """Metrics in the Prometheus format."""
    text, media = current_app.extensions["measures"].text()
    return reply(text, media=media)


@operation.get("/openapi.yaml")
@produces(YAML)
def contract() -> Response:
    """The OpenAPI contract."""
    return reply(_contract(), media=YAML)


@operation.get("/docs")
@produces(HTML)
def docs() -> Response:
    """The list of guides."""
    return _page(guides.contents())


@operation.get("/docs/<name>")
@produces(HTML)
def guide(name: str) -> Response:
    """One guide, or the contract."""
    found = guides.page(_contract()) if name == guides.CONTRACT else guides.guide(name)
    if found is None:
        raise unknown("name", "unknown_guide", "There is no guide with this name: /docs lists all guides.")
    return _page(found)


@operation.get("/problems")
@produces(HTML, JSON)
def kinds_of_problem() -> Response:
    """The list of the kinds of problem."""
    return _html_or_json(
        lambda: {"problems": [_problem_as_json(code) for code in KINDS]},
        lambda: guides.problems(tuple((code, kind.status, kind.title) for code, kind in KINDS.items())),
    )


@operation.get("/problems/<code>")
@produces(HTML, JSON)
def kind_of_problem(code: str) -> Response:
    """What a `type` of a problem means, and what to do."""
    if code not in KINDS:
        raise unknown("code", "unknown_problem", "There is no problem type with this name: /problems lists all problem types.")
    return _html_or_json(lambda: _problem_as_json(code), lambda: guides.problem(code, *KINDS[code]))


def _html_or_json(document: Callable[[], dict[str, object]], page: Callable[[], bytes]) -> Response:
    """Respond with the page or with the JSON document, whichever `Accept` prefers."""
    response = reply_json(document()) if chosen(_FORMS) == JSON else _page(page())
    response.vary.add("Accept")
    return response


def _problem_as_json(code: str) -> dict[str, object]:
    return {"type": f"{ADDRESS}/{code}", "code": code, **KINDS[code]._asdict()}


_FORMS = {"html": HTML, "json": JSON}


def _page(html: bytes) -> Response:
    return reply(html, headers={"Content-Security-Policy": PAGE_POLICY.format(styles=guides.style_hash())}, media=HTML)


@cache
def _contract() -> bytes:
    return OPENAPI.read_bytes()

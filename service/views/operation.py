"""Operation: alive, ready, and the contract itself."""

from __future__ import annotations

from functools import cache
from pathlib import Path

from flask import Blueprint, Response, current_app

from service import manual
from service.forms import PAGE_POLICY
from service.parts import engine, settings, store
from service.problems import Problem, fault
from service.replies import offers, reply, reply_json
from service.watch.readiness import reasons

operation = Blueprint("operation", __name__)
OPENAPI = Path(__file__).parents[2] / "openapi.yaml"
YAML = "application/yaml"
PLAIN, HTML = "text/plain", "text/html"


@operation.get("/livez")
def alive() -> Response:
    """The process answers."""
    return reply_json({"status": "alive"})


@operation.get("/readyz")
def ready() -> Response:
    """The process can make and store quotes."""
    found = reasons(store(), engine(), settings().least_free_mb)
    if found:
        raise Problem(503, " ".join(each.words for each in found), [fault("#", each.code, each.words) for each in found])
    return reply_json({"status": "ready"})


@operation.get("/metrics")
@offers(PLAIN)
def metrics() -> Response:
    """What Prometheus reads."""
    text, media = current_app.extensions["measures"].text()
    return reply(text, media=media)


@operation.get("/openapi.yaml")
@offers(YAML)
def contract() -> Response:
    """The contract."""
    return reply(_contract(), media=YAML)


@operation.get("/docs")
@offers(HTML)
def docs() -> Response:
    """The contract as a page."""
    return reply(manual.page(_contract()), headers={"Content-Security-Policy": PAGE_POLICY.format(styles=manual.style_hash())}, media=HTML)


@cache
def _contract() -> bytes:
    return OPENAPI.read_bytes()

"""Sample requests for trying out the service; each can be posted back as it is."""

from __future__ import annotations

from flask import Blueprint, Response

from service.demo import demo_names, demo_request
from service.http.problems import unknown
from service.http.responses import reply, reply_json

demo = Blueprint("demo", __name__)


@demo.get("/v1/demo-requests")
def names() -> Response:
    """List the names of the sample requests."""
    return reply_json({"demo_requests": [{"name": name, "href": f"/v1/demo-requests/{name}"} for name in demo_names()]})


@demo.get("/v1/demo-requests/<name>")
def one(name: str) -> Response:
    """One sample request."""
    if name not in demo_names():
        raise unknown("name", "unknown_demo_request", f"There is no demo request with this name; the names are {', '.join(demo_names())}.")
    return reply(demo_request(name))

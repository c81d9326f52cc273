"""Requests to try the service with, ready to be posted back."""

from __future__ import annotations

from flask import Blueprint, Response

from service.demo import demo_names, demo_request
from service.problems import Problem
from service.replies import reply, reply_json

demo = Blueprint("demo", __name__)


@demo.get("/v1/demo-requests")
def names() -> Response:
    """Their names."""
    return reply_json({"demo_requests": [{"name": name, "href": f"/v1/demo-requests/{name}"} for name in demo_names()]})


@demo.get("/v1/demo-requests/<name>")
def one(name: str) -> Response:
    """One of them."""
    if name not in demo_names():
        raise Problem(404, f"There is no demo request of that name; there are {', '.join(demo_names())}.")
    return reply(demo_request(name))

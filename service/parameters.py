"""Query parameters: each address names those it takes, and refuses another, so that a slip of the pen is not passed over in silence."""

from __future__ import annotations

from collections.abc import Callable
from typing import Any, TypeVar

from flask import Flask, request

from service.guard.entrance import need
from service.problems import Problem, parameter_fault

VERSIONED = "/v1/"  # what lies elsewhere is for probes and browsers, which add what they like
TOKEN = "token"  # noqa: S105  # the name of a link's parameter, not a secret
View = TypeVar("View", bound=Callable[..., Any])


def takes(*names: str) -> Callable[[View], View]:
    """Mark a view with the query parameters that it takes; without a mark it takes none."""

    def mark(view: View) -> View:
        view.takes = frozenset(names)  # type: ignore[attr-defined]  # read by `install`
        return view

    return mark


def takes_its_own(view: View) -> View:
    """Mark a view that judges its query parameters itself, for example to tell all their faults at once."""
    view.takes = None  # type: ignore[attr-defined]  # read by `install`
    return view


def install(app: Flask) -> None:
    """Refuse a parameter that the address does not take."""

    @app.before_request
    def judge() -> None:
        if not request.args or request.endpoint is None or request.method == "OPTIONS" or not request.path.startswith(VERSIONED):
            return
        taken: frozenset[str] | None = getattr(app.view_functions[request.endpoint], "takes", frozenset())
        if taken is None:
            return
        asked = need()
        unknown = [name for name in request.args if name not in taken and not (name == TOKEN and asked is not None and asked.link)]
        if unknown:
            words = f"accepted here: {', '.join(sorted(taken))}" if taken else "this address takes none: leave it out"
            raise Problem(
                422, "The address cannot be read as asked.", [parameter_fault(name, "unknown_parameter", words) for name in unknown]
            )

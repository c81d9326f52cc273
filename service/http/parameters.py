"""Query parameters: each endpoint declares those it takes and rejects any other, so that a typo is not silently ignored."""

from __future__ import annotations

from collections.abc import Callable, Collection, Sequence
from typing import Any, TypeVar

from flask import Flask, request

from pricing.nearest import nearest
from service.http.caller import requirement
from service.http.problems import Problem, parameter_fault
from service.http.unproxied import current_request

VERSIONED = "/v1/"  # other paths are for probes and browsers, which add parameters of their own
TOKEN = "token"  # noqa: S105  # the name of a link's parameter, not a secret
View = TypeVar("View", bound=Callable[..., Any])


def query_parameters(*names: str) -> Callable[[View], View]:
    """Declare the query parameters a view takes; a view without a declaration takes none."""

    def mark(view: View) -> View:
        view.query_parameters = frozenset(names)  # type: ignore[attr-defined]  # read by `install`
        return view

    return mark


def one_of(name: str, choices: Sequence[str]) -> str:
    """The parameter's value, which must be one of the choices; the first choice if it is missing. Raises Problem (422) for any other value."""
    named = request.args.get(name, choices[0])
    if named not in choices:
        words = f"give {' or '.join(choices)}, or leave it out"
        raise Problem(422, f"{named[:60]!r} is not an accepted value.", [parameter_fault(name, "unknown_choice", words)])
    return named


def validates_query_itself(view: View) -> View:
    """Mark a view that validates its query parameters itself, for example to report all faults at once."""
    view.query_parameters = None  # type: ignore[attr-defined]  # read by `install`
    return view


def install(app: Flask) -> None:
    """Reject parameters that the endpoint does not take."""

    @app.before_request
    def check_parameters() -> None:
        sent = current_request()
        if not sent.environ.get("QUERY_STRING") or sent.endpoint is None or sent.method == "OPTIONS" or not sent.path.startswith(VERSIONED):
            return
        taken: frozenset[str] | None = getattr(app.view_functions[sent.endpoint], "query_parameters", frozenset())
        faults = _unknown(taken) if taken is not None else []
        faults += [
            parameter_fault(name, "given_twice", "send this parameter only once")
            for name, values in sent.args.lists()
            if len(values) > 1 and not any(each["parameter"] == name for each in faults)
        ]
        if faults:
            raise Problem(422, "The query parameters cannot be used; each fault is listed.", faults)


def _unknown(taken: frozenset[str]) -> list[dict[str, object]]:
    required = requirement()
    words = f"accepted here: {', '.join(sorted(taken))}" if taken else "this endpoint has no query parameters: leave it out"
    unknown = (name for name in request.args if name not in taken and not (name == TOKEN and required is not None and required.link))
    return [parameter_fault(name, "unknown_parameter", meant(name, taken) + words) for name in unknown]


# names that other APIs give to the parameters of pagination
_ELSEWHERE = {"page": "cursor", "offset": "cursor", "after": "cursor", "page_size": "limit", "per_page": "limit", "count": "limit"}


def meant(name: str, taken: Collection[str]) -> str:
    """`did you mean 'limit'? ` for an unknown parameter that resembles one of `taken`; otherwise empty. The remedy follows it."""
    equivalent = _ELSEWHERE.get(name, "")
    near = equivalent if equivalent in taken else nearest(name, taken)
    return f"did you mean {near!r}? " if near else ""

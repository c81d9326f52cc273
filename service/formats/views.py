"""How much of a quote a reply has: the whole, or the summary of it. `?view=` decides, otherwise `Prefer: return=` (RFC 7240, 4.2)."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from typing import Any, NamedTuple

from flask import Response

from service.encoding import json
from service.formats.summary import summary
from service.http.prefer import preferred_return
from service.http.problems import Problem, parameter_fault
from service.http.responses import reply, vary
from service.http.unproxied import query_parameter

Json = dict[str, Any]
WHOLE, SUMMARY = "whole", "summary"
VIEWS = (WHOLE, SUMMARY)
BY_RETURN = {"minimal": SUMMARY, "representation": WHOLE}


class View(NamedTuple):
    """One of `VIEWS`. `named`: by the address, so that it must be honoured; `applied`: the preference that chose it, if one did."""

    name: str
    named: bool = False
    applied: str | None = None

    @property
    def whole(self) -> bool:
        """Whether nothing is left out."""
        return self.name == WHOLE

    @property
    def shown(self) -> Callable[[Json], Json] | None:
        """The function that makes this view of a quote's document; None for the whole document."""
        return None if self.whole else summary


_ALL = View(WHOLE)


def requested_view() -> View:
    """The view that the request wants. Raises Problem (422) for a view in the address that does not exist."""
    named = query_parameter("view")
    if named is not None:
        if named not in VIEWS:
            words = f"a quote has the views {' and '.join(VIEWS)}"
            raise Problem(422, "There is no such view of a quote.", [parameter_fault("view", "unknown_view", words)])
        return View(named, named=True)
    preference = preferred_return()
    return _ALL if preference is None else View(BY_RETURN[preference], applied=f"return={preference}")


def reply_viewed(view: View, body: bytes, status: int = 200, headers: Mapping[str, str] | None = None) -> Response:
    """The reply with a quote just made or changed, in JSON that already has this view."""
    return with_preference(view, reply(body, status, headers))


def reply_quote(view: View, body: bytes, status: int, etag: str, headers: Mapping[str, str] | None = None) -> Response:
    """The same from the body of a whole quote. The entity tag is that of the whole quote in either view: it says in which state the quote
    is now (RFC 9110, 15.3.2), for `If-Match` and for a later GET.
    """
    return reply_viewed(view, viewed(view, body), status, {"ETag": f'"{etag}"', **(headers or {})})


def viewed(view: View, body: bytes) -> bytes:
    """A whole quote's JSON in this view."""
    return body if view.whole else json.write(summary(json.read(body)))


def with_preference(view: View, response: Response) -> Response:
    """The response with the headers that say which preference was honoured, and that the response depends on it."""
    if view.applied:
        response.headers["Preference-Applied"] = view.applied
    vary(response, "Prefer")
    return response

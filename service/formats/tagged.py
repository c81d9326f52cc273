"""One assembly of a quote, named by its tag in the query."""

from __future__ import annotations

from flask import request

from pricing.model import Quote
from service.http.problems import Problem, parameter_fault


def asked_place(quote: Quote) -> int | None:
    """Where the assembly with the requested tag stands in the quote; None if the request names none. Raises Problem (422)."""
    tag = request.args.get("tag")
    if tag is None:
        return None
    for place, each in enumerate(quote.assemblies):
        if each.tag == tag:
            return place
    known = ", ".join(each.tag for each in quote.assemblies)
    raise Problem(422, "The quote has no assembly of that tag.", [parameter_fault("tag", "unknown_tag", f"give one of {known}")])

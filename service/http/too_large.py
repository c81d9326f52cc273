"""The problem for a request body that is too large, with the remedy for each endpoint."""

from __future__ import annotations

from flask import request

from service.http.problems import Problem, header_fault


def too_large(length: int, most: int) -> Problem:
    """413, with what to send less of at the current endpoint."""
    rule = request.url_rule.rule if request.url_rule is not None else ""
    words = f"The body has {length} bytes; at most {most} are accepted: {LESS.get(rule, 'shorten its texts')}."
    return Problem(413, words, [header_fault("Content-Length", "too_large", words)])


_AS_A_BATCH = "send fewer assemblies at once, or several boats as a batch (`POST /v1/batches`)"
_FEWER = "send fewer assemblies at once"
_FEWER_WIRES = "send a sheet with fewer wires, and the others in a second one"
LESS = {
    "/v1/quotes": _AS_A_BATCH,
    "/v1/quotes/preview": _AS_A_BATCH,
    "/v1/quotes/<uuid:quote_id>/revisions": _FEWER,
    "/v1/quotes/<uuid:quote_id>/corrections": _FEWER,
    "/v1/quotes/<uuid:quote_id>/settlements": "send fewer answers at once",
    "/v1/quotes/<uuid:quote_id>/as-built": "send fewer assemblies at once",
    "/v1/lengths": "send fewer lengths at once",
    "/v1/drawings": "send only the one assembly to be drawn, with only the fields that the form asks for",
    "/v1/measuring-sheet": _FEWER_WIRES,
    "/form/sheet": _FEWER_WIRES,
    "/form": "request a quote for fewer wires at once",
    "/v1/cutting-plans": "send fewer pieces at once",
    "/v1/stock/counts": 'count fewer rows at once and keep the others (`"others": "kept"`)',
    "/v1/tables": "send fewer files at once, and name in `base` the edition that has the others; put larger tables in force with the command `tables put`",
    "/v1/tables/<edition>/effect": "try fewer boats at once",
    "/v1/batches": "send it in several batches",
}

"""Cursor pagination: the cursor marks where a page ended, not how many rows came before, so new quotes shift nothing."""

from __future__ import annotations

import base64
import binascii
from collections.abc import Mapping
from typing import Protocol, TypeVar
from uuid import UUID

from service.http.parameters import meant
from service.http.problems import Fault, Problem, parameter_fault


class Listed(Protocol):
    """Anything with an id by which a list is ordered."""

    @property
    def id(self) -> str:
        """The id, a UUID version 7."""


Row = TypeVar("Row", bound=Listed)

MOST, USUAL = 100, 20
PARAMETERS = ("limit", "cursor")


def requested_page(arguments: Mapping[str, str]) -> tuple[int, str | None]:
    """`limit`, and the id after which the page starts, or None. Raises Problem (422) listing every parameter that is not valid."""
    faults: list[Fault] = [
        parameter_fault(name, "unknown_parameter", f"{meant(name, PARAMETERS)}accepted here: {', '.join(PARAMETERS)}")
        for name in arguments
        if name not in PARAMETERS
    ]
    limit, cursor = arguments.get("limit", str(USUAL)), arguments.get("cursor")
    if not (limit.isascii() and limit.isdigit() and 1 <= int(limit[:4]) <= MOST and len(limit) < 4):
        faults.append(parameter_fault("limit", "not_a_count", f"write a whole number from 1 to {MOST}"))
    before = None if cursor is None else _id_of(cursor)
    if cursor is not None and before is None:
        faults.append(
            parameter_fault("cursor", "unknown_cursor", "send the `next` of the previous page, or leave the cursor out for the first page")
        )
    if faults:
        raise Problem(422, "The list cannot be returned as requested.", faults)
    return int(limit), before


def page_after(found: list[Row], limit: int, path: str = "/v1/quotes") -> tuple[list[Row], dict[str, str], str | None]:
    """The page, its Link header and the next cursor. `found` must have one row more than `limit` if another page follows."""
    if len(found) <= limit:
        return found, {}, None
    cursor = _cursor_of(found[limit - 1].id)
    return found[:limit], {"Link": f'<{path}?limit={limit}&cursor={cursor}>; rel="next"'}, cursor


def _cursor_of(quote_id: str) -> str:
    return base64.urlsafe_b64encode(UUID(quote_id).bytes).decode().rstrip("=")


def _id_of(cursor: str) -> str | None:
    try:
        return str(UUID(bytes=base64.b64decode(cursor + "==", altchars=b"-_", validate=True)))
    except (ValueError, binascii.Error):
        return None

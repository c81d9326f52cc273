"""The caller of the current request, as established by authentication."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from service.credentials.keys import LINKS, Kind
from service.http.problems import Problem
from service.http.unproxied import request_state

if TYPE_CHECKING:
    from service.auth.access import Requirement
    from service.credentials.keys import Key


class WrongKey(Problem):
    """The key or link presented grants no access here."""


def caller() -> Key | None:
    """The key of the current request; None on a public endpoint."""
    return cast("Key | None", request_state().get("caller"))


def key_name() -> str | None:
    """The name of the key of the current request; None for a customer's link, and without a key."""
    who = caller()
    return None if who is None or who.kind in LINKS else who.name


def by_link() -> bool:
    """Whether the caller uses a link to one quote: the customer's own, or a reading link."""
    who = caller()
    return who is not None and who.kind in LINKS


def by_reading_link() -> bool:
    """Whether the caller uses a reading link. It is printed on the quote's documents, so this may be anyone who has the paper."""
    who = caller()
    return who is not None and who.kind is Kind.READING


def requirement() -> Requirement | None:
    """The access requirements of the current endpoint; None if no endpoint matched, or for OPTIONS."""
    return cast("Requirement | None", request_state().get("requirement"))

"""What became of a quote after it was issued. It stands beside the status, outside the checksum, and changes while the quote does not."""

from __future__ import annotations

from typing import Any

from msgspec import Struct

from pricing.model.assembly import Readiness


class Undone(Struct, frozen=True, gc=False):
    """When a settlement was undone (RFC 3339), by whom with which key, and why."""

    at: str
    by: str
    key: str
    reason: str


class Settlement(Struct, frozen=True, gc=False, kw_only=True):
    """An answer to what a finding asks: who gave it, with which key, when (RFC 3339) and in which words.

    `tag` is None for a finding of the whole quote. It answers the finding with these figures (`values`) and no other. `carried_from`: the id
    of the earlier revision that it was given for.
    """

    id: str
    tag: str | None
    code: str
    pointer: str
    wording: str | None = None
    values: dict[str, Any] | None = None
    words: str
    by: str
    key: str
    settled_at: str
    carried_from: str | None = None
    undone: Undone | None = None


class AcceptedBy(Struct, frozen=True, gc=False):
    """Who accepted and when (RFC 3339). `open`: `as_listed` where findings were still open, and the customer's words on that."""

    by: str
    at: str
    open: str | None = None
    understood: str | None = None


class Question(Struct, frozen=True, gc=False, kw_only=True):
    """What the customer asked the shop, when (RFC 3339), and the answer: by whom, with which key, and when. All None until it is given."""

    id: str
    words: str
    asked_at: str
    answer: str | None = None
    answered_at: str | None = None
    by: str | None = None
    key: str | None = None


class Standing(Struct, frozen=True, gc=False, kw_only=True):
    """`current_readiness` of each assembly by tag, `pieces_cut` of those that wire was taken for."""

    settlements: tuple[Settlement, ...] = ()
    current_readiness: dict[str, Readiness] = {}
    pieces_cut: dict[str, int] = {}
    accepted: AcceptedBy | None = None
    questions: tuple[Question, ...] = ()

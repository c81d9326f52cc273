"""A quote's standing: what happened to it after it was issued. It is kept beside the status, outside the checksum, and changes over time."""

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
    """An answer to a finding: by whom, with which key, when (RFC 3339) and in which words.

    `tag` is None for a finding on the whole quote. The answer holds only for the finding with exactly these `values`. `carried_from`: id of
    the earlier revision that it was given for.
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
    """A customer's question to the shop and when it was asked (RFC 3339); the answer, by whom, with which key and when: None until given."""

    id: str
    words: str
    asked_at: str
    answer: str | None = None
    answered_at: str | None = None
    by: str | None = None
    key: str | None = None


class Standing(Struct, frozen=True, gc=False, kw_only=True):
    """The standing of a quote; `current_readiness` is by assembly tag, and so is `pieces_cut`, for assemblies with pieces already cut."""

    settlements: tuple[Settlement, ...] = ()
    current_readiness: dict[str, Readiness] = {}
    pieces_cut: dict[str, int] = {}
    accepted: AcceptedBy | None = None
    questions: tuple[Question, ...] = ()

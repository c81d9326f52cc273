"""Finds assemblies by what a label's code says or someone types at the bench."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator
from typing import Any, NamedTuple
from urllib.parse import unquote

from service.desk import calls
from service.http.problems import Problem

_CODE = re.compile(r"(Q-[0-9]{4}-[0-9]{6,12})/([0-9]{1,4})/(.+)", re.ASCII | re.IGNORECASE)
_NUMBER = re.compile(r"(Q-[0-9]{4}-[0-9]{6,12})(?:\s+(.+))?", re.ASCII | re.IGNORECASE)
_ID = re.compile(r"/([0-9a-f]{8}(?:-[0-9a-f]{4}){3}-[0-9a-f]{12})\b", re.ASCII | re.IGNORECASE)
_AT_WORK = ("in_work", "accepted", "built")
MOST, MOST_PAGES, LONGEST = 10, 5, 120
Json = dict[str, Any]


class Match(NamedTuple):
    """An assembly that matches."""

    quote_id: str
    number: str
    revision: int
    boat: str
    tag: str


def find_assemblies(text: str) -> tuple[list[Match], bool]:
    """The assemblies meant by a label's code (an address, or number, revision and tag), a quote's number, a tag, or words of the quote; and
    whether there are more than these.
    """
    if link := _ID.search(text):
        return _with_tag(list(_assemblies_of(link[1].lower())), unquote(text.partition("#")[2]) or None), False
    if code := _CODE.fullmatch(text):
        rows = [row for row in _rows({"number": code[1].upper()}) if row["revision"] == int(code[2])]
        return _with_tag(_assemblies(rows), code[3]), False
    if number := _NUMBER.fullmatch(text):
        rows = sorted(_rows({"number": number[1].upper()}), key=lambda row: row["revision"])
        return _with_tag(_assemblies(rows[-1:]), number[2]), False
    return _by_words(text[:LONGEST])


def _by_words(text: str) -> tuple[list[Match], bool]:
    """Among quotes at work: the assemblies with that tag, else those whose tag begins with it, else those of quotes that contain these words."""
    rows, more = _at_work({"tag": text})
    assemblies = _assemblies(rows)
    beginning = [each for each in assemblies if each.tag.casefold().startswith(text.casefold())]
    if matches := _with_tag(assemblies, text) or beginning:
        return matches, more
    rows, more = _at_work({"q": text})
    return _assemblies(rows), more


def _at_work(query: calls.Query) -> tuple[list[Json], bool]:
    """At most MOST quotes at work, those begun first, and whether there are more: each is then read in full for its tags."""
    quotes: list[Json] = []
    for status in _AT_WORK:
        rows, following = _page_or_empty({**query, "status": status})
        quotes += rows
        if len(quotes) > MOST or (following is not None and len(quotes) == MOST):
            return quotes[:MOST], True
    return quotes, False


def _with_tag(assemblies: list[Match], tag: str | None) -> list[Match]:
    return [each for each in assemblies if tag is None or each.tag.casefold() == tag.casefold()]


def quotes_page(query: calls.Query, cursor: str | None = None) -> tuple[list[Json], str | None]:
    """A page of quotes, and the cursor of the next. The API's pages may end early and even be empty (find-a-quote.md), so several are read
    as one. Raises Problem where the API refuses.
    """
    rows: list[Json] = []
    for _ in range(MOST_PAGES):
        page = calls.read("/v1/quotes", {**query, "limit": MOST - len(rows), "cursor": cursor})
        rows, cursor = [*rows, *page["quotes"]], page["next"]
        if cursor is None or len(rows) == MOST:
            break
    return rows, cursor


def _rows(query: calls.Query) -> list[Json]:
    """The first page of quotes; empty if the API cannot search for what was typed."""
    return _page_or_empty(query)[0]


def _page_or_empty(query: calls.Query) -> tuple[list[Json], str | None]:
    try:
        return quotes_page(query)
    except Problem:
        return [], None


def _assemblies(rows: Iterable[Json]) -> list[Match]:
    return [each for row in rows for each in _assemblies_of(row["id"])]


def _assemblies_of(quote_id: str) -> Iterator[Match]:
    answer = calls.call("GET", f"/v1/quotes/{quote_id}")
    if not answer.ok:
        return
    quote = answer.value
    for assembly in quote["assemblies"]:
        yield Match(quote["id"], quote["number"], quote["revision"], quote["boat"]["name"] or "", assembly["tag"])

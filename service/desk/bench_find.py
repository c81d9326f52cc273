"""What a label's code says, or someone types at the bench: an assembly, or the assemblies of a quote."""

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


class Found(NamedTuple):
    """An assembly of a quote."""

    quote_id: str
    number: str
    revision: int
    boat: str
    tag: str


def found_by(sought: str) -> tuple[list[Found], bool]:
    """What is meant by a label's code (an address, or number, revision and tag), a quote's number, a tag, or words of the quote; and
    whether more fit than are told.
    """
    if linked := _ID.search(sought):
        return _tagged(list(_of(linked[1].lower())), unquote(sought.partition("#")[2]) or None), False
    if code := _CODE.fullmatch(sought):
        rows = [each for each in _rows({"number": code[1].upper()}) if each["revision"] == int(code[2])]
        return _tagged(_all(rows), code[3]), False
    if number := _NUMBER.fullmatch(sought):
        rows = sorted(_rows({"number": number[1].upper()}), key=lambda each: each["revision"])
        return _tagged(_all(rows[-1:]), number[2]), False
    return _by_words(sought[:LONGEST])


def _by_words(sought: str) -> tuple[list[Found], bool]:
    """Of what is at work: the assemblies of that tag, else those whose tag begins so, else those of quotes that have these words."""
    rows, more = _at_work({"tag": sought})
    of_tag = _all(rows)
    begun = [each for each in of_tag if each.tag.casefold().startswith(sought.casefold())]
    if found := _tagged(of_tag, sought) or begun:
        return found, more
    rows, more = _at_work({"q": sought})
    return _all(rows), more


def _at_work(asked: calls.Query) -> tuple[list[Json], bool]:
    """MOST quotes at work, those begun first, and whether there are more: each is read whole for its tags."""
    found: list[Json] = []
    for status in _AT_WORK:
        rows, following = _listed({**asked, "status": status})
        found += rows
        if len(found) > MOST or (following is not None and len(found) == MOST):
            return found[:MOST], True
    return found, False


def _tagged(found: list[Found], tag: str | None) -> list[Found]:
    return [each for each in found if tag is None or each.tag.casefold() == tag.casefold()]


def listed(asked: calls.Query, cursor: str | None = None) -> tuple[list[Json], str | None]:
    """A page of quotes, and where the next begins. Pages of the API may end early, even empty (find-a-quote.md): some are read as one. Raises
    Problem where the API refuses.
    """
    rows: list[Json] = []
    for _ in range(MOST_PAGES):
        page = calls.read("/v1/quotes", {**asked, "limit": MOST - len(rows), "cursor": cursor})
        rows, cursor = [*rows, *page["quotes"]], page["next"]
        if cursor is None or len(rows) == MOST:
            break
    return rows, cursor


def _rows(asked: calls.Query) -> list[Json]:
    """Quotes; none where what was typed is no word to search for."""
    return _listed(asked)[0]


def _listed(asked: calls.Query) -> tuple[list[Json], str | None]:
    try:
        return listed(asked)
    except Problem:
        return [], None


def _all(rows: Iterable[Json]) -> list[Found]:
    return [each for row in rows for each in _of(row["id"])]


def _of(quote_id: str) -> Iterator[Found]:
    answer = calls.call("GET", f"/v1/quotes/{quote_id}")
    if not answer.ok:
        return
    whole = answer.value
    for each in whole["assemblies"]:
        yield Found(whole["id"], whole["number"], whole["revision"], whole["boat"]["name"] or "", each["tag"])

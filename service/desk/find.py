"""Finds quotes by number, customer, boat or tag while someone types, and lists those that wait for something."""

from __future__ import annotations

from collections.abc import Iterator
from http import HTTPStatus
from pathlib import Path
from typing import Any

from flask import Blueprint, Response, request

from service.desk import calls
from service.desk.numbers import page_speech
from service.desk.pages import HTML, render_page
from service.documents.quotation.content import STATUSES
from service.http.responses import produces, reply

find = Blueprint("desk_find", __name__)
Json = dict[str, Any]
A_PAGE = 20
SCRIPT = (Path(__file__).parent / "find.js").read_bytes()
WAITING = ("questions", "open_asks", "to_cut", "expiring", "failed_as_built")


@find.get("/desk/find.js")
@produces("text/javascript")
def script() -> Response:
    """The script that updates the list while someone types."""
    return reply(SCRIPT, headers={"Cache-Control": "max-age=3600"}, media="text/javascript")


@find.get("/desk/find")
@produces(HTML)
def page() -> Response:
    """The quotes that match; the newest ones if nothing was typed."""
    text, waiting, cursor = request.args.get("q", "").strip(), request.args.get("waiting", ""), request.args.get("cursor", "")
    waiting = waiting if waiting in WAITING else ""
    quotes, following = _matches(text, waiting, cursor)
    return render_page("find.html", text=text, waiting=waiting, rows=[row_of(each) for each in quotes], following=following)


def _matches(text: str, waiting: str, cursor: str) -> tuple[list[Json], str | None]:
    """The matching quotes without duplicates, and the cursor of the next page. The API searches tags in a field of their own, hence several
    queries.
    """
    filters = {"waiting": waiting or None, "sort": "valid_until" if waiting == "expiring" else None, "limit": A_PAGE}
    if cursor or not text:
        page = calls.read("/v1/quotes", {**filters, "q": text or None, "cursor": cursor or None})
        return page["quotes"], page["next"]
    pages = [page for query in _searches(text) if (page := _page({**filters, **query})) is not None]
    quotes = {row["id"]: row for page in pages for row in page["quotes"]}
    return list(quotes.values())[:A_PAGE], pages[0]["next"] if pages and pages[0]["quotes"] else None


def _searches(text: str) -> Iterator[dict[str, str]]:
    """The queries for what was typed: as words of the quote, as a tag, and as words followed by a tag."""
    yield {"q": text}
    yield {"tag": text}
    words, _, tag = text.rpartition(" ")
    if words:
        yield {"q": words, "tag": tag}


def _page(query: calls.Query) -> Json | None:
    """A page of the API's matches; None if it cannot search for this, such as a lone comma."""
    answer = calls.call("GET", "/v1/quotes", query, headers={"Accept": calls.JSON})
    if answer.ok:
        page: Json = answer.value
        return page
    if answer.status == HTTPStatus.UNPROCESSABLE_ENTITY:
        return None
    raise calls.problem_in(answer)


def row_of(quote: Json) -> Json:
    """A quote's row in the API's list, with its status, total and last day written out."""
    speech = page_speech()
    status = speech.say(STATUSES[quote["status"]])
    return {
        **quote,
        "status_text": status[:1].upper() + status[1:],
        "payable_text": speech.money(quote["payable"], quote["currency"]),
        "valid_until_text": speech.day(quote["valid_until"]),
    }

"""Find a quote by number, customer, boat or tag, as one types; and the lists of what waits."""

from __future__ import annotations

from collections.abc import Iterator
from http import HTTPStatus
from pathlib import Path
from typing import Any

from flask import Blueprint, Response, request

from service.desk import calls
from service.desk.numbers import spoken
from service.desk.pages import HTML, shown
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
    """What lets the list follow the typing."""
    return reply(SCRIPT, headers={"Cache-Control": "max-age=3600"}, media="text/javascript")


@find.get("/desk/find")
@produces(HTML)
def page() -> Response:
    """What is found; without anything sought, the newest quotes."""
    sought, waiting, cursor = request.args.get("q", "").strip(), request.args.get("waiting", ""), request.args.get("cursor", "")
    waiting = waiting if waiting in WAITING else ""
    found, following = _found(sought, waiting, cursor)
    return shown("find.html", sought=sought, waiting=waiting, rows=[row_of(each) for each in found], following=following)


def _found(sought: str, waiting: str, cursor: str) -> tuple[list[Json], str | None]:
    """Quotes, each once, and the cursor of the next page. Tags are a field of their own to the API, so they are asked for apart."""
    usual = {"waiting": waiting or None, "sort": "valid_until" if waiting == "expiring" else None, "limit": A_PAGE}
    if cursor or not sought:
        page = calls.read("/v1/quotes", {**usual, "q": sought or None, "cursor": cursor or None})
        return page["quotes"], page["next"]
    pages = [each for query in _searches(sought) if (each := _page({**usual, **query})) is not None]
    found = {row["id"]: row for each in pages for row in each["quotes"]}
    return list(found.values())[:A_PAGE], pages[0]["next"] if pages and pages[0]["quotes"] else None


def _searches(sought: str) -> Iterator[dict[str, str]]:
    """As words of the quote, as words of a tag, and as both with the tag last."""
    yield {"q": sought}
    yield {"tag": sought}
    words, _, tag = sought.rpartition(" ")
    if words:
        yield {"q": words, "tag": tag}


def _page(query: calls.Query) -> Json | None:
    """A page of what the API finds; None for what it cannot look for, such as a comma alone."""
    answer = calls.call("GET", "/v1/quotes", query, headers={"Accept": calls.JSON})
    if answer.ok:
        page: Json = answer.value
        return page
    if answer.status == HTTPStatus.UNPROCESSABLE_ENTITY:
        return None
    raise calls.problem_in(answer)


def row_of(told: Json) -> Json:
    """A quote's line of the API's list, with what is written out."""
    said = spoken()
    status = said.say(STATUSES[told["status"]])
    return {
        **told,
        "said_status": status[:1].upper() + status[1:],
        "said_payable": said.money(told["payable"], told["currency"]),
        "said_until": said.day(told["valid_until"]),
    }

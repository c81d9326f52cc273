"""What waits today: for each role what it can do something about, the first few of each, and where that is done."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any, NamedTuple

from flask import Blueprint, Response, request

from service.auth.sessions import the_session
from service.credentials.people import Role
from service.desk import calls
from service.desk.find import row_of
from service.desk.numbers import spoken
from service.desk.pages import HTML, shown
from service.http.responses import produces, reply

home = Blueprint("desk_home", __name__)
FIRST = 4  # shown of each kind
CSV = "text/csv"
LATEST = 20  # fleets that are looked through for those that run or failed
A_PAGE = 20
EVERYONE, AT_COUNTER, OWNERS = frozenset(Role), frozenset({Role.COUNTER, Role.OWNER}), frozenset({Role.OWNER})
Json = dict[str, Any]


class Found(NamedTuple):
    """What waits of one kind: the first few, and how many there are; `among`: if only so many of the latest were looked through."""

    rows: list[Json]
    many: int
    among: int = 0


class Kind(NamedTuple):
    """A kind of what waits: whose it is, where all of it is, and how it is looked up."""

    name: str
    roles: frozenset[Role]
    at: str
    look: Callable[[], Found]


@home.get("/desk")
@produces(HTML)
def today() -> Response:
    """What waits for whoever is signed in."""
    role = the_session().person.role
    waiting = [(each, found) for each in KINDS if role in each.roles and (found := each.look()).many]
    return shown("today.html", waiting=waiting)


@home.get("/desk/what-to-buy.csv")
@produces(CSV)
def what_to_buy() -> Response:
    """What to buy for accepted quotes and for wire that runs low, as the API writes it for a spreadsheet."""
    answer = calls.get("/v1/purchases/needed", {"format": "csv"}, accept=CSV)
    kept = {name: answer.headers[name] for name in ("Content-Disposition", "Content-Language") if name in answer.headers}
    return reply(answer.body, headers={**kept, "Cache-Control": "no-store"}, media=CSV)


@home.get("/desk/messages")
@produces(HTML)
def messages() -> Response:
    """The messages that other systems did not take, a page at a time."""
    page = calls.read("/v1/webhooks/messages", {"limit": A_PAGE, "cursor": request.args.get("cursor")})
    return shown("messages.html", messages=[_dated(each) for each in page["messages"]], many=page["count"], following=page["next"])


def _quotes(waiting: str) -> Callable[[], Found]:
    def look() -> Found:
        sort = "valid_until" if waiting in ("expiring", "to_cut") else None
        page = calls.read("/v1/quotes", {"waiting": waiting, "limit": FIRST, "sort": sort})
        return Found([row_of(each) for each in page["quotes"]], page["count"])

    return look


def _batches() -> Found:
    """Of the latest ones those that run, and those with boats that failed."""
    page = calls.read("/v1/batches", {"limit": LATEST})
    rows = [_dated(each) for each in page["batches"] if each["status"] in ("waiting", "running") or each["failed"]]
    return Found(rows[:FIRST], len(rows), LATEST if page["next"] else 0)


def _given_up() -> Found:
    page = calls.read("/v1/webhooks/messages", {"limit": FIRST})
    return Found([_dated(each) for each in page["messages"]], page["count"])


def _dated(each: Json) -> Json:
    """With the day at the shop, written out."""
    return {**each, "day": spoken().day_of(each["created_at"])}


def _low() -> Found:
    said = spoken()
    rows = [
        {"name": said.named(each["name"]), "on_shelf": said.number(Decimal(each["on_shelf"]).normalize()), "below": said.number(Decimal(each["reorder_below"]).normalize())}
        for each in calls.read("/v1/purchases/low")["wires"]
    ]  # fmt: skip
    return Found(rows[:FIRST], len(rows))


KINDS = (
    Kind("questions", AT_COUNTER, "/desk/find?waiting=questions", _quotes("questions")),
    Kind("open_asks", AT_COUNTER, "/desk/find?waiting=open_asks", _quotes("open_asks")),
    Kind("to_cut", EVERYONE, "/desk/bench", _quotes("to_cut")),
    Kind("failed_as_built", EVERYONE, "/desk/find?waiting=failed_as_built", _quotes("failed_as_built")),
    Kind("expiring", AT_COUNTER, "/desk/find?waiting=expiring", _quotes("expiring")),
    Kind("batches", AT_COUNTER, "/desk/fleets", _batches),
    Kind("given_up", OWNERS, "/desk/messages", _given_up),
    Kind("low", OWNERS, "", _low),
)

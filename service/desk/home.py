"""The page Today: what waits for each role, the first few of every kind, and where it is dealt with."""

from __future__ import annotations

from collections.abc import Callable
from decimal import Decimal
from typing import Any, NamedTuple

from flask import Blueprint, Response, request

from service.auth.sessions import the_session
from service.credentials.people import Role
from service.desk import calls
from service.desk.find import row_of
from service.desk.numbers import page_speech
from service.desk.pages import HTML, render_page
from service.http.responses import produces, reply

home = Blueprint("desk_home", __name__)
FIRST = 4  # rows shown of each kind
CSV = "text/csv"
LATEST = 20  # fleets looked through for those that still run or have failures
A_PAGE = 20
EVERYONE, AT_COUNTER, OWNERS = frozenset(Role), frozenset({Role.COUNTER, Role.OWNER}), frozenset({Role.OWNER})
Json = dict[str, Any]


class Waiting(NamedTuple):
    """What waits of one kind: the first few rows and how many there are. `among`: how many of the latest were looked through; 0 means all."""

    rows: list[Json]
    many: int
    among: int = 0


class Kind(NamedTuple):
    """A kind of work that waits: the roles it concerns, the address of the full list, and the function that looks it up."""

    name: str
    roles: frozenset[Role]
    at: str
    look: Callable[[], Waiting]


@home.get("/desk")
@produces(HTML)
def today() -> Response:
    """What waits for whoever is signed in."""
    role = the_session().person.role
    waiting = [(kind, found) for kind in KINDS if role in kind.roles and (found := kind.look()).many]
    return render_page("today.html", waiting=waiting)


@home.get("/desk/what-to-buy.csv")
@produces(CSV)
def what_to_buy() -> Response:
    """The API's list of what to buy, for accepted quotes and for wire that runs low, as a spreadsheet."""
    answer = calls.get("/v1/purchases/needed", {"format": "csv"}, accept=CSV)
    kept = {name: answer.headers[name] for name in ("Content-Disposition", "Content-Language") if name in answer.headers}
    return reply(answer.body, headers={**kept, "Cache-Control": "no-store"}, media=CSV)


@home.get("/desk/messages")
@produces(HTML)
def messages() -> Response:
    """The messages that other systems did not take, a page at a time."""
    page = calls.read("/v1/webhooks/messages", {"limit": A_PAGE, "cursor": request.args.get("cursor")})
    return render_page("messages.html", messages=[_dated(each) for each in page["messages"]], many=page["count"], following=page["next"])


def _quotes(waiting: str) -> Callable[[], Waiting]:
    def look() -> Waiting:
        sort = "valid_until" if waiting in ("expiring", "to_cut") else None
        page = calls.read("/v1/quotes", {"waiting": waiting, "limit": FIRST, "sort": sort})
        return Waiting([row_of(each) for each in page["quotes"]], page["count"])

    return look


def _batches() -> Waiting:
    """The latest fleets that still run or have boats that failed."""
    page = calls.read("/v1/batches", {"limit": LATEST})
    rows = [_dated(each) for each in page["batches"] if each["status"] in ("waiting", "running") or each["failed"]]
    return Waiting(rows[:FIRST], len(rows), LATEST if page["next"] else 0)


def _given_up() -> Waiting:
    page = calls.read("/v1/webhooks/messages", {"limit": FIRST})
    return Waiting([_dated(each) for each in page["messages"]], page["count"])


def _dated(row: Json) -> Json:
    """The row with its day in the shop's time zone, written out."""
    return {**row, "day": page_speech().day_of(row["created_at"])}


def _low() -> Waiting:
    speech = page_speech()
    rows = [
        {"name": speech.named(each["name"]), "on_shelf": speech.number(Decimal(each["on_shelf"]).normalize()), "below": speech.number(Decimal(each["reorder_below"]).normalize())}
        for each in calls.read("/v1/purchases/low")["wires"]
    ]  # fmt: skip
    return Waiting(rows[:FIRST], len(rows))


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

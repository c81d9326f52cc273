"""Fleets at the counter: a table of many boats, quoted in the background and reviewed together."""

from __future__ import annotations

from http import HTTPStatus
from pathlib import Path
from typing import Any
from uuid import UUID

from flask import Blueprint, Response, request

from pricing.importing.grid import Unreadable
from service.desk import calls
from service.desk.fault_words import details_of, unreadable_file
from service.desk.numbers import page_speech
from service.desk.pages import HTML, redirect, render_page
from service.desk.refusal_words import Refusal, own_refusal, refusal_of
from service.desk.uploads import chosen, texts
from service.encoding import json
from service.http.current import settings
from service.http.idempotency import HEADER as ONCE
from service.http.responses import produces, reply

fleets = Blueprint("desk_fleets", __name__)
CSV = "text/csv"
AGAIN = 4  # seconds until the page of a running fleet reloads, in browsers without scripts
SCRIPT = (Path(__file__).parent / "fleets.js").read_bytes()
LISTED = 100  # quotes on one page
MOST_SHOWN = 500  # boats; larger fleets are shown as totals, with a table to download


@fleets.get("/desk/fleets")
@produces(HTML)
def listed() -> Response:
    """The latest fleets, and the form to send one."""
    return _list()


@fleets.post("/desk/fleets")
@produces(HTML)
def send() -> Response:
    """Have a table of boats quoted."""
    try:
        files = texts("boats")
    except Unreadable as error:
        return _list(own_refusal("unreadable_file", tuple(map(unreadable_file, error.notes))), 422)
    if not any(files.values()):
        return _list(own_refusal("no_file"), 422)
    once = request.form.get("once", "")
    headers = {"Content-Type": CSV, **({ONCE: once} if once else {})}
    answer = calls.call("POST", "/v1/batches", body=next(iter(files.values())).encode(), headers=headers)
    if answer.ok:
        return redirect(f"/desk/fleets/{answer.value['id']}", "fleet_sent")
    return _list(refusal_of(answer), answer.status)


@fleets.get("/desk/fleets.js")
@produces("text/javascript")
def script() -> Response:
    """The script that updates the figures while the fleet is being quoted."""
    return reply(SCRIPT, headers={"Cache-Control": "max-age=3600"}, media="text/javascript")


@fleets.get("/desk/fleets/<uuid:batch_id>")
@produces(HTML)
def one(batch_id: UUID) -> Response:
    """A fleet's progress, and once it is quoted, its results."""
    return _one(batch_id)


@fleets.post("/desk/fleets/<uuid:batch_id>/stop")
@produces(HTML)
def stop(batch_id: UUID) -> Response:
    """Stop quoting the rest of a fleet."""
    answer = calls.call("DELETE", f"/v1/batches/{batch_id}")
    return redirect(f"/desk/fleets/{batch_id}", "fleet_stopped") if answer.ok else _one(batch_id, refusal_of(answer), answer.status)


@fleets.get("/desk/fleets/<uuid:batch_id>/results.csv")
@produces(CSV)
def results(batch_id: UUID) -> Response:
    """The result for each boat, as a table."""
    answer = calls.get(f"/v1/batches/{batch_id}/results", {"format": "csv"}, accept=CSV)
    headers = {"Content-Disposition": f'attachment; filename="fleet-{batch_id}.csv"', "Cache-Control": "no-store"}
    return reply(answer.body, headers=headers, media=CSV)


def _list(refusal: Refusal | None = None, status: int = 200) -> Response:
    page = calls.read("/v1/batches", {"limit": 20, "cursor": request.args.get("cursor")})
    megabytes = page_speech().number(f"{settings().max_body_bytes / 1_000_000:g}")
    return render_page(
        "fleets.html",
        status,
        found=page["batches"],
        following=page["next"],
        refusal=refusal,
        chosen=chosen("boats") if refusal else [],
        typed=request.form,
        most=megabytes,
        speech=page_speech(),
    )


def _one(batch_id: UUID, refusal: Refusal | None = None, status: int = 200) -> Response:
    fleet = calls.read(f"/v1/batches/{batch_id}")
    goes_on = fleet["status"] in ("waiting", "running")
    lines = [] if goes_on or fleet["total"] > MOST_SHOWN else _lines(batch_id)
    quoted = [each for each in lines if each["outcome"] == "succeeded"]
    first = request.args.get("from", 0, type=int)
    first = first if 0 < first < len(quoted) else 0
    return render_page(
        "fleets_one.html", status, fleet=fleet, goes_on=goes_on, most=MOST_SHOWN, refusal=refusal, speech=page_speech(),
        failed=[] if first else [_with_reasons(each) for each in lines if each["outcome"] == "failed"],
        quoted=quoted[first : first + LISTED], first=first, following=first + LISTED if first + LISTED < len(quoted) else None,
        summary=None if goes_on or first else _summary(batch_id, fleet), again=AGAIN if goes_on and status == HTTPStatus.OK else None,
    )  # fmt: skip


def _lines(batch_id: UUID) -> list[dict[str, Any]]:
    answer = calls.get(f"/v1/batches/{batch_id}/results", {"format": "ndjson", "quotes": "heads"}, accept="application/x-ndjson")
    return [json.read_own(line) for line in answer.body.splitlines()]


def _with_reasons(line: dict[str, Any]) -> dict[str, Any]:
    """A failed line of the results, with the reasons why it was not quoted."""
    return {**line, "why": details_of(line["problem"])}


def _summary(batch_id: UUID, fleet: dict[str, Any]) -> dict[str, Any] | None:
    """The summary of the whole fleet; None if there is none, as for a cancelled fleet."""
    if fleet["status"] != "completed" or not 0 < fleet["succeeded"] <= MOST_SHOWN:
        return None
    answer = calls.call("GET", f"/v1/batches/{batch_id}/summary")
    return answer.value if answer.ok else None

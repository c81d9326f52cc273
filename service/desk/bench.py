"""The bench: what is to be cut, and the sheet of one assembly with its drawing and its label, read at arm's length."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple
from urllib.parse import quote as encoded
from uuid import UUID

from flask import Blueprint, Response, request

from service.desk import calls
from service.desk.bench_find import found_by, listed
from service.desk.numbers import spoken
from service.desk.pages import HTML, go, language, shown
from service.desk.words import Refusal
from service.http.problems import unknown
from service.http.responses import produces, reply

bench = Blueprint("desk_bench", __name__)
READY, SVG, PDF = "ready_to_cut", "image/svg+xml", "application/pdf"
TICK, LONGEST_NAME = "quote-", 200
SCAN = (Path(__file__).parent / "scan.js").read_bytes()
_KEPT = ("Content-Type", "Content-Disposition", "Content-Language", "Content-Security-Policy")
Json = dict[str, Any]


class Piece(NamedTuple):
    """An assembly of a quote at the bench. `length` is empty where it must not be cut; `left`: pieces of it that are not cut."""

    tag: str
    wire: str
    length: str
    quantity: int
    left: int


@bench.get("/desk/bench")
@produces(HTML)
def to_cut() -> Response:
    """What is ready to cut and not cut, by quote and tag."""
    return bench_list(request.args.get("cursor"))


def bench_list(cursor: str | None, refusal: Refusal | None = None, status: int = 200) -> Response:
    """A page of the list, with what is ticked on it and on others."""
    found, following = listed({"waiting": "to_cut", "sort": "valid_until"}, cursor)
    rows = [(row, [each for each in pieces_of(_whole(row["id"])) if each.left]) for row in found]
    ticked = ticks()
    here = {row["id"] for row, _ in rows}
    return shown(
        "bench.html", status, rows=rows, cursor=cursor, following=following, refusal=refusal, typed=request.form if refusal else {}, ticked=ticked,
        elsewhere=[(quote_id, name) for quote_id, name in ticked.items() if quote_id not in here],
    )  # fmt: skip


def ticks() -> dict[str, str]:
    """The quotes that are ticked in the form, id by id, each with the name that it is shown by."""
    found = {name.removeprefix(TICK): value for name, value in request.form.items() if name.startswith(TICK)}
    return {quote_id: value[:LONGEST_NAME] for quote_id, value in found.items()}


@bench.get("/desk/bench/find")
@produces(HTML)
def find() -> Response:
    """The assembly that a label's code, a number or a tag names; where it names several, the choice."""
    sought = request.args.get("code", "").strip()
    found, more = found_by(sought) if sought else ([], False)
    if len(found) == 1 and not more:
        return go(sheet_at(found[0].quote_id, found[0].tag))
    return shown("bench_found.html", sought=sought, found=found, more=more)


@bench.get("/desk/bench/<uuid:quote_id>")
@produces(HTML)
def of_quote(quote_id: UUID) -> Response:
    """The assemblies of a quote."""
    whole = _whole(str(quote_id))
    return shown("bench_quote.html", quote=whole, pieces=list(pieces_of(whole)))


@bench.get("/desk/bench/<uuid:quote_id>/<tag:tag>")
@produces(HTML)
def sheet(quote_id: UUID, tag: str) -> Response:
    """The sheet of one assembly, with figures where it may be cut, and else with what to do first."""
    said, assembly = sheet_of(str(quote_id), tag)
    recorded = records_of(str(quote_id), tag)
    newest = _newest(said["quote"]) if said["quote"]["status"] == "superseded" else ""
    whole = _whole(str(quote_id))
    days = {(each["code"], each["words"]): spoken().day_of(each["settled_at"]) for each in whole.get("settlements", ())}
    return shown(
        "bench_sheet.html", sheet=said, each=assembly, gone=whole.get("pieces_cut", {}).get(tag, 0), recorded=recorded, newest=newest, days=days,
        speech=spoken(), **addresses(str(quote_id), tag),
    )  # fmt: skip


@bench.get("/desk/bench/drawings/<uuid:quote_id>/<tag:tag>")
@produces(SVG, HTML)
def drawing(quote_id: UUID, tag: str) -> Response:
    """The drawing of one assembly, as an image."""
    at = f"/v1/quotes/{quote_id}/assemblies/{encoded(tag, safe='')}/drawing"
    return _passed_on(calls.get(at, {"format": "svg", "lang": language()}, SVG))


@bench.get("/desk/bench/labels/<uuid:quote_id>")
@produces(PDF, HTML)
def labels(quote_id: UUID) -> Response:
    """The labels of a quote's pieces, or with `?tag=` of one assembly's; `?on=roll` for a printer of labels."""
    asked = {name: request.args.get(name) for name in ("tag", "on")}
    return _passed_on(calls.get(f"/v1/quotes/{quote_id}/labels", {**asked, "lang": language()}, PDF))


@bench.get("/desk/scan.js")
@produces("text/javascript")
def scan() -> Response:
    """Reads a label's code from a photograph, where the browser can."""
    return reply(SCAN, headers={"Cache-Control": "max-age=3600"}, media="text/javascript")


def pieces_of(whole: Json) -> Iterator[Piece]:
    """The assemblies of a whole quote, with a length where they may be cut now."""
    now, cut, own = whole.get("current_readiness", {}), whole.get("pieces_cut", {}), spoken()
    for each in whole["assemblies"]:
        ready = now.get(each["tag"], each["readiness"]) == READY and whole["status"] in ("accepted", "in_work")
        wire, many = own.named(each["wire"]["name"]) if each["wire"] else "", each["quantity"]
        length = own.local(each["cut_length"]["text"]) if ready else ""
        yield Piece(each["tag"], wire, length, many, many - cut.get(each["tag"], 0) if ready else 0)


def sheet_of(quote_id: str, tag: str) -> tuple[Json, Json]:
    """A quote's bench sheet in the language of the page, and what it says of one assembly. Raises Problem (404)."""
    said = calls.read(f"/v1/quotes/{quote_id}/bench-sheet", {"lang": language()})
    for each in said["assemblies"]:
        if each["tag"] == tag:
            return said, each
    raise unknown("tag", "unknown_assembly", f"The quote has no assembly {tag!r}.")


def records_of(quote_id: str, tag: str) -> dict[int, Json]:
    """The latest record of each finished piece of an assembly, by the number of the piece."""
    every = calls.read(f"/v1/quotes/{quote_id}/as-built")["records"]
    return {one["piece"]: {**one, "by": each["by"], "id": each["id"]} for each in every for one in each["assemblies"] if one["tag"] == tag}


def sheet_at(quote_id: str, tag: str) -> str:
    """The address of the sheet of an assembly."""
    return f"/desk/bench/{quote_id}/{encoded(tag, safe='')}"


def addresses(quote_id: str, tag: str) -> Json:
    """Where the things of an assembly are at the desk."""
    name = encoded(tag, safe="")
    return {
        "at": sheet_at(quote_id, tag),
        "built_at": f"/desk/bench/built/{quote_id}/{name}",
        "drawing_at": f"/desk/bench/drawings/{quote_id}/{name}",
        "labels_at": f"/desk/bench/labels/{quote_id}?tag={name}",
    }


def _whole(quote_id: str) -> Json:
    found: Json = calls.read(f"/v1/quotes/{quote_id}")
    return found


def _newest(head: Json) -> str:
    """Where the latest revision stands at the bench."""
    rows = calls.read("/v1/quotes", {"number": head["number"]})["quotes"]
    return f"/desk/bench/{max(rows, key=lambda each: each['revision'])['id']}" if rows else ""


def _passed_on(answer: calls.Answer) -> Response:
    """A document of the API, as it came."""
    headers = {name: answer.headers[name] for name in _KEPT if name in answer.headers}
    return Response(answer.body, answer.status, {**headers, "Cache-Control": "private, no-store"})

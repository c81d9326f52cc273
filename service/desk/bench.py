"""Pages of the bench: what is ready to cut, and one assembly's sheet with its drawing and label, legible at arm's length."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any, NamedTuple
from urllib.parse import quote as encoded
from uuid import UUID

from flask import Blueprint, Response, request

from service.desk import calls
from service.desk.bench_find import find_assemblies, quotes_page
from service.desk.numbers import page_speech
from service.desk.pages import HTML, language, redirect, render_page
from service.desk.refusal_words import Refusal
from service.http.problems import unknown
from service.http.responses import produces, reply

bench = Blueprint("desk_bench", __name__)
READY, SVG, PDF = "ready_to_cut", "image/svg+xml", "application/pdf"
TICK, LONGEST_NAME = "quote-", 200
SCAN = (Path(__file__).parent / "scan.js").read_bytes()
_KEPT = ("Content-Type", "Content-Disposition", "Content-Language", "Content-Security-Policy")
Json = dict[str, Any]


class Piece(NamedTuple):
    """An assembly of a quote. `length`: the cut length, empty while it must not be cut; `left`: how many of its pieces are still to be cut."""

    tag: str
    wire: str
    length: str
    quantity: int
    left: int


@bench.get("/desk/bench")
@produces(HTML)
def to_cut() -> Response:
    """The list of assemblies that are ready and not cut yet, by quote and tag."""
    return bench_list(request.args.get("cursor"))


def bench_list(cursor: str | None, refusal: Refusal | None = None, status: int = 200) -> Response:
    """One page of the cutting list, with the quotes ticked on this page and on others."""
    quotes, following = quotes_page({"waiting": "to_cut", "sort": "valid_until"}, cursor)
    rows = [(row, [piece for piece in pieces_of(_quote(row["id"])) if piece.left]) for row in quotes]
    ticked = ticks()
    here = {row["id"] for row, _ in rows}
    return render_page(
        "bench.html", status, rows=rows, cursor=cursor, following=following, refusal=refusal, typed=request.form if refusal else {}, ticked=ticked,
        elsewhere=[(quote_id, name) for quote_id, name in ticked.items() if quote_id not in here],
    )  # fmt: skip


def ticks() -> dict[str, str]:
    """The quotes ticked in the posted form: by id, the name that each is shown by."""
    ticked = {name.removeprefix(TICK): value for name, value in request.form.items() if name.startswith(TICK)}
    return {quote_id: name[:LONGEST_NAME] for quote_id, name in ticked.items()}


@bench.get("/desk/bench/find")
@produces(HTML)
def find() -> Response:
    """Opens the assembly that a label's code, a quote's number or a tag identifies; where several match, lists them to choose from."""
    code = request.args.get("code", "").strip()
    matches, more = find_assemblies(code) if code else ([], False)
    if len(matches) == 1 and not more:
        return redirect(sheet_at(matches[0].quote_id, matches[0].tag))
    return render_page("bench_found.html", code=code, matches=matches, more=more)


@bench.get("/desk/bench/<uuid:quote_id>")
@produces(HTML)
def of_quote(quote_id: UUID) -> Response:
    """The assemblies of a quote."""
    quote = _quote(str(quote_id))
    return render_page("bench_quote.html", quote=quote, pieces=list(pieces_of(quote)))


@bench.get("/desk/bench/<uuid:quote_id>/<tag:tag>")
@produces(HTML)
def sheet(quote_id: UUID, tag: str) -> Response:
    """The sheet of one assembly: its figures if it may be cut, otherwise what to do first."""
    document, assembly = sheet_of(str(quote_id), tag)
    newest = _newest(document["quote"]) if document["quote"]["status"] == "superseded" else ""
    quote, speech = _quote(str(quote_id)), page_speech()
    days = {(each["code"], each["words"]): speech.day_of(each["settled_at"]) for each in quote.get("settlements", ())}
    return render_page(
        "bench_sheet.html", sheet=document, assembly=assembly, gone=quote.get("pieces_cut", {}).get(tag, 0), recorded=records_of(str(quote_id), tag),
        newest=newest, days=days, speech=speech, **addresses(str(quote_id), tag),
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
    query = {name: request.args.get(name) for name in ("tag", "on")}
    return _passed_on(calls.get(f"/v1/quotes/{quote_id}/labels", {**query, "lang": language()}, PDF))


@bench.get("/desk/scan.js")
@produces("text/javascript")
def scan() -> Response:
    """Reads a label's code from a photograph, where the browser can."""
    return reply(SCAN, headers={"Cache-Control": "max-age=3600"}, media="text/javascript")


def pieces_of(quote: Json) -> Iterator[Piece]:
    """The assemblies of a quote, each with its cut length if it may be cut now."""
    readiness, cut, speech = quote.get("current_readiness", {}), quote.get("pieces_cut", {}), page_speech()
    for assembly in quote["assemblies"]:
        tag, quantity = assembly["tag"], assembly["quantity"]
        ready = readiness.get(tag, assembly["readiness"]) == READY and quote["status"] in ("accepted", "in_work")
        wire = speech.named(assembly["wire"]["name"]) if assembly["wire"] else ""
        length = speech.local(assembly["cut_length"]["text"]) if ready else ""
        yield Piece(tag, wire, length, quantity, quantity - cut.get(tag, 0) if ready else 0)


def sheet_of(quote_id: str, tag: str) -> tuple[Json, Json]:
    """A quote's bench sheet in the page's language, and the part of it for one assembly. Raises Problem (404)."""
    document = calls.read(f"/v1/quotes/{quote_id}/bench-sheet", {"lang": language()})
    for assembly in document["assemblies"]:
        if assembly["tag"] == tag:
            return document, assembly
    raise unknown("tag", "unknown_assembly", f"The quote has no assembly {tag!r}.")


def records_of(quote_id: str, tag: str) -> dict[int, Json]:
    """The latest as-built record of each piece of an assembly, by the number of the piece."""
    records = calls.read(f"/v1/quotes/{quote_id}/as-built")["records"]  # the oldest first
    return {
        piece["piece"]: {**piece, "by": record["by"], "id": record["id"]}
        for record in records
        for piece in record["assemblies"]
        if piece["tag"] == tag
    }


def sheet_at(quote_id: str, tag: str) -> str:
    """The address of an assembly's sheet at the desk."""
    return f"/desk/bench/{quote_id}/{encoded(tag, safe='')}"


def addresses(quote_id: str, tag: str) -> Json:
    """The desk's addresses for an assembly, by the names that its templates use."""
    name = encoded(tag, safe="")
    return {
        "at": sheet_at(quote_id, tag),
        "built_at": f"/desk/bench/built/{quote_id}/{name}",
        "drawing_at": f"/desk/bench/drawings/{quote_id}/{name}",
        "labels_at": f"/desk/bench/labels/{quote_id}?tag={name}",
    }


def _quote(quote_id: str) -> Json:
    quote: Json = calls.read(f"/v1/quotes/{quote_id}")
    return quote


def _newest(head: Json) -> str:
    """The address at the bench of the latest revision; empty if there is none. `head`: the number that all revisions share."""
    rows = calls.read("/v1/quotes", {"number": head["number"]})["quotes"]
    return f"/desk/bench/{max(rows, key=lambda each: each['revision'])['id']}" if rows else ""


def _passed_on(answer: calls.Answer) -> Response:
    """A document of the API, passed on unchanged."""
    headers = {name: answer.headers[name] for name in _KEPT if name in answer.headers}
    return Response(answer.body, answer.status, {**headers, "Cache-Control": "private, no-store"})

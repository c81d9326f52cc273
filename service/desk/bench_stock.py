"""The wire on the shelf, and counting it: one piece at a time, or from a file."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from flask import Blueprint, Response, request

from pricing.importing.grid import Unreadable
from service.auth.sessions import the_session
from service.desk import calls
from service.desk.bench_words import refused_at_the_bench
from service.desk.fault_words import note_said
from service.desk.numbers import spoken
from service.desk.pages import HTML, go, language, shown
from service.desk.uploads import chosen, texts, with_commas
from service.desk.words import Refusal, said
from service.documents.bench_sheet import figures
from service.http.responses import produces
from service.wording import translator

bench_stock = Blueprint("desk_bench_stock", __name__)
KINDS = ("offcut", "opened", "new")
Json = dict[str, Any]


def _(text: str) -> str:
    return text


_OTHER = _("This tag is on another wire")
_OTHER_TAG = _("Nothing was counted. Compare the tag and the wire with the shelf; a piece of another wire needs a tag of its own.")


@bench_stock.get("/desk/stock")
@produces(HTML)
def shelf() -> Response:
    """What is on the shelf, wire by wire, the longest first."""
    held, names = calls.read("/v1/stock"), _names()
    rows = sorted(({**row, **_lengths(row)} for row in held["rows"]), key=lambda row: (-Decimal(row["length"]["mm"]), row["id"]))
    own = spoken()
    wires = [
        {
            **each,
            "metres": own.local(each["metres"]),
            "name": names.get(each["wire"], each["wire"]),
            "rows": [row for row in rows if row["wire"] == each["wire"]],
        }
        for each in held["wires"]
    ]
    return shown("stock.html", wires=sorted(wires, key=lambda each: each["name"]))


@bench_stock.get("/desk/stock/count")
@produces(HTML)
def form() -> Response:
    """The forms of a count; with `?id=` filled in with what the shelf has of that name."""
    return _form()


@bench_stock.post("/desk/stock/count")
@produces(HTML)
def count() -> Response:
    """Count one piece: it is on the shelf as it was counted, and everything else stays."""
    rows, typed = calls.read("/v1/stock")["rows"], request.form
    row = _row(typed, rows)
    if any(each["id"] == row["id"] and each["wire"] != row["wire"] for each in rows):
        say = translator(language())
        return _form(Refusal(say(_OTHER), say(_OTHER_TAG)), 422)
    return _counted({"rows": [row], "others": "kept", **_seen(), "by": the_session().person.name})


@bench_stock.post("/desk/stock/file")
@produces(HTML)
def file() -> Response:
    """Count by a file of the columns of the table of stock; what becomes of the rest is chosen with it."""
    try:
        found = [with_commas(text, name) for name, text in texts("file").items()]
    except Unreadable as error:
        return _form(Refusal(*said("unreadable_file"), tuple(map(note_said, error.notes))), 422)
    if not found:
        return _form(Refusal(*said("no_file")), 422)
    return _counted({"file": found[0], "others": request.form.get("others", ""), **_seen(), "by": the_session().person.name})


def _counted(order: Json) -> Response:
    answer = calls.post("/v1/stock/counts", order, once=request.form.get("once", ""))
    if answer.ok:
        return go("/desk/stock", "counted")
    return _form(refused_at_the_bench(answer), answer.status)


def _form(refusal: Refusal | None = None, status: int = 200) -> Response:
    held, names = calls.read("/v1/stock"), _names()
    asked = request.args.get("id", "")
    found = next((row for row in held["rows"] if row["id"] == asked), None)
    start = (
        {}
        if found is None
        else {**found, "price": found["price"] or found["price_per_metre"], "length": f"{Decimal(found['length']['mm']):f} mm"}
    )
    typed: Mapping[str, str] = request.form if refusal and request.path.endswith("/count") else {}
    by_file: Mapping[str, str] = request.form if refusal and request.path.endswith("/file") else {}
    return shown(
        "stock_count.html", status, version=held["version"], names=sorted(names.items(), key=lambda each: each[1]), kinds=KINDS, start=start,
        refusal=refusal, typed=typed, by_file=by_file, chosen=chosen("file") if by_file else [],
    )  # fmt: skip


def _row(typed: Mapping[str, str], rows: list[Json]) -> Json:
    """What was typed, as the API takes it. What cannot be a number goes as it is, to be refused in words."""
    many = typed.get("count", "").strip()
    row: Json = {name: typed.get(name, "").strip() for name in ("id", "wire", "kind", "length", "source")}
    row["count"] = int(many) if many.isascii() and many.isdecimal() and len(many) < 9 else many
    return {**row, **_worth(typed, row, rows)}


def _worth(typed: Mapping[str, str], row: Json, rows: list[Json]) -> Json:
    """What a metre was said to be worth; else what the shelf says of this piece, or of all others of the wire if they agree."""
    if price := typed.get("price", "").strip().replace(",", "."):
        return {"price_per_metre": price}
    for each in rows:
        if each["id"] == row["id"] and each["wire"] == row["wire"]:
            return {name: each[name] for name in ("price", "price_per_metre", "touch_cost") if each[name] is not None}
    worths = {each["price_per_metre"] for each in rows if each["wire"] == row["wire"]} - {None}
    return {"price_per_metre": worths.pop()} if len(worths) == 1 else {}


def _seen() -> dict[str, int]:
    seen = request.form.get("seen", "")
    return {"seen": int(seen)} if seen.isascii() and seen.isdecimal() and len(seen) < 10 else {}


def _names() -> dict[str, str]:
    """The wires of the tables in force, name by sku."""
    own = spoken()
    return {row["sku"]: own.named(row["name"]) for row in calls.read("/v1/catalogue/wires")["rows"]}


def _lengths(row: Json) -> Json:
    found = figures.length(Decimal(row["length"]["mm"]), spoken())
    return {"metric": found["metric"], "imperial": found["imperial"]}

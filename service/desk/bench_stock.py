"""The wire on the shelf, and its stock count: one piece at a time, or from a file."""

from __future__ import annotations

from collections.abc import Mapping
from decimal import Decimal
from typing import Any

from flask import Blueprint, Response, request

from pricing.importing.grid import Unreadable
from service.auth.sessions import the_session
from service.desk import calls
from service.desk.bench_words import refused_at_the_bench
from service.desk.fault_words import unreadable_file
from service.desk.numbers import page_speech
from service.desk.pages import HTML, language, redirect, render_page
from service.desk.refusal_words import Refusal, own_refusal
from service.desk.uploads import chosen, texts, with_commas
from service.documents.bench_sheet import figures
from service.http.responses import produces
from service.wording import translator

bench_stock = Blueprint("desk_bench_stock", __name__)
KINDS = ("offcut", "opened", "new")
Json = dict[str, Any]


def _(text: str) -> str:
    return text


_OTHER_WIRE = _("This tag is on another wire")
_COMPARE = _("Nothing was counted. Compare the tag and the wire with the shelf; a piece of another wire needs a tag of its own.")


@bench_stock.get("/desk/stock")
@produces(HTML)
def shelf() -> Response:
    """What is on the shelf, wire by wire, the longest piece first."""
    stock, names = calls.read("/v1/stock"), _names()
    rows = sorted(({**row, **_lengths(row)} for row in stock["rows"]), key=lambda row: (-Decimal(row["length"]["mm"]), row["id"]))
    speech = page_speech()
    wires = [
        {
            **each,
            "metres": speech.local(each["metres"]),
            "name": names.get(each["wire"], each["wire"]),
            "rows": [row for row in rows if row["wire"] == each["wire"]],
        }
        for each in stock["wires"]
    ]
    return render_page("stock.html", wires=sorted(wires, key=lambda each: each["name"]))


@bench_stock.get("/desk/stock/count")
@produces(HTML)
def form() -> Response:
    """The two forms to count by; `?id=` fills the first in with the piece of that tag."""
    return _form()


@bench_stock.post("/desk/stock/count")
@produces(HTML)
def count() -> Response:
    """Count one piece: the shelf then has it as counted, and everything else stays."""
    rows, typed = calls.read("/v1/stock")["rows"], request.form
    row = _row(typed, rows)
    if any(each["id"] == row["id"] and each["wire"] != row["wire"] for each in rows):
        say = translator(language())
        return _form(Refusal(say(_OTHER_WIRE), say(_COMPARE)), 422)
    return _counted({"rows": [row], "others": "kept", **_seen(), "by": the_session().person.name})


@bench_stock.post("/desk/stock/file")
@produces(HTML)
def file() -> Response:
    """Count from a file with the columns of the stock table; the form says whether everything else stays or is gone."""
    try:
        files = [with_commas(text, name) for name, text in texts("file").items()]
    except Unreadable as error:
        return _form(own_refusal("unreadable_file", tuple(map(unreadable_file, error.notes))), 422)
    if not files:
        return _form(own_refusal("no_file"), 422)
    return _counted({"file": files[0], "others": request.form.get("others", ""), **_seen(), "by": the_session().person.name})


def _counted(order: Json) -> Response:
    answer = calls.post("/v1/stock/counts", order, once=request.form.get("once", ""))
    if answer.ok:
        return redirect("/desk/stock", "counted")
    return _form(refused_at_the_bench(answer), answer.status)


def _form(refusal: Refusal | None = None, status: int = 200) -> Response:
    stock, names = calls.read("/v1/stock"), _names()
    tag = request.args.get("id", "")
    row = next((row for row in stock["rows"] if row["id"] == tag), None)
    start = (
        {} if row is None else {**row, "price": row["price"] or row["price_per_metre"], "length": f"{Decimal(row['length']['mm']):f} mm"}
    )
    typed: Mapping[str, str] = request.form if refusal and request.path.endswith("/count") else {}
    by_file: Mapping[str, str] = request.form if refusal and request.path.endswith("/file") else {}
    return render_page(
        "stock_count.html", status, version=stock["version"], names=sorted(names.items(), key=lambda each: each[1]), kinds=KINDS, start=start,
        refusal=refusal, typed=typed, by_file=by_file, chosen=chosen("file") if by_file else [],
    )  # fmt: skip


def _row(typed: Mapping[str, str], rows: list[Json]) -> Json:
    """What was typed, as a row for the API. A count that is not a number is sent as it is, so that the API refuses it in words."""
    many = typed.get("count", "").strip()
    row: Json = {name: typed.get(name, "").strip() for name in ("id", "wire", "kind", "length", "source")}
    row["count"] = int(many) if many.isascii() and many.isdecimal() and len(many) < 9 else many
    return {**row, **_worth(typed, row, rows)}


def _worth(typed: Mapping[str, str], row: Json, rows: list[Json]) -> Json:
    """The row's value: as typed per metre; otherwise that of this piece on the shelf, or of the wire's other pieces if they all agree."""
    if price := typed.get("price", "").strip().replace(",", "."):
        return {"price_per_metre": price}
    for each in rows:
        if each["id"] == row["id"] and each["wire"] == row["wire"]:
            return {name: each[name] for name in ("price", "price_per_metre", "touch_cost") if each[name] is not None}
    values = {each["price_per_metre"] for each in rows if each["wire"] == row["wire"]} - {None}
    return {"price_per_metre": values.pop()} if len(values) == 1 else {}


def _seen() -> dict[str, int]:
    """The version of the shelf that the form was filled in for, as part of the order."""
    seen = request.form.get("seen", "")
    return {"seen": int(seen)} if seen.isascii() and seen.isdecimal() and len(seen) < 10 else {}


def _names() -> dict[str, str]:
    """The names of the wires in the tables in force, by SKU."""
    speech = page_speech()
    return {row["sku"]: speech.named(row["name"]) for row in calls.read("/v1/catalogue/wires")["rows"]}


def _lengths(row: Json) -> Json:
    """The row's length in both unit systems."""
    length = figures.length(Decimal(row["length"]["mm"]), page_speech())
    return {"metric": length["metric"], "imperial": length["imperial"]}

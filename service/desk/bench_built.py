"""Records what was built, as measured at the bench; it is judged at once."""

from __future__ import annotations

import re
from collections.abc import Iterator
from decimal import Decimal
from typing import Any, NamedTuple
from uuid import UUID

from flask import Blueprint, Response, request

from pricing.units import parse_length
from service.auth.sessions import the_session
from service.desk import calls
from service.desk.bench import addresses, records_of, sheet_of
from service.desk.numbers import page_speech
from service.desk.pages import HTML, redirect, render_page
from service.desk.refusal_words import Refusal, own_refusal, refusal_of
from service.http.responses import produces

bench_built = Blueprint("desk_bench_built", __name__)
_BARE = re.compile(r"[0-9\s.,/]+", re.ASCII)
_UNITS = ("mm", "in")
_NEAR = Decimal("0.1")  # of the finished length: more than a tape is misread by
Json = dict[str, Any]


class Check(NamedTuple):
    """One check of a record, its lengths as texts. `off`: the deviation from the finished length; `way`: `long`, `short` or `right`."""

    what: str
    result: str
    measured: str | None
    allowed: str | None
    off: str = ""
    way: str = ""


@bench_built.get("/desk/bench/built/<uuid:quote_id>/<tag:tag>")
@produces(HTML)
def measured(quote_id: UUID, tag: str) -> Response:
    """The form for what was measured, beside the latest record."""
    return _page(str(quote_id), tag)


@bench_built.post("/desk/bench/built/<uuid:quote_id>/<tag:tag>")
@produces(HTML)
def record(quote_id: UUID, tag: str) -> Response:
    """Record one finished piece. The API judges it; a piece that fails is recorded too."""
    if _likely_other_unit(str(quote_id), tag):
        return _page(str(quote_id), tag, own_refusal("other_unit"), 422)
    answer = calls.post(f"/v1/quotes/{quote_id}/as-built", _order(tag), once=request.form.get("once", ""))
    if answer.ok:
        (piece,) = answer.value["assemblies"]
        return redirect(f"{addresses(str(quote_id), tag)['built_at']}?piece={piece['piece']}#judged")
    return _page(str(quote_id), tag, refusal_of(answer), answer.status)


def _page(quote_id: str, tag: str, refusal: Refusal | None = None, status: int = 200) -> Response:
    document, assembly = sheet_of(quote_id, tag)
    records, number = records_of(quote_id, tag), request.args.get("piece", "")
    system, units = document["leads_with"], ("in", "mm") if document["leads_with"] == "imperial" else _UNITS
    last = records.get(int(number)) if number.isdecimal() and len(number) < 4 else None
    missing = [piece for piece in range(1, assembly["quantity"] + 1) if piece not in records or records[piece]["verdict"] != "pass"]
    return render_page(
        "bench_built.html", status, sheet=document, assembly=assembly, recorded=records, last=last, judged=list(_checks(last, system)) if last else [],
        missing=missing, units=units, refusal=refusal, typed=request.form if refusal else {}, **addresses(quote_id, tag),
    )  # fmt: skip


def _order(tag: str) -> Json:
    """The posted form as the API's order to record."""
    form, unit = request.form, request.form.get("unit", "")
    finished: Json = {"tag": tag, "finished_length": _with_unit(form.get("length", ""), unit)}
    piece = form.get("piece", "1")
    finished["piece"] = int(piece) if piece.isascii() and piece.isdecimal() and len(piece) < 9 else piece
    for end in ("upper_shank", "lower_shank"):
        if readings := [text.strip() for text in form.get(end, "").split(";") if text.strip()]:
            finished[end] = [_with_unit(text, unit) for text in readings]
    note = form.get("note", "").strip()
    return {"assemblies": [finished], "by": the_session().person.name, **({"note": note} if note else {})}


def _likely_other_unit(quote_id: str, tag: str) -> bool:
    """Whether a length typed without a unit is near the finished length in the other unit, and nowhere near it in the chosen one."""
    typed, unit = request.form.get("length", ""), request.form.get("unit", "")
    build = sheet_of(quote_id, tag)[1]["build"]
    finished = build["finished"]["length"] if build else None
    if finished is None or _with_unit(typed, unit) == typed:
        return False
    try:
        deviations = {each: abs(parse_length(_with_unit(typed, each)) / Decimal(finished["mm"]) - 1) for each in _UNITS}
    except ValueError:
        return False  # the API refuses it, with the reason
    return deviations.pop(unit) > _NEAR >= deviations.popitem()[1]


def _with_unit(typed: str, unit: str) -> str:
    """What was typed; a bare number gets the unit that was chosen beside it."""
    bare = _BARE.fullmatch(typed) and any(character.isdecimal() for character in typed)
    return f"{typed.strip()} {unit}" if bare and unit in _UNITS else typed


def _checks(record: Json, system: str) -> Iterator[Check]:
    """The checks of a record, in the page's language."""
    speech = page_speech(system)
    for check in record["checks"]:
        measured, limit = (None if check[name] is None else speech.local(f"{_exact(check[name])} mm") for name in ("measured", "limit"))
        if check["what"] == "finished_length":
            off = Decimal(0) if record["deviation"] is None else Decimal(record["deviation"]["mm"])
            way = "" if record["deviation"] is None else "long" if off > 0 else "short" if off < 0 else "right"
            length, allowed = speech.local(record["finished_length"]["text"]), limit and f"± {limit}"
            yield Check(check["what"], check["result"], length, allowed, speech.local(f"{_exact(abs(off))} mm"), way)
        elif measured or limit:
            yield Check(check["what"], check["result"], measured, limit)


def _exact(mm: Json | Decimal) -> str:
    """Millimetres without rounding, as they are judged: a rounded figure could seem to lie on the other side of a limit."""
    return f"{Decimal(mm['mm'] if isinstance(mm, dict) else mm).normalize():f}"

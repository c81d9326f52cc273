"""What was built, as measured at the bench, and judged at once."""

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
from service.desk.numbers import spoken
from service.desk.pages import HTML, go, shown
from service.desk.words import Refusal, refusal_of
from service.desk.words import said as in_words
from service.http.responses import produces

bench_built = Blueprint("desk_bench_built", __name__)
_BARE = re.compile(r"[0-9\s.,/]+", re.ASCII)
_UNITS = ("mm", "in")
_NEAR = Decimal("0.1")  # a tape is misread by less
Json = dict[str, Any]


class Judged(NamedTuple):
    """One check of the API, its lengths as texts. `off`: how far from the finished length, and on which side: `long`, `short` or `right`."""

    what: str
    result: str
    measured: str | None
    allowed: str | None
    off: str = ""
    way: str = ""


@bench_built.get("/desk/bench/built/<uuid:quote_id>/<tag:tag>")
@produces(HTML)
def measured(quote_id: UUID, tag: str) -> Response:
    """The form for what was measured, and what was recorded last."""
    return _page(str(quote_id), tag)


@bench_built.post("/desk/bench/built/<uuid:quote_id>/<tag:tag>")
@produces(HTML)
def record(quote_id: UUID, tag: str) -> Response:
    """Record one finished piece. It is judged by the API; a piece that failed is recorded as well."""
    if _in_the_other_unit(str(quote_id), tag):
        return _page(str(quote_id), tag, Refusal(*in_words("other_unit")), 422)
    answer = calls.post(f"/v1/quotes/{quote_id}/as-built", _order(tag), once=request.form.get("once", ""))
    if answer.ok:
        (one,) = answer.value["assemblies"]
        return go(f"{addresses(str(quote_id), tag)['built_at']}?piece={one['piece']}#judged")
    return _page(str(quote_id), tag, refusal_of(answer), answer.status)


def _page(quote_id: str, tag: str, refusal: Refusal | None = None, status: int = 200) -> Response:
    said, assembly = sheet_of(quote_id, tag)
    records, asked = records_of(quote_id, tag), request.args.get("piece", "")
    of, units = said["leads_with"], ("in", "mm") if said["leads_with"] == "imperial" else _UNITS
    last = records.get(int(asked)) if asked.isdecimal() and len(asked) < 4 else None
    missing = [piece for piece in range(1, assembly["quantity"] + 1) if piece not in records or records[piece]["verdict"] != "pass"]
    return shown(
        "bench_built.html", status, sheet=said, each=assembly, recorded=records, last=last, judged=list(_judged(last, of)) if last else [],
        missing=missing, units=units, refusal=refusal, typed=request.form if refusal else {}, **addresses(quote_id, tag),
    )  # fmt: skip


def _order(tag: str) -> Json:
    form, unit = request.form, request.form.get("unit", "")
    finished: Json = {"tag": tag, "finished_length": _with_unit(form.get("length", ""), unit)}
    piece = form.get("piece", "1")
    finished["piece"] = int(piece) if piece.isascii() and piece.isdecimal() and len(piece) < 9 else piece
    for end in ("upper_shank", "lower_shank"):
        if readings := [each.strip() for each in form.get(end, "").split(";") if each.strip()]:
            finished[end] = [_with_unit(each, unit) for each in readings]
    note = form.get("note", "").strip()
    return {"assemblies": [finished], "by": the_session().person.name, **({"note": note} if note else {})}


def _in_the_other_unit(quote_id: str, tag: str) -> bool:
    """Whether a number alone is nowhere near the finished length in the unit chosen beside it, and is near it in the other one."""
    typed, unit = request.form.get("length", ""), request.form.get("unit", "")
    build = sheet_of(quote_id, tag)[1]["build"]
    finished = build["finished"]["length"] if build else None
    if finished is None or _with_unit(typed, unit) == typed:
        return False
    try:
        off = {each: abs(parse_length(_with_unit(typed, each)) / Decimal(finished["mm"]) - 1) for each in _UNITS}
    except ValueError:
        return False  # refused with its reason by the API
    return off.pop(unit) > _NEAR >= off.popitem()[1]


def _with_unit(typed: str, unit: str) -> str:
    """A number alone is in the unit that was chosen beside it."""
    bare = _BARE.fullmatch(typed) and any(each.isdecimal() for each in typed)
    return f"{typed.strip()} {unit}" if bare and unit in _UNITS else typed


def _judged(last: Json, units: str) -> Iterator[Judged]:
    """The checks of a record, in the page's language."""
    said = spoken(units)
    for each in last["checks"]:
        measured, limit = (None if each[name] is None else said.local(f"{_exact(each[name])} mm") for name in ("measured", "limit"))
        if each["what"] == "finished_length":
            off = Decimal(0) if last["deviation"] is None else Decimal(last["deviation"]["mm"])
            way = "" if last["deviation"] is None else "long" if off > 0 else "short" if off < 0 else "right"
            allowed = limit and f"± {limit}"
            yield Judged(
                each["what"],
                each["result"],
                said.local(last["finished_length"]["text"]),
                allowed,
                said.local(f"{_exact(abs(off))} mm"),
                way,
            )
        elif measured or limit:
            yield Judged(each["what"], each["result"], measured, limit)


def _exact(mm: Json | Decimal) -> str:
    """Millimetres as they are judged: rounded ones could seem to lie on the other side of a limit."""
    return f"{Decimal(mm['mm'] if isinstance(mm, dict) else mm).normalize():f}"

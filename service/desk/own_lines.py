"""A quote's lines by hand and its discount. Each change is a revision, whose total can be previewed."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple
from uuid import UUID

from flask import Blueprint, Response, request

from service.desk import calls
from service.desk.numbers import with_point
from service.desk.pages import HTML, language, redirect, render_page
from service.desk.quote_view import view_of
from service.desk.refusal_words import Refusal, refusal_of
from service.http.responses import produces

own_lines = Blueprint("desk_own_lines", __name__)
Json = dict[str, Any]
Typed = Mapping[str, str]
SPARE, MOST = 3, 100  # empty rows offered in the form, and the most lines that a request may have
FIELDS = ("text", "quantity", "unit", "unit_price", "tax")
ALWAYS = ("Z", "E", "AE", "O")  # tax categories at 0 % in any shop (EN 16931), offered besides those of the quote


class Tax(NamedTuple):
    """A tax to choose for a line; `rate` is empty if its category is always at 0 %."""

    category: str
    rate: str = ""

    @property
    def value(self) -> str:
        """Its value in the form."""
        return f"{self.category} {self.rate}".strip()


@own_lines.get("/desk/quotes/<uuid:quote_id>/lines")
@produces(HTML)
def page(quote_id: UUID) -> Response:
    """The quote's lines by hand and its discount."""
    stored = calls.read(f"/v1/quotes/{quote_id}/request")
    typed = {f"{name}-{place}": text for place, line in enumerate(stored.get("extra_lines", ())) for name, text in _fields_of(line)}
    discount = stored.get("discount", {})
    return _page(quote_id, {**typed, "reason": discount.get("text", ""), "reduction": discount.get("reduction", "")})


@own_lines.post("/desk/quotes/<uuid:quote_id>/lines")
@produces(HTML)
def revise(quote_id: UUID) -> Response:
    """Show the total that the changes would give, or issue the revision."""
    typed = dict(request.form.items())
    revised = _with(calls.read(f"/v1/quotes/{quote_id}/request"), typed)
    if typed.get("do") != "revise":
        answer = calls.post("/v1/quotes/preview", revised)
        return _page(quote_id, typed, preview=answer.value) if answer.ok else _refused(quote_id, typed, answer)
    answer = calls.post(f"/v1/quotes/{quote_id}/revisions", revised, typed.get("once", ""), typed.get("seen", ""))
    return redirect(f"/desk/quotes/{answer.value['id']}", "revised") if answer.ok else _refused(quote_id, typed, answer)


def _refused(quote_id: UUID, typed: Typed, answer: calls.Answer) -> Response:
    return _page(quote_id, {**typed, "seen": ""}, answer.status, refusal_of(answer))


def _page(quote_id: UUID, typed: Typed, status: int = 200, refusal: Refusal | None = None, preview: Json | None = None) -> Response:
    answer = calls.get(f"/v1/quotes/{quote_id}")
    view = view_of(answer.value, language())
    places = (name.rpartition("-")[2] for name in typed)
    rows = 1 + max((int(place) for place in places if place.isascii() and place.isdigit() and len(place) < 4), default=-1)
    return render_page(
        "own_lines.html", status, view=view, at=f"/desk/quotes/{quote_id}", seen=typed.get("seen") or answer.etag, typed=typed, refusal=refusal,
        rows=min(max(SPARE, rows + (0 if preview else SPARE)), MOST), taxes=_taxes(answer.value, typed),
        comes_to=None if preview is None else view.speech.money(preview["totals"]["payable"], preview["currency"]),
    )  # fmt: skip


def _taxes(quote: Json, typed: Typed) -> list[Tax]:
    """The taxes to choose from: the quote's own, those chosen already, and those at 0 %."""
    own = [Tax(tax["category"], "" if tax["category"] in ALWAYS else tax["rate"]) for tax in quote["totals"]["tax"]]
    chosen = [Tax(*text.split(" ", 1)) for name, text in typed.items() if name.startswith("tax-") and text]
    return list(dict.fromkeys([*(own or [Tax("S")]), *chosen, *map(Tax, ALWAYS)]))


def _fields_of(line: Json) -> Iterator[tuple[str, str]]:
    """The form's fields for a line of the request, name and text."""
    tax = Tax(line["tax_category"], line.get("tax_rate", ""))
    return ((name, tax.value if name == "tax" else line.get(name, "")) for name in FIELDS)


def _with(stored: Json, typed: Typed) -> Json:
    """The stored request with its lines and discount replaced by those that were typed."""
    kept = {name: value for name, value in stored.items() if name not in ("extra_lines", "discount")}
    lines = [line for place in range(MOST) if (line := _line(typed, place))]
    discount = {"text": typed.get("reason", ""), "reduction": with_point(typed.get("reduction", ""))}
    discount = {name: text for name, text in discount.items() if text.strip()}
    return {**kept, **({"extra_lines": lines} if lines else {}), **({"discount": discount} if discount else {})}


def _line(typed: Typed, place: int) -> Json:
    """The request's line for a row of the form; empty if neither words nor figures were typed."""
    cells = {name: typed.get(f"{name}-{place}", "").strip() for name in FIELDS}
    if not any(cells[name] for name in ("text", "quantity", "unit_price")):
        return {}
    category, _, rate = cells.pop("tax").partition(" ")
    cells |= {name: with_point(cells[name]) for name in ("quantity", "unit_price")}
    return {name: text for name, text in {**cells, "tax_category": category, "tax_rate": rate}.items() if text}

"""Lines that the shop adds to a quote by hand, and what it takes off: each change is a revision, of which the total can be seen first."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import Any, NamedTuple
from uuid import UUID

from flask import Blueprint, Response, request

from service.desk import calls
from service.desk.numbers import with_point
from service.desk.pages import HTML, go, language, shown
from service.desk.quote_view import view_of
from service.desk.words import Refusal, refusal_of
from service.http.responses import produces

own_lines = Blueprint("desk_own_lines", __name__)
Json = dict[str, Any]
Typed = Mapping[str, str]
SPARE, MOST = 3, 100  # empty rows that are offered, and how many lines a request may have
FIELDS = ("text", "quantity", "unit", "unit_price", "tax")
ALWAYS = ("Z", "E", "AE", "O")  # at 0 % in any shop (EN 16931), beside what this quote is taxed by


class Tax(NamedTuple):
    """A tax that a line can have; `rate` is empty where its category is always at 0 %."""

    category: str
    rate: str = ""

    @property
    def value(self) -> str:
        """As it stands in the form."""
        return f"{self.category} {self.rate}".strip()


@own_lines.get("/desk/quotes/<uuid:quote_id>/lines")
@produces(HTML)
def page(quote_id: UUID) -> Response:
    """The quote's lines by hand and its discount."""
    asked = calls.read(f"/v1/quotes/{quote_id}/request")
    typed = {f"{name}-{place}": text for place, line in enumerate(asked.get("extra_lines", ())) for name, text in _fields_of(line)}
    discount = asked.get("discount", {})
    return _page(quote_id, {**typed, "reason": discount.get("text", ""), "reduction": discount.get("reduction", "")})


@own_lines.post("/desk/quotes/<uuid:quote_id>/lines")
@produces(HTML)
def revise(quote_id: UUID) -> Response:
    """Show what it would come to, or issue the revision."""
    typed = dict(request.form.items())
    asked = _with(calls.read(f"/v1/quotes/{quote_id}/request"), typed)
    if typed.get("do") != "revise":
        answer = calls.post("/v1/quotes/preview", asked)
        return _page(quote_id, typed, preview=answer.value) if answer.ok else _refused(quote_id, typed, answer)
    answer = calls.post(f"/v1/quotes/{quote_id}/revisions", asked, typed.get("once", ""), typed.get("seen", ""))
    return go(f"/desk/quotes/{answer.value['id']}", "revised") if answer.ok else _refused(quote_id, typed, answer)


def _refused(quote_id: UUID, typed: Typed, answer: calls.Answer) -> Response:
    return _page(quote_id, {**typed, "seen": ""}, answer.status, refusal_of(answer))


def _page(quote_id: UUID, typed: Typed, status: int = 200, refusal: Refusal | None = None, preview: Json | None = None) -> Response:
    answer = calls.get(f"/v1/quotes/{quote_id}")
    view = view_of(answer.value, language())
    rows = (
        max(
            (int(place) for name in typed for place in [name.rpartition("-")[2]] if place.isascii() and place.isdigit() and len(place) < 4),
            default=-1,
        )
        + 1
    )
    return shown(
        "own_lines.html", status, view=view, at=f"/desk/quotes/{quote_id}", seen=typed.get("seen") or answer.etag, typed=typed, refusal=refusal,
        rows=min(max(SPARE, rows + (0 if preview else SPARE)), MOST), taxes=_taxes(answer.value, typed),
        comes_to=None if preview is None else view.speech.money(preview["totals"]["payable"], preview["currency"]),
    )  # fmt: skip


def _taxes(said: Json, typed: Typed) -> list[Tax]:
    own = [Tax(each["category"], "" if each["category"] in ALWAYS else each["rate"]) for each in said["totals"]["tax"]]
    before = [Tax(*text.split(" ", 1)) for name, text in typed.items() if name.startswith("tax-") and text]
    return list(dict.fromkeys([*(own or [Tax("S")]), *before, *map(Tax, ALWAYS)]))


def _fields_of(line: Json) -> Iterator[tuple[str, str]]:
    tax = Tax(line["tax_category"], line.get("tax_rate", ""))
    return ((name, tax.value if name == "tax" else line.get(name, "")) for name in FIELDS)


def _with(asked: Json, typed: Typed) -> Json:
    """The request with these lines and this discount in place of those it has; all else is as it was."""
    kept = {name: value for name, value in asked.items() if name not in ("extra_lines", "discount")}
    lines = [line for place in range(MOST) if (line := _line(typed, place))]
    discount = {"text": typed.get("reason", ""), "reduction": with_point(typed.get("reduction", ""))}
    given = {name: text for name, text in discount.items() if text.strip()}
    return {**kept, **({"extra_lines": lines} if lines else {}), **({"discount": given} if given else {})}


def _line(typed: Typed, place: int) -> Json:
    """A line as typed; empty for a row without any words or figure."""
    said = {name: typed.get(f"{name}-{place}", "").strip() for name in FIELDS}
    if not any(said[name] for name in ("text", "quantity", "unit_price")):
        return {}
    category, _, rate = said.pop("tax").partition(" ")
    said |= {name: with_point(said[name]) for name in ("quantity", "unit_price")}
    return {name: text for name, text in {**said, "tax_category": category, "tax_rate": rate}.items() if text}

"""Figures of the shop over a time, for its owner: tables, and a bar beside each number."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from flask import Blueprint, Response, request

from service.desk import calls
from service.desk.numbers import spoken
from service.desk.pages import HTML, language, shown
from service.desk.words import refusal_of
from service.http.responses import produces
from service.wording import translator

figures = Blueprint("desk_figures", __name__)
MOST_ASKS = 15


@figures.get("/desk/figures")
@produces(HTML)
def page() -> Response:
    """The figures; without a time, of this year so far."""
    answer = calls.call("GET", "/v1/figures", {"from": request.args.get("from"), "to": request.args.get("to")})
    if not answer.ok:
        return shown("figures.html", answer.status, found=None, refusal=refusal_of(answer), typed=request.args, speech=spoken())
    found = answer.value
    return shown(
        "figures.html", found=found, speech=spoken(), quotes=_quotes(found), months=[float(each["value_made"]) for each in found["months"]],
        pieces=_pieces(found), asks=_asks(found), waste=_waste(found["waste"]),
    )  # fmt: skip


def _quotes(found: Any) -> list[tuple[str, int]]:
    say = translator(language())
    return [(say(words), found["quotes"][name]) for name, words in _STATES]


def _pieces(found: Any) -> list[tuple[str, int]]:
    say = translator(language())
    return [(say(words), found["readiness"][name]) for name, words in _READY if sum(found["readiness"].values())]


def _asks(found: Any) -> list[tuple[str, int]]:
    """The most frequent, by what they mean."""
    means = {each["code"]: each["meaning"] for each in calls.read("/v1/findings")["findings"]}
    return [(means.get(each["code"], each["code"]), each["quotes"]) for each in found["asks"]["codes"][:MOST_ASKS]]


def _waste(found: Any) -> list[tuple[str, str]]:
    say = translator(language())
    return [(say(words), f"{Decimal(found[name]) / 1000:.2f}") for name, words in _WASTE]


def _(text: str) -> str:
    return text


_STATES = (
    ("open", _("open")), ("accepted", _("accepted")), ("declined", _("declined")), ("expired", _("expired")), ("withdrawn", _("withdrawn")),
    ("cancelled", _("cancelled after acceptance")),
)  # fmt: skip
_READY = (("ready_to_cut", _("ready to cut")), ("confirm", _("to be confirmed")), ("hold", _("on hold")))
_WASTE = (
    ("pieces_mm", _("Cut as pieces")),
    ("allowances_mm", _("Lost in cuts")),
    ("scrap_mm", _("Thrown away")),
    ("customers_mm", _("Remnants that customers took home")),
    ("kept_mm", _("Remnants back on the shelf")),
    ("priced_mm", _("What these quotes charge as waste")),
)

"""The shop's figures over a period, for its owner: tables with a bar beside each number."""

from __future__ import annotations

from decimal import Decimal
from typing import Any

from flask import Blueprint, Response, request

from service.desk import calls
from service.desk.numbers import page_speech
from service.desk.pages import HTML, language, render_page
from service.desk.refusal_words import refusal_of
from service.http.responses import produces
from service.wording import translator

figures = Blueprint("desk_figures", __name__)
MOST_ASKS = 15


@figures.get("/desk/figures")
@produces(HTML)
def page() -> Response:
    """The figures of a period; of this year so far if none is given."""
    answer = calls.call("GET", "/v1/figures", {"from": request.args.get("from"), "to": request.args.get("to")})
    if not answer.ok:
        return render_page("figures.html", answer.status, found=None, refusal=refusal_of(answer), typed=request.args, speech=page_speech())
    numbers = answer.value
    return render_page(
        "figures.html", found=numbers, speech=page_speech(), quotes=_quotes(numbers), months=[float(each["value_made"]) for each in numbers["months"]],
        pieces=_pieces(numbers), asks=_asks(numbers), waste=_waste(numbers["waste"]),
    )  # fmt: skip


def _quotes(numbers: Any) -> list[tuple[str, int]]:
    """How many quotes are in each state."""
    say = translator(language())
    return [(say(words), numbers["quotes"][name]) for name, words in _STATES]


def _pieces(numbers: Any) -> list[tuple[str, int]]:
    """How many assemblies are of each readiness; empty if there are none at all."""
    say = translator(language())
    return [(say(words), numbers["readiness"][name]) for name, words in _READY if sum(numbers["readiness"].values())]


def _asks(numbers: Any) -> list[tuple[str, int]]:
    """The most frequent findings by their meaning, each with the number of quotes it was asked in."""
    meanings = {each["code"]: each["meaning"] for each in calls.read("/v1/findings")["findings"]}
    return [(meanings.get(each["code"], each["code"]), each["quotes"]) for each in numbers["asks"]["codes"][:MOST_ASKS]]


def _waste(waste: Any) -> list[tuple[str, str]]:
    """Metres of wire by what became of them."""
    say = translator(language())
    return [(say(words), f"{Decimal(waste[name]) / 1000:.2f}") for name, words in _WASTE]


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

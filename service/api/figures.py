"""A shop's figures of a time, for its owner."""

from __future__ import annotations

import re
from datetime import date

from flask import Blueprint, Response, request

from service.http.current import engine
from service.http.parameters import query_parameters
from service.http.problems import Problem, parameter_fault
from service.http.responses import reply_json
from service.quotes.figures import MOST_DAYS, figures

shop_figures = Blueprint("figures", __name__)
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", re.ASCII)


@shop_figures.get("/v1/figures")
@query_parameters("from", "to")
def read() -> Response:
    """Figures of the quotes issued and the plans taken in a time; by default in this year so far."""
    today = engine().today()
    last = _day("to", today)
    first = _day("from", date(last.year, 1, 1))
    if first > last or (last - first).days >= MOST_DAYS:
        words = f"send a day that is not after `to`: a period has at most {MOST_DAYS} days"
        raise Problem(422, "There are no figures for this period.", [parameter_fault("from", "not_a_time", words)])
    return reply_json(figures(first, last))


def _day(name: str, usual: date) -> date:
    written = request.args.get(name)
    if written is None:
        return usual
    try:
        if _DAY.fullmatch(written) and written >= "2000-01-01":
            return date.fromisoformat(written)
    except ValueError:
        pass
    words = "write the day as YYYY-MM-DD, 2000-01-01 or later"
    raise Problem(422, "There are no figures for this period.", [parameter_fault(name, "not_a_day", words)])

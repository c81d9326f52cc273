"""Cutting plans: for lengths typed in by hand, for many quotes together, and a quote's own."""

from __future__ import annotations

from dataclasses import asdict
from uuid import UUID

from flask import Blueprint, Response, request

from service.computing.asking import read_order
from service.formats.cutting_plan import FORMATS, in_form, plan_language
from service.formats.quote import language_of
from service.http.bodies import read_body
from service.http.current import engine, plans
from service.http.idempotency import idempotent
from service.http.pagination import page_after, requested_page
from service.http.parameters import query_parameters, validates_query_itself
from service.http.problems import unknown
from service.http.responses import chosen, produces, reply, reply_json
from service.quotes.actions import quote
from service.quotes.plan_orders import plan_of_quote, planned

cutting_plans = Blueprint("cutting_plans", __name__)


@cutting_plans.post("/v1/cutting-plans")
@produces(*FORMATS.values())
@query_parameters("format", "lang")
@idempotent
def make() -> Response:
    """A plan, stored."""
    chosen(FORMATS)  # a form or language that is not offered is refused before anything is stored
    plan_language()
    order = read_order(read_body())
    stored = plans().add(planned(order, engine()))
    where = {"Location": f"/v1/cutting-plans/{stored.id}"}
    return in_form(stored, lambda body, media, headers: reply(body, 201, {**where, **headers}, media))


@cutting_plans.get("/v1/cutting-plans")
@validates_query_itself
def listed() -> Response:
    """List plans, newest first, one page at a time."""
    limit, before = requested_page(request.args)
    shown, headers, following = page_after(plans().page(limit + 1, before), limit, "/v1/cutting-plans")
    return reply_json({"plans": [asdict(each) for each in shown], "next": following}, headers=headers)


@cutting_plans.get("/v1/cutting-plans/<uuid:plan_id>")
@produces(*FORMATS.values())
@query_parameters("format", "lang")
def read(plan_id: UUID) -> Response:
    """A stored plan."""
    stored = plans().get(str(plan_id))
    if stored is None:
        raise unknown("id", "unknown_plan", "There is no cutting plan with this id: `GET /v1/cutting-plans` lists all plans.")
    return in_form(stored)


@cutting_plans.get("/v1/quotes/<uuid:quote_id>/cutting-plan")
@produces(*FORMATS.values())
@query_parameters("format", "lang")
def of_quote(quote_id: UUID) -> Response:
    """The quote's own plan on the present stock, with its actual cost beside what the quote charges."""
    plan_language()
    return in_form(plan_of_quote(str(quote_id)), usual=lambda: language_of(quote(str(quote_id))))

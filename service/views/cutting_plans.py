"""Cutting plans: of lengths typed in by hand, of many quotes together, and the shop's own view of a quote's plan."""

from __future__ import annotations

from dataclasses import asdict
from uuid import UUID

from flask import Blueprint, Response, request

from service.bodies import decoded, read_body
from service.once import once
from service.paging import page_after, page_asked
from service.parameters import takes, takes_its_own
from service.parts import engine, plans
from service.plan_forms import FORMATS, in_form
from service.planned import planned
from service.problems import Problem
from service.replies import chosen, offers, reply, reply_json
from service.schemas.plan import read_plan_order

cutting_plans = Blueprint("cutting_plans", __name__)


@cutting_plans.post("/v1/cutting-plans")
@offers(*FORMATS.values())
@takes("format")
@once
def make() -> Response:
    """A plan, stored."""
    chosen(FORMATS)  # a form that is not offered is refused before anything is stored
    order = read_plan_order(decoded(read_body()), engine().planner.digits(engine().today()))
    stored = plans().add(planned(order, engine()))
    return in_form(stored, lambda body, media, headers: reply(body, 201, {"Location": f"/v1/cutting-plans/{stored.id}", **headers}, media))


@cutting_plans.get("/v1/cutting-plans")
@takes_its_own
def listed() -> Response:
    """Plans, newest first, a page at a time."""
    limit, before = page_asked(request.args)
    shown, headers, following = page_after(plans().page(limit + 1, before), limit, "/v1/cutting-plans")
    return reply_json({"plans": [asdict(each) for each in shown], "next": following}, headers=headers)


@cutting_plans.get("/v1/cutting-plans/<uuid:plan_id>")
@offers(*FORMATS.values())
@takes("format")
def read(plan_id: UUID) -> Response:
    """A stored plan."""
    stored = plans().get(str(plan_id))
    if stored is None:
        raise Problem(404, "There is no cutting plan with this id.")
    return in_form(stored)


@cutting_plans.get("/v1/quotes/<uuid:quote_id>/cutting-plan")
@offers(*FORMATS.values())
@takes("format")
def of_quote(quote_id: UUID) -> Response:
    """The plan that a quote was issued with, with what it really costs beside what is charged."""
    stored = plans().of_quote(str(quote_id))
    if stored is None:
        raise Problem(404, "There is no quote with this id, or it was issued before quotes had cutting plans.")
    return in_form(stored)

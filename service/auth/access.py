"""Access control: one table of requirements by endpoint. The application does not start if an endpoint is missing from it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from flask import Flask

from service.credentials.keys import Scope
from service.credentials.people import Role


@dataclass(frozen=True, slots=True)
class Requirement:
    """What an endpoint requires. `scope` None: any key will do. `rate` names its rate limit. `personal`: it exposes customers' data.

    `form`: a page that the service serves itself, under the publishable key configured for it. `roles`: a page of the desk, for staff with
    one of these roles.
    """

    rate: str = "reads"
    scope: Scope | None = None
    publishable: bool = False
    link: bool = False
    public: bool = False
    form: bool = False
    personal: bool = True
    roles: frozenset[Role] = frozenset()


PUBLIC = Requirement(public=True, personal=False)
ANY_KEY = Requirement(publishable=True, personal=False)
READ = Requirement("reads", Scope.READ)
WRITE = Requirement("quotes", Scope.WRITE)
SETTLE = Requirement("quotes", Scope.SETTLE)
PLAN = Requirement("plans", Scope.PLANS)
PLANNED = Requirement("reads", Scope.PLANS)
FORM = Requirement("quotes", Scope.WRITE, publishable=True)
OPERATED = Requirement("reads", Scope.OPERATE)
OPERATE = Requirement("plans", Scope.OPERATE)
CUSTOMER_READS = Requirement("reads", Scope.READ, link=True)
CUSTOMER_DECIDES = Requirement("quotes", Scope.WRITE, link=True)
ANYONE = Requirement(roles=frozenset(Role))
COUNTER = Requirement(roles=frozenset({Role.COUNTER, Role.OWNER}))
BENCH = Requirement(roles=frozenset({Role.BENCH, Role.OWNER}))
OWNER = Requirement(roles=frozenset({Role.OWNER}))

ACCESS: Mapping[str, Requirement] = MappingProxyType(
    {
        "quotes.issue": FORM,
        "quotes.preview": FORM,
        "quotes.read": CUSTOMER_READS,
        "quotes.request_of": READ,
        "quotes.listed": READ,
        "quotes.current": READ,
        "documents.drawing": CUSTOMER_READS,
        "documents.rig_sheet": CUSTOMER_READS,
        "documents.bench_sheet": READ,
        "documents.labels": READ,
        "life.revise": WRITE,
        "life.difference": READ,
        "life.accept": CUSTOMER_DECIDES,
        "life.decline": CUSTOMER_DECIDES,
        "life.withdraw": WRITE,
        "life.correct": WRITE,
        "life.cancel": WRITE,
        "life.hand_over": WRITE,
        "settling.settle": SETTLE,
        "settling.undo": SETTLE,
        "settling.settlements": READ,
        "life.record_built": WRITE,
        "life.built": READ,
        "life.history": READ,
        "links.make": WRITE,
        "links.end": WRITE,
        "customer.page": CUSTOMER_READS,
        "customer.reply": CUSTOMER_DECIDES,
        "questions.list_questions": CUSTOMER_READS,
        "questions.ask": CUSTOMER_DECIDES,
        "questions.answer": WRITE,
        "cutting_plans.make": PLAN,
        "cutting_plans.listed": PLANNED,
        "cutting_plans.read": PLANNED,
        "cutting_plans.of_quote": PLANNED,
        "batches.make": WRITE,
        "batches.listed": READ,
        "batches.read": READ,
        "batches.cancel": WRITE,
        "batches.events": READ,
        "batches.results_of": READ,
        "batches.quotations_of": READ,
        "batches.summary_of": PLANNED,
        "purchases.what_to_buy": Requirement("plans", Scope.OPERATE),
        "purchases.running_low": OPERATED,
        "webhooks.given_up": OPERATED,
        "purchases.margin_of": Requirement("reads", Scope.OPERATE),
        "stock.listed": PLANNED,
        "stock.movements": PLANNED,
        "stock.count": PLAN,
        "stock.take": PLAN,
        "stock.reverse": PLAN,
        "figures.read": OPERATED,
        "tables.listed": OPERATED,
        "tables.send": OPERATE,
        "tables.stored": OPERATED,
        "tables.doubts": OPERATE,
        "tables.difference": OPERATE,
        "tables.effect": OPERATE,
        "tables.put": OPERATE,
        "catalogue.kinds": ANY_KEY,
        "catalogue.table": ANY_KEY,
        "catalogue.findings": ANY_KEY,
        "form.description": ANY_KEY,
        "form.drawn": PUBLIC,
        "plain_form.begin": Requirement(form=True),
        "plain_form.go_on": Requirement("quotes", form=True),
        "form.lengths": ANY_KEY,
        "drawings.draw": Requirement("drawings", publishable=True, personal=False),
        "measuring_sheet.blank": ANY_KEY,
        "measuring_sheet.filled_in": Requirement("quotes", publishable=True),
        "sheet_page.offer": Requirement(form=True, personal=False),
        "sheet_page.take": Requirement("quotes", form=True),
        "measure.page": Requirement(form=True, personal=False),
        "measure.service_worker": Requirement(form=True, personal=False),
        "measure.script": PUBLIC,
        "measure.installed_as": PUBLIC,
        "measure.icon": PUBLIC,
        "element.script": PUBLIC,
        "demo.names": PUBLIC,
        "demo.one": PUBLIC,
        "demo_shop.page": PUBLIC,
        "operation.alive": PUBLIC,
        "operation.ready": PUBLIC,
        "operation.contract": PUBLIC,
        "operation.docs": PUBLIC,
        "operation.kind_of_problem": PUBLIC,
        "operation.kinds_of_problem": PUBLIC,
        "operation.guide": PUBLIC,
        "operation.metrics": Requirement("reads", Scope.OPERATE, personal=False),
        # ---- the desk's pages; what they do there is done by the addresses above, with the scopes of the role
        "desk.style": PUBLIC,
        "desk.sign_in": Requirement(public=True),
        "desk.signed_in": Requirement(public=True),
        "desk.sign_out": ANYONE,
        "desk.language": ANYONE,
        "desk_home.today": ANYONE,
        "desk_home.what_to_buy": OWNER,
        "desk_home.messages": OWNER,
        "desk_find.page": ANYONE,
        "desk_find.script": PUBLIC,
        "desk_bench.to_cut": ANYONE,
        "desk_bench.find": ANYONE,
        "desk_bench.of_quote": ANYONE,
        "desk_bench.sheet": ANYONE,
        "desk_bench.drawing": ANYONE,
        "desk_bench.labels": ANYONE,
        "desk_bench.scan": PUBLIC,
        "desk_bench_built.measured": BENCH,
        "desk_bench_stock.shelf": ANYONE,
        "desk_bench_stock.form": BENCH,
        "desk_bench_stock.count": BENCH,
        "desk_bench_stock.file": BENCH,
        "desk_bench_cuts.plans": ANYONE,
        "desk_bench_cuts.make": BENCH,
        "desk_bench_cuts.plan": ANYONE,
        "desk_bench_cuts.take": BENCH,
        "desk_bench_cuts.undo": BENCH,
        "desk_bench_built.record": BENCH,
        "desk_quotes.page": ANYONE,
        "desk_quotes.paper": ANYONE,
        "desk_quote_steps.settle": COUNTER,
        "desk_quote_steps.undo": COUNTER,
        "desk_quote_steps.answer": COUNTER,
        "desk_quote_steps.link": COUNTER,
        "desk_quote_steps.take": COUNTER,
        "desk_revise.form_style": PUBLIC,
        "desk_revise.page": COUNTER,
        "desk_revise.post_page": COUNTER,
        "desk_own_lines.page": COUNTER,
        "desk_own_lines.revise": COUNTER,
        "desk_people.listed": OWNER,
        "desk_people.send_link": OWNER,
        "desk_people.end_session": OWNER,
        "desk_fleets.script": PUBLIC,
        "desk_fleets.listed": COUNTER,
        "desk_fleets.send": COUNTER,
        "desk_fleets.one": COUNTER,
        "desk_fleets.stop": COUNTER,
        "desk_fleets.results": COUNTER,
        "desk_terms.page": OWNER,
        "desk_terms.change": OWNER,
        "desk_figures.page": OWNER,
        "desk_tables.listed": OWNER,
        "desk_tables.send": OWNER,
        "desk_tables.one": OWNER,
        "desk_tables.put": OWNER,
        "desk_tables.file": OWNER,
    }
)


def refuse_unlisted(app: Flask) -> None:
    """Raises LookupError if an endpoint is missing from the table, so that nothing is ever left open by oversight."""
    missing = sorted({rule.endpoint for rule in app.url_map.iter_rules()} - ACCESS.keys())
    if missing:
        raise LookupError(f"service/auth/access.py does not say who may use {', '.join(missing)}")

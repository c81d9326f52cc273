"""Who may use which address: one table by endpoint. The application does not start while an endpoint is not in it."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass
from types import MappingProxyType

from flask import Flask

from service.guard.keys import Scope


@dataclass(frozen=True, slots=True)
class Need:
    """What an endpoint asks for. `scope` None: any key will do. `rate` names its limit. `personal`: it shows customers' data.

    `form`: pages that the service serves itself, under the publishable key that the shop set for them.
    """

    rate: str = "reads"
    scope: Scope | None = None
    publishable: bool = False
    link: bool = False
    public: bool = False
    form: bool = False
    personal: bool = True


PUBLIC = Need(public=True, personal=False)
ANY_KEY = Need(publishable=True, personal=False)
READ = Need("reads", Scope.READ)
WRITE = Need("quotes", Scope.WRITE)
PLAN = Need("plans", Scope.PLANS)
PLANNED = Need("reads", Scope.PLANS)
FORM = Need("quotes", Scope.WRITE, publishable=True)
CUSTOMER_READS = Need("reads", Scope.READ, link=True)
CUSTOMER_DECIDES = Need("quotes", Scope.WRITE, link=True)

ACCESS: Mapping[str, Need] = MappingProxyType(
    {
        "quotes.issue": FORM,
        "quotes.preview": FORM,
        "quotes.read": CUSTOMER_READS,
        "quotes.listed": READ,
        "documents.drawing": CUSTOMER_READS,
        "documents.rig_sheet": CUSTOMER_READS,
        "documents.bench_sheet": READ,
        "life.revise": WRITE,
        "life.difference": READ,
        "life.accept": CUSTOMER_DECIDES,
        "life.decline": CUSTOMER_DECIDES,
        "life.withdraw": WRITE,
        "life.record_built": WRITE,
        "life.built": READ,
        "life.history": READ,
        "links.make": WRITE,
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
        "stock.listed": PLANNED,
        "stock.movements": PLANNED,
        "stock.take": PLAN,
        "stock.undo": PLAN,
        "catalogue.kinds": ANY_KEY,
        "catalogue.table": ANY_KEY,
        "catalogue.findings": ANY_KEY,
        "form.description": ANY_KEY,
        "form.drawn": PUBLIC,
        "plain_form.begin": Need(form=True),
        "plain_form.go_on": Need("quotes", form=True),
        "form.lengths": ANY_KEY,
        "measuring_sheet.blank": ANY_KEY,
        "measuring_sheet.filled_in": Need("quotes", publishable=True),
        "sheet_page.offer": Need(form=True, personal=False),
        "sheet_page.take": Need("quotes", form=True),
        "element.script": PUBLIC,
        "demo.names": PUBLIC,
        "demo.one": PUBLIC,
        "demo_shop.page": PUBLIC,
        "operation.alive": PUBLIC,
        "operation.ready": PUBLIC,
        "operation.contract": PUBLIC,
        "operation.docs": PUBLIC,
        "operation.metrics": Need("reads", Scope.OPERATE, personal=False),
    }
)


def refuse_unlisted(app: Flask) -> None:
    """Raises LookupError where an endpoint has no line in the table, so that nothing is ever open by oversight."""
    missing = sorted({rule.endpoint for rule in app.url_map.iter_rules()} - ACCESS.keys())
    if missing:
        raise LookupError(f"service/guard/access.py does not say who may use {', '.join(missing)}")

"""The endpoints, one module per resource. A view parses the request, calls a use case and builds the response, in
one to five lines.
"""

from __future__ import annotations

from service.api.batches import batches
from service.api.catalogue import catalogue
from service.api.customer import customer
from service.api.cutting_plans import cutting_plans
from service.api.demo import demo
from service.api.demo_shop import demo_shop
from service.api.documents import documents
from service.api.drawings import drawings
from service.api.element import element
from service.api.figures import shop_figures
from service.api.form import form
from service.api.lifecycle import life
from service.api.links import links
from service.api.measure import measure
from service.api.measuring_sheet import measuring_sheet
from service.api.operation import operation
from service.api.plain_form import plain_form
from service.api.purchases import purchases
from service.api.questions import questions
from service.api.quotes import quotes
from service.api.settling import settling
from service.api.sheet_page import sheet_page
from service.api.stock import stock
from service.api.tables import tables
from service.api.webhooks import webhooks

BLUEPRINTS = (
    quotes, documents, life, settling, questions, links, customer, batches, cutting_plans, stock, purchases, tables, shop_figures, catalogue, form, drawings, plain_form, measuring_sheet, sheet_page, measure, element, demo, demo_shop,
    webhooks, operation,
)  # fmt: skip

"""The addresses, one resource a file. A view parses, calls and replies, in one to five lines."""

from __future__ import annotations

from service.views.batches import batches
from service.views.catalogue import catalogue
from service.views.cutting_plans import cutting_plans
from service.views.demo import demo
from service.views.demo_shop import demo_shop
from service.views.documents import documents
from service.views.element import element
from service.views.form import form
from service.views.life import life
from service.views.links import links
from service.views.measuring_sheet import measuring_sheet
from service.views.operation import operation
from service.views.plain_form import plain_form
from service.views.quotes import quotes
from service.views.sheet_page import sheet_page
from service.views.stock import stock

BLUEPRINTS = (
    quotes, documents, life, links, batches, cutting_plans, stock, catalogue, form, plain_form, measuring_sheet, sheet_page, element, demo, demo_shop,
    operation,
)  # fmt: skip

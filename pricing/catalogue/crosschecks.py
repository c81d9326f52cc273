"""The registry of checks that involve more than one cell.

To add one, write a function in checks_parts, checks_joints, checks_shop, checks_stock or checks_purchases and list it here. Each check takes all sheets by
table name and notes faults on the sheet they belong to. Unreadable cells are skipped, so that each mistake is reported only once.
"""

from __future__ import annotations

from collections.abc import Callable

from pricing.catalogue import checks_joints, checks_parts, checks_purchases, checks_shop, checks_stock
from pricing.catalogue.reading import Sheets

CHECKS: tuple[Callable[[Sheets], None], ...] = (
    checks_parts.double_keys,
    checks_parts.references,
    checks_parts.family_rules,
    checks_parts.sizes_in_order,
    checks_parts.compression_does_not_grow,
    checks_parts.growths_of_their_terminals,
    checks_parts.cotter_holes_placed,
    checks_joints.jaws_and_tongues,
    checks_joints.plates_and_tees,
    checks_shop.complete_tables,
    checks_shop.labour_classes,
    checks_shop.labour_kinds,
    checks_shop.one_for_each_wire,
    checks_shop.priced_articles,
    checks_shop.first_breaks,
    checks_shop.terms_read,
    checks_stock.stock_ids,
    checks_stock.stock_worth,
    checks_stock.stock_money,
    checks_purchases.purchase_units,
    checks_purchases.purchase_currency,
    checks_purchases.suppliers_decided,
)

"""The registry of checks that need more than one cell. To add one, write a function in checks_parts, checks_shop or checks_stock and name it here.

Each takes all sheets by table name and notes faults in the sheet that they belong to. A cell that could not be read is passed over,
so that one mistake is told once.
"""

from __future__ import annotations

from collections.abc import Callable

from pricing.catalogue import checks_parts, checks_shop, checks_stock
from pricing.catalogue.reading import Sheets

CHECKS: tuple[Callable[[Sheets], None], ...] = (
    checks_parts.double_keys,
    checks_parts.references,
    checks_parts.family_rules,
    checks_parts.sizes_in_order,
    checks_parts.compression_does_not_grow,
    checks_shop.complete_tables,
    checks_shop.labour_classes,
    checks_shop.one_thimble_and_sleeve_a_size,
    checks_shop.priced_articles,
    checks_shop.first_breaks,
    checks_shop.terms_read,
    checks_stock.stock_ids,
    checks_stock.stock_worth,
    checks_stock.stock_money,
)

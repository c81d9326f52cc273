"""What the shop buys, according to the tables in force. The purchases table belongs to no version of the tables, so the engine of a process may
hold an earlier one: each look-up reads it from the database, where it is kept beside the edition in force.
"""

from __future__ import annotations

import tempfile
from functools import lru_cache
from pathlib import Path

from pricing.purchasing.suppliers import Suppliers
from pricing.rows import Purchase
from service.engine.engine import Engine
from service.storage import Editions


def suppliers_in_force(engine: Engine, editions: Editions) -> Suppliers:
    """The suppliers in the tables in force; those of the engine's tables if the database has none. Raises TableError."""
    files = editions.content(engine.key)
    return suppliers_of(engine) if files is None else Suppliers.of(_read(files.get(_file(), "")), engine.catalogue.terms)


def suppliers_of(engine: Engine) -> Suppliers:
    """The suppliers in the tables that the engine was loaded with."""
    return Suppliers.of(engine.catalogue.tables.purchases, engine.catalogue.terms)


def _file() -> str:
    from pricing.catalogue.tables_purchases import PURCHASES

    return PURCHASES.file


@lru_cache(maxsize=2)
def _read(content: str) -> tuple[Purchase, ...]:
    from pricing.catalogue.compiling import rows_again
    from pricing.catalogue.tables_purchases import PURCHASES

    if not content:
        return ()
    with tempfile.TemporaryDirectory(prefix="purchases-") as place:
        (Path(place) / PURCHASES.file).write_bytes(content.encode())
        return rows_again(Path(place), PURCHASES)

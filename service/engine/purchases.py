"""What the shop buys, by the tables in force. They count towards no version, so that a process's engine may hold those of before: each
look-up reads them from the database, where they are kept beside the edition in force.
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
    """The suppliers by the tables in force; by those of the engine where none are kept in the database. Raises TableError."""
    files = editions.content(engine.key)
    return suppliers_of(engine) if files is None else Suppliers.of(_read(files.get(_file(), "")), engine.catalogue.terms)


def suppliers_of(engine: Engine) -> Suppliers:
    """The suppliers by the tables that the engine was loaded with."""
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

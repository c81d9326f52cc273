"""`stock list` and `stock count FILE`: the wire on the shelf, and what a count of it found."""

from __future__ import annotations

from contextlib import closing
from pathlib import Path

from service.catalogues import engine_from, files_of
from service.commands.out import refuse, say
from service.engine import folder_of, open_engine
from service.life.said import Taking
from service.settings import Settings
from service.shelf_count import count_of
from service.storage import Quotes, Shelves

STOCK = "stock.csv"


def listed(settings: Settings) -> int:
    """A line for each object. Raises SQLAlchemyError, WrongSchema, TableError."""
    seed = open_engine(settings).catalogue.stock
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        for row in Shelves(store).now(seed).rows:
            say(f"{row.id:<40} {row.wire:<34} {row.kind:<7} {row.count:>4} x {row.length / 1000:.4f} m")
    return 0


def count(settings: Settings, file: str) -> int:
    """Replace the shelf by what was counted, in the layout of stock.csv. Raises TableError with every fault, SQLAlchemyError, OSError."""
    try:
        counted = Path(file).read_text(encoding="utf-8-sig")
    except UnicodeDecodeError:
        return refuse(f"{file} is not UTF-8: save it with that encoding.")
    engine = engine_from({**files_of(folder_of(settings)), STOCK: counted}, settings)
    seed = open_engine(settings).catalogue.stock
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        said = count_of(Shelves(store), seed, engine.catalogue.stock, Taking(note=f"counted from {Path(file).name}"))
    return say(f"{len(said['came'])} rows counted; the shelf is of version {said['version']}.")

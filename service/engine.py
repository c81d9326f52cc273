"""The one place where the service meets the engine: tables loaded once, the day decided here, a request in, a quote document out."""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from pricing.assembly import QuoteRequest
from service.settings import Settings
from service.storage import Edition
from service.turn import Turn

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.catalogue.rows import StockRow
    from pricing.quote import Quoted
    from service.planner import Planner

Document = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Engine:
    """Tables and the shop's day, with the engine's entry bound to them.

    Quotes of one process take turns: they compute, so two at once only wait for each other in smaller pieces.
    """

    catalogue: Catalogue
    edition: Mapping[str, str]
    today: Callable[[], date]
    price_lists: Callable[[date], tuple[str, ...]]
    make: Callable[[QuoteRequest, date], Document]
    planner: Planner
    turn: Turn = field(default_factory=Turn)

    def quote(self, request: QuoteRequest, day: date | None = None) -> Document:
        """The quote document of a day, today unless said."""
        with self.turn:
            return self.make(request, day or self.today())

    def quote_and_plan(self, request: QuoteRequest, stock: tuple[StockRow, ...]) -> Quoted:
        """The quote document of today with its cutting plan on this stock, and the shop's own view of that plan."""
        with self.turn:
            return self.planner.quote(request, self.today(), stock)

    def known_price_lists(self) -> tuple[str, ...]:
        """Names of the price lists in force today."""
        return self.price_lists(self.today())

    @property
    def key(self) -> Edition:
        """The tables' versions, as a quote's provenance names them."""
        return Edition(self.catalogue.version, self.catalogue.price_version)

    @property
    def etag(self) -> str:
        """Entity tag of everything listed from the tables."""
        return f"{self.catalogue.version}-{self.catalogue.price_version}-{self.today().isoformat()}"


def open_engine(settings: Settings) -> Engine:
    """Load and check the settings' tables, or the demo's. Raises pricing.errors.TableError with every fault of every table."""
    return engine_of(folder_of(settings), settings)


def folder_of(settings: Settings) -> Path:
    """The folder of the settings' tables."""
    from pricing.catalogue import DEMO_FOLDER

    return settings.catalogue or DEMO_FOLDER


def engine_of(folder: Path, settings: Settings) -> Engine:
    """Load and check a folder's tables. Raises TableError.

    The table compiler's libraries are imported here, first in the process that forks the workers.
    """
    from pricing.catalogue import load_catalogue
    from pricing.quote import make_quote
    from pricing.rates import price_table
    from service.planner import Planner

    catalogue = load_catalogue(folder)
    prices = price_table(catalogue)

    def make(request: QuoteRequest, day: date) -> Document:
        return make_quote(request, catalogue, prices, day)

    # a term that is not in force is found here, not at the first quote
    zone = ZoneInfo(prices.at(settings.day()).terms.shop_timezone)
    edition = {"name": catalogue.edition.name, "day": catalogue.edition.day.isoformat()}
    planner = Planner(catalogue, prices, settings.plan_seconds)
    return Engine(catalogue, edition, lambda: settings.day(zone), lambda day: prices.at(day).price_lists(), make, planner)

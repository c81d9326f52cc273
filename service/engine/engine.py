"""The only place where the service meets the engine: tables are loaded once, the date is decided, a request goes in and a quote
document comes out.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping
from dataclasses import dataclass
from datetime import UTC, date, tzinfo
from pathlib import Path
from typing import TYPE_CHECKING, Any
from zoneinfo import ZoneInfo

from pricing.measurement.assembly import QuoteRequest
from service.settings import Settings
from service.storage import Edition

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.costing.rates import PriceTable
    from pricing.model import Quote
    from service.engine.planner import Planner

Document = dict[str, Any]


@dataclass(frozen=True, slots=True)
class Engine:
    """The tables, the shop's date and time zone, with the engine's entry points bound to them. `service.computing` decides in which process a request
    is computed, and within which budget.
    """

    catalogue: Catalogue
    edition: Mapping[str, str]
    today: Callable[[], date]
    zone: tzinfo
    price_lists: Callable[[date], tuple[str, ...]]
    make: Callable[[QuoteRequest, date], Quote]
    planner: Planner

    def quote(self, request: QuoteRequest, day: date | None = None) -> Quote:
        """The quote as of a day, by default today."""
        return self.make(request, day or self.today())

    @property
    def offered(self) -> Catalogue:
        """The catalogue of what is sold today."""
        from pricing.catalogue import sold_on

        return sold_on(self.catalogue, self.today())

    def known_price_lists(self) -> tuple[str, ...]:
        """The names of the price lists in force today."""
        return self.price_lists(self.today())

    @property
    def key(self) -> Edition:
        """The versions of the tables, as in a quote's provenance."""
        return Edition(self.catalogue.version, self.catalogue.price_version)

    @property
    def etag(self) -> str:
        """The entity tag of everything listed from the tables."""
        return f"{self.catalogue.version}-{self.catalogue.price_version}-{self.today().isoformat()}"


def open_engine(settings: Settings) -> Engine:
    """Load and check the configured tables, or the demo tables. Raises pricing.errors.TableError with every fault in every table."""
    return engine_of(folder_of(settings), settings)


def folder_of(settings: Settings) -> Path:
    """The folder of the configured tables."""
    from pricing.catalogue import DEMO_FOLDER

    return settings.catalogue or DEMO_FOLDER


def engine_of(folder: Path, settings: Settings) -> Engine:
    """Load and check the tables in a folder. Raises TableError.

    The table compiler's libraries are imported here, first of all in the process that forks the workers.
    """
    from pricing.catalogue import load_catalogue
    from pricing.costing.rates import price_table

    catalogue = load_catalogue(folder)
    prices = price_table(catalogue)
    # reading a term here finds one that is not in force before the first quote does
    zone = ZoneInfo(prices.at(settings.day()).terms.shop_timezone)
    return engine_over(catalogue, prices, settings.plan_seconds, lambda: settings.day(zone), settings.timezone or zone)


def engine_over(
    catalogue: Catalogue,
    prices: PriceTable,
    plan_seconds: float | None,
    today: Callable[[], date] = lambda: date.min,
    zone: tzinfo = UTC,
) -> Engine:
    """An engine over tables already loaded and checked."""
    from pricing.quote import make_quote
    from service.engine.planner import Planner

    def make(request: QuoteRequest, day: date) -> Quote:
        return make_quote(request, catalogue, prices, day)

    edition = {"name": catalogue.edition.name, "day": catalogue.edition.day.isoformat()}
    planner = Planner(catalogue, prices, plan_seconds)
    return Engine(catalogue, edition, today, zone, lambda day: prices.at(day).price_lists(), make, planner)

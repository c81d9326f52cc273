"""The one place where the service meets the engine: tables loaded once, the day decided here, a request in, a quote document out."""

from __future__ import annotations

import threading
from collections.abc import Callable, Mapping
from dataclasses import dataclass, field
from datetime import date
from typing import TYPE_CHECKING, Any, Protocol

from pricing.assembly import QuoteRequest
from service.settings import Settings

if TYPE_CHECKING:
    from pricing.quote import Quoted
    from service.planner import Planner

Document = dict[str, Any]


class Listing(Protocol):
    """What the service shows of a catalogue."""

    @property
    def version(self) -> str:
        """Version of the tables' content."""

    @property
    def price_version(self) -> str:
        """Version of the prices' content."""

    def kinds(self) -> tuple[str, ...]:
        """The tables that may be shown."""

    def rows(self, kind: str) -> tuple[dict[str, Any], ...]:
        """The rows of one of them, JSON-ready."""


@dataclass(frozen=True, slots=True)
class Engine:
    """Tables and the shop's day, with the engine's entry bound to them.

    Quotes of one process take turns: they compute, so two at once only wait for each other in smaller pieces.
    """

    catalogue: Listing
    edition: Mapping[str, str]
    today: Callable[[], date]
    price_lists: Callable[[date], tuple[str, ...]]
    make: Callable[[QuoteRequest, date], Document]
    planner: Planner
    turn: threading.Lock = field(default_factory=threading.Lock)

    def quote(self, request: QuoteRequest) -> Document:
        """The quote document of today."""
        with self.turn:
            return self.make(request, self.today())

    def quote_and_plan(self, request: QuoteRequest) -> Quoted:
        """The quote document of today with its cutting plan, and the shop's own view of that plan."""
        with self.turn:
            return self.planner.quote(request, self.today())

    def known_price_lists(self) -> tuple[str, ...]:
        """Names of the price lists in force today."""
        return self.price_lists(self.today())

    @property
    def etag(self) -> str:
        """Entity tag of everything listed from the tables."""
        return f"{self.catalogue.version}-{self.catalogue.price_version}-{self.today().isoformat()}"


def open_engine(settings: Settings) -> Engine:
    """Load and check the tables. Raises pricing.errors.TableError with every fault of every table.

    The table compiler's libraries are imported here, in the process that forks the workers, and nowhere else.
    """
    from pricing.catalogue import DEMO_FOLDER, load_catalogue
    from pricing.quote import make_quote
    from pricing.rates import price_table
    from service.planner import Planner

    catalogue = load_catalogue(settings.catalogue or DEMO_FOLDER)
    prices = price_table(catalogue)
    _ = prices.at(settings.day()).terms  # a term that is not in force is found at the start, not at the first quote

    def make(request: QuoteRequest, day: date) -> Document:
        return make_quote(request, catalogue, prices, day)

    edition = {"name": catalogue.edition.name, "day": catalogue.edition.day.isoformat()}
    return Engine(
        catalogue, edition, settings.day, lambda day: prices.at(day).price_lists(), make, Planner(catalogue, prices, settings.plan_seconds)
    )

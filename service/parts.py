"""What the factory wired into the running application, with its type."""

from __future__ import annotations

from typing import TYPE_CHECKING, cast

from flask import current_app, g

from pricing.quote import usual_list
from service.catalogues import Catalogues
from service.engine import Engine
from service.guard.entrance import caller
from service.guard.keys import Kind
from service.jobs.bell import Bell
from service.jobs.following import Followers
from service.pdf.press import Press
from service.pdf.runs import Runs
from service.settings import Settings
from service.storage import Answers, Batches, Lives, Plans, Quotes, Renditions, Shelves

if TYPE_CHECKING:
    from pricing.catalogue.rows import StockRow


def engine() -> Engine:
    """The engine with the tables in force, the same for the whole of a request."""
    if "engine" not in g:
        g.engine = catalogues().current()
    return cast("Engine", g.engine)


def price_lists() -> tuple[str, ...]:
    """The price lists that the one who asks may name: from a browser only the usual one, whose discounts are nobody's secret."""
    known, who = engine().known_price_lists(), caller()
    return known if who is None or who.kind is not Kind.PUBLISHABLE or not known else (usual_list(known),)


def catalogues() -> Catalogues:
    """The engines of this process."""
    return cast("Catalogues", current_app.extensions["catalogues"])


def settings() -> Settings:
    """What the deployment decided."""
    return cast("Settings", current_app.extensions["settings"])


def batches() -> Batches:
    """The batches of many boats."""
    return Batches(store())


def bell() -> Bell:
    """What wakes those who work on batches."""
    return cast("Bell", current_app.extensions["bell"])


def followers() -> Followers:
    """Those who follow batches in this process."""
    return cast("Followers", current_app.extensions["followers"])


def store() -> Quotes:
    """The stored quotes."""
    return cast("Quotes", current_app.extensions["quotes"])


def shelves() -> Shelves:
    """The wire on the shelf."""
    return cast("Shelves", current_app.extensions["shelves"])


def stock() -> tuple[StockRow, ...]:
    """What is on the shelf at this moment."""
    return shelves().now(engine().catalogue.stock).rows


def plans() -> Plans:
    """The stored cutting plans."""
    return Plans(store())


def answers() -> Answers:
    """The answers that are said again to a request sent again."""
    return cast("Answers", current_app.extensions["answers"])


def lives() -> Lives:
    """What happens to the stored quotes, by the day of the tables in force."""
    return Lives(store(), engine().today)


def press() -> Press:
    """Where PDFs are made."""
    return cast("Press", current_app.extensions["press"])


def runs() -> Runs:
    """Many PDFs in a row."""
    return cast("Runs", current_app.extensions["runs"])


def renditions() -> Renditions:
    """The documents that were made already."""
    return Renditions(store())

"""Makes the pictures of the guide "A day at the shop": `python -m tests.browser.desk_pictures service/guides/pictures`."""

from __future__ import annotations

import sys
import tempfile
from pathlib import Path
from typing import Any

from service.credentials.people import Role
from service.engine.engine import open_engine
from service.settings import Settings
from tests.browser.browsing import chromium
from tests.browser.desk_day import PHONE, Desk, shop_at_work
from tests.browser.test_desk import settled_and_accepted, taken
from tests.service.conftest import DAY

SMALL = {"width": 900, "height": 640}


def pictures(folder: Path) -> None:
    """Each page that the guide shows, as it is on the way of an invented wire."""
    folder.mkdir(parents=True, exist_ok=True)
    with tempfile.TemporaryDirectory() as work, chromium() as browser, shop_at_work(open_engine(Settings(today=DAY)), Path(work)) as desk:
        desk.requested()
        quote_id, _ = desk.requested()
        counter, bench = desk.signed_in(browser, Role.COUNTER, SMALL), desk.signed_in(browser, Role.BENCH, PHONE)
        _take(counter, folder / "today.png")
        counter.goto(f"{desk.origin}/desk/quotes/{quote_id}")
        _take(counter, folder / "quote.png")
        settled_and_accepted(counter, desk, quote_id)
        _at_the_bench(bench, desk, quote_id, folder)
        owner = desk.signed_in(browser, Role.OWNER, SMALL)
        owner.goto(f"{desk.origin}/desk/figures")
        _take(owner, folder / "figures.png")


def _at_the_bench(bench: Any, desk: Desk, quote_id: str, folder: Path) -> None:
    bench.goto(f"{desk.origin}/desk/bench")
    _take(bench, folder / "bench.png")
    taken(bench)
    tag = desk.read(f"/v1/quotes/{quote_id}")["assemblies"][0]["tag"]
    bench.goto(f"{desk.origin}/desk/bench/{quote_id}/{tag}")
    _take(bench, folder / "sheet.png")


def _take(page: Any, path: Path) -> None:
    page.evaluate("document.activeElement?.blur(); scrollTo(0, 0)")
    page.screenshot(path=path)


if __name__ == "__main__":
    pictures(Path(sys.argv[1]))

"""Twelve invented boats, each a request as a careful owner would send it: what the engine makes of them.

`python -m tests.examples.twelve_boats` prints a line a boat (how many assemblies are ready, to be confirmed, on hold) and its findings
by severity and code, with the tags that they concern.
"""

from __future__ import annotations

import json
from collections import defaultdict
from datetime import date
from functools import cache
from pathlib import Path
from typing import Any

from pricing.catalogue import DEMO_FOLDER, Catalogue, load_catalogue
from pricing.costing.rates import PriceTable, price_table
from pricing.document import rendered
from pricing.quote import make_quote
from service.schemas import read_request

BOATS = tuple(sorted((Path(__file__).parent / "boats").glob("*.json")))
DAY = date(2026, 11, 25)
SEVERITIES = ("stop", "ask", "note")


@cache
def shop() -> tuple[Catalogue, PriceTable]:
    """The demo shop."""
    catalogue = load_catalogue(DEMO_FOLDER)
    return catalogue, price_table(catalogue)


@cache
def quoted(path: Path) -> dict[str, Any]:
    """The quote of one boat."""
    catalogue, prices = shop()
    request = read_request(json.loads(path.read_bytes()), prices.at(DAY).price_lists())
    return rendered(make_quote(request, catalogue, prices, DAY))


def findings(quote: dict[str, Any]) -> dict[tuple[str, str], list[str]]:
    """Tags by severity and code; a finding of the whole request stands under an empty tag."""
    found: dict[tuple[str, str], list[str]] = defaultdict(list)
    for assembly in quote["assemblies"]:
        for each in assembly["findings"]:
            found[each["severity"], each["code"]].append(assembly["tag"])
    own = {each["pointer"] for assembly in quote["assemblies"] for each in assembly["findings"]}
    for each in quote["findings"]:
        if each["pointer"] not in own:
            found[each["severity"], each["code"]].append("")
    return found


def lines(path: Path) -> list[str]:
    """One boat's part of the table."""
    quote = quoted(path)
    ready, confirm, hold = (sum(each["readiness"] == name for each in quote["assemblies"]) for name in ("ready_to_cut", "confirm", "hold"))
    told = [f"{path.stem}: {ready} ready, {confirm} to confirm, {hold} on hold"]
    found = findings(quote)
    for severity, code in sorted(found, key=lambda key: (SEVERITIES.index(key[0]), key[1])):
        tags = " ".join(sorted(set(found[severity, code])))
        told.append(f"    {severity} {code} x{len(found[severity, code])}: {tags}")
    return told


if __name__ == "__main__":
    for boat in BOATS:
        print("\n".join(lines(boat)))

"""Slips at random, with fixed seeds: at least 95 in 100 of powers of ten and wrong units are noticed, by a fault or a doubt.

Digits exchanged are counted apart: 1.18 for 1.81 is no implausible price. A slip counts as noticed if the tables are refused, or doubted when they were not before.
`python -m tests.catalogue.slips` says it by kind and by table, and which escape.
"""

from __future__ import annotations

import pytest

from pricing.catalogue.reading import Sheets
from tests.counts import some, some_of

from .mutations import drawn, noticed

SEED = 2026
LEAST = {"x 10": 95, "/ 10": 95, "x 25.4": 95, "/ 25.4": 95, "unit": 95, "columns": 95, "digits": 60}  # in 100


@pytest.mark.parametrize("kind", some_of([*LEAST], 3))
def test_most_slips_are_noticed(demo_sheets: Sheets, kind: str) -> None:
    found = [(slip, noticed(demo_sheets, slip)) for slip in drawn(demo_sheets, kind, some(30, 1), SEED)]
    escaped = [slip for slip, how in found if not how]
    assert len(escaped) * 100 <= (100 - LEAST[kind]) * len(found) or (kind == "digits" and len(found) < 5), escaped

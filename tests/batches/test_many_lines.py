"""Names of very many lines: repeated ones are refused, in time linear in the number of lines, not quadratic."""

from __future__ import annotations

import time

from sqlalchemy import select

from service.storage import Batches, Edition, Line, Quotes
from service.storage.tables import batch_lines

MANY = 12_000  # fewer show no square


def test_names_that_occur_again_fail_and_it_takes_less_time_than_to_store_the_lines(store: Quotes) -> None:
    batches = Batches(store)
    batch_id = batches.open("quotes", "ndjson", Edition("catalogue", "prices"))
    again = {3: "H-1", 7_000: "H-1", 11_999: "H-500", 40: None, 41: None}  # no name twice is no name that occurs again
    found = [Line(place + 1, again.get(place, f"H-{place}"), b"{}") for place in range(MANY)]
    began = time.monotonic()
    for first in range(0, MANY, 500):
        batches.add(batch_id, first, found[first : first + 500])
    stored = time.monotonic()
    batches.refuse_repeated(batch_id, b"{}")
    judged = time.monotonic()
    with store.reading() as connection:
        failed = connection.execute(select(batch_lines.c.place).where(batch_lines.c.outcome == "failed")).scalars().all()
        kept = connection.execute(select(batch_lines.c.place).where(batch_lines.c.request.is_(None))).scalars().all()
    assert sorted(failed) == sorted(kept) == [3, 7_000, 11_999]
    assert judged - stored < stored - began  # line by line it takes some twenty times as long

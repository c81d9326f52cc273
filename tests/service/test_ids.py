"""Identifiers as RFC 9562 has them."""

from __future__ import annotations

import time
from uuid import RFC_4122, UUID

from service.storage.ids import new_id


def test_an_id_is_a_uuid_of_version_7_with_the_time_in_front() -> None:
    before = time.time_ns() // 1_000_000
    made = UUID(new_id())
    after = time.time_ns() // 1_000_000
    assert (made.version, made.variant) == (7, RFC_4122)
    assert before <= made.int >> 80 <= after


def test_ids_sort_by_time_and_do_not_repeat() -> None:
    first = new_id()
    time.sleep(0.002)
    assert first < new_id()
    assert len({new_id() for _ in range(20_000)}) == 20_000


def test_seventy_four_bits_of_an_id_vary() -> None:
    seen_set = seen_clear = 0
    for _ in range(2_000):
        number = UUID(new_id()).int
        seen_set |= number
        seen_clear |= ~number
    varying = seen_set & seen_clear & ((1 << 80) - 1)
    assert varying.bit_count() == 74  # RFC 9562 §5.7: rand_a 12 bits, rand_b 62 bits

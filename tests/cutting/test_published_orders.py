"""Published orders solved to their published optima, each with a proof. Sources: published.py.

Of the one-length orders those of Falkenauer's u classes and of both Schwerin sets run here, all that are at hand; the harder families by
tests/benchmarks/cutting/published_instances.py.
"""

from __future__ import annotations

import pytest

from pricing.cutting import plan
from tests.counts import some_of

from .published import Published, needs_instances, one_length, several_lengths

PROVEN = ("Falkenauer_u", "Schwerin")
ONE_LENGTH = [order for order in one_length() if order.name.startswith(PROVEN)]
WORKSHOP = several_lengths()


def judged(order: Published) -> tuple[object, ...]:
    found = plan(order.pieces, order.stock, order.policy)
    return found.cost, found.lower_bound, found.proven, found.unplanned


@needs_instances
def test_the_published_orders_are_all_there() -> None:
    assert (len(ONE_LENGTH), len(WORKSHOP)) == (62, 11)
    assert {order.name[:10] for order in ONE_LENGTH} == {"Falkenauer", "Schwerin1_", "Schwerin2_"}


@needs_instances
@pytest.mark.parametrize("order", some_of(ONE_LENGTH, 14), ids=lambda order: order.name)
def test_a_one_length_order_reaches_its_published_optimum_with_proof(order: Published) -> None:
    assert judged(order) == (order.optimum, order.optimum, True, ())


@needs_instances
@pytest.mark.parametrize("order", some_of(WORKSHOP, 2), ids=lambda order: order.name)
def test_a_workshop_order_reaches_its_published_optimum_with_proof(order: Published) -> None:
    assert judged(order) == (order.optimum, order.optimum, True, ())

"""Tiny random orders against the independent exact solver, as many as one likes.

    python -m tests.benchmarks.cutting.compare_exact --orders 50000 --first 100000 --pieces 7

Prints each false proof and each bound above the optimum; for every way of climbing how often its plan was the optimum and
how often it proved it. Ends with code 1 if anything was wrong.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter
from decimal import Decimal
from fractions import Fraction

from pricing.cutting import Plan, plan
from tests.cutting.oracle import solve
from tests.cutting.orders import Order, small_order
from tests.cutting.test_random_orders import WAYS, faults, placed

TALLIES = ("false proof", "bound above", "below optimum", "optimal", "proven")


def tallies(found: Plan, order: Order, optimum: tuple[Fraction, Decimal]) -> list[str]:
    longest, cost = optimum
    whole = placed(found, order) == longest
    held = {
        "false proof": found.proven and (not whole or found.cost != cost),
        "bound above": whole and found.lower_bound > cost,
        "below optimum": whole and found.cost < cost,
        "optimal": whole and found.cost == cost,
        "proven": found.proven,
    }
    return [name for name in TALLIES if held[name]]


def compare(first: int, orders: int, pieces: int) -> int:
    wrong = 0
    seen: Counter[tuple[str, str]] = Counter()
    stages: Counter[tuple[str, str]] = Counter()
    for seed in range(first, first + orders):
        order = small_order(seed, pieces)
        optimum = solve(*order)
        for name, limits in WAYS.items():
            found = plan(*order, limits)
            for fault in faults(found, order, optimum, name):
                wrong += 1
                print(f"seed {seed}, {fault}")
            seen.update((name, tally) for tally in tallies(found, order, optimum))
            stages[name, found.stage] += 1
    report(seen, stages, orders)
    print(f"{orders} orders from {first}, {len(WAYS)} ways each: {wrong} wrong")
    return wrong


def report(seen: Counter[tuple[str, str]], stages: Counter[tuple[str, str]], orders: int) -> None:
    for name in WAYS:
        counts = ", ".join(f"{tally} {seen[name, tally]}" for tally in TALLIES[:3])
        shares = ", ".join(f"{tally} {seen[name, tally] / orders:.2%}" for tally in TALLIES[3:])
        by_stage = ", ".join(f"{stage} {n}" for (way, stage), n in sorted(stages.items()) if way == name)
        print(f"{name:24s} {counts}; {shares}; {by_stage}")


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--orders", type=int, default=50_000)
    parser.add_argument("--first", type=int, default=100_000)
    parser.add_argument("--pieces", type=int, default=7)
    chosen = parser.parse_args()
    return 1 if compare(chosen.first, chosen.orders, chosen.pieces) else 0


if __name__ == "__main__":
    sys.exit(main())

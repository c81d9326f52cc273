"""Tiny random orders against the independent exact solver, as many as one likes.

    python -m tests.benchmarks.cutting.compare_exact --orders 50000 --first 100000 --pieces 7

Prints each false proof and each bound above the optimum, and how often every way of climbing proved its plan.
Ends with code 1 if anything was wrong.
"""

from __future__ import annotations

import argparse
import sys
from collections import Counter

from pricing.cutting import plan
from tests.cutting.oracle import solve
from tests.cutting.orders import small_order
from tests.cutting.test_random_orders import WAYS, faults


def compare(first: int, orders: int, pieces: int) -> int:
    wrong = 0
    proven: Counter[str] = Counter()
    stages: Counter[tuple[str, str]] = Counter()
    for seed in range(first, first + orders):
        order = small_order(seed, pieces)
        optimum = solve(*order)
        for name, limits in WAYS.items():
            for fault in faults(order, optimum, name):
                wrong += 1
                print(f"seed {seed}, {fault}")
            found = plan(*order, limits)
            proven[name] += found.proven
            stages[name, found.stage] += 1
    for name in WAYS:
        by_stage = ", ".join(f"{stage} {n}" for (way, stage), n in sorted(stages.items()) if way == name)
        print(f"{name:24s} proven {proven[name] / orders:7.2%}   {by_stage}")
    print(f"{orders} orders, {len(WAYS)} ways each: {wrong} wrong")
    return wrong


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--orders", type=int, default=50_000)
    parser.add_argument("--first", type=int, default=100_000)
    parser.add_argument("--pieces", type=int, default=7)
    chosen = parser.parse_args()
    return 1 if compare(chosen.first, chosen.orders, chosen.pieces) else 0


if __name__ == "__main__":
    sys.exit(main())

"""Every published order at hand: proven, optimum found without proof, or missed, by family, with times.

    CUTTING_INSTANCES=FOLDER python -m tests.benchmarks.cutting.published_instances [--only NAME ...] [--more FACTOR]

Sources of the orders and of their optima: tests/cutting/published.py. `--more` multiplies dives and nodes of the
integer programmes. Ends with code 1 if a bound lies above a published optimum or a plan costs less than it.
"""

from __future__ import annotations

import argparse
import sys
import time
from collections import defaultdict
from dataclasses import dataclass
from statistics import median

from pricing.cutting import Limits, Plan, plan
from tests.cutting.published import Published, one_length, several_lengths


@dataclass(frozen=True, slots=True)
class Solved:
    order: Published
    plan: Plan
    seconds: float

    @property
    def verdict(self) -> str:
        if self.plan.lower_bound > self.order.optimum or self.plan.cost < self.order.optimum:
            return "wrong"
        if self.plan.cost > self.order.optimum:
            return "missed"
        return "proven" if self.plan.proven else "found"


def solved(order: Published, limits: Limits) -> Solved:
    start = time.perf_counter()
    found = plan(order.pieces, order.stock, order.policy, limits)
    return Solved(order, found, time.perf_counter() - start)


def table(families: dict[str, list[Solved]]) -> None:
    print(f"\n{'family':20s} {'orders':>6s} {'proven':>6s} {'found':>6s} {'missed':>6s} {'wrong':>6s} {'median s':>9s} {'most s':>7s}")
    for name, rows in families.items():
        counts = [sum(row.verdict == verdict for row in rows) for verdict in ("proven", "found", "missed", "wrong")]
        times = [row.seconds for row in rows]
        print(f"{name:20s} {len(rows):6d} {' '.join(f'{n:6d}' for n in counts)} {median(times):9.2f} {max(times):7.2f}")


def main() -> int:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--only", nargs="*", default=[""])
    parser.add_argument("--more", type=int, default=1)
    chosen = parser.parse_args()
    limits = Limits(dives=6 * chosen.more, mip_nodes=200 * chosen.more)
    families: dict[str, list[Solved]] = defaultdict(list)
    orders = [(order.family, order) for order in one_length()] + [("workshop", order) for order in several_lengths()]
    for family, order in orders:
        if not order.name.startswith(tuple(chosen.only)):
            continue
        one = solved(order, limits)
        families[family].append(one)
        families["all"].append(one)
        if one.verdict != "proven":
            print(f"{order.name}: {one.verdict}, cost {one.plan.cost}, bound {one.plan.lower_bound}, optimum {order.optimum}", flush=True)
    families["all"] = families.pop("all", [])
    if not families["all"]:
        print("no published order at hand")
        return 1
    table(families)
    return int(any(row.verdict == "wrong" for row in families["all"]))


if __name__ == "__main__":
    sys.exit(main())

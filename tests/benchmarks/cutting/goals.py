"""The planner's goals, measured beside generic solvers in the same run. Times are printed, never asserted.

    python -m tests.benchmarks.cutting.goals [--only 120 500] [--no-reference]

F: a rest is kept for a fee; P: whole stock objects are paid. HiGHS and CP-SAT (the `bench` extra) work on a plain assignment model
(assignment.py) of the first orders of each row, for as long as the goal allows and for at least one second; building the model is not
counted. Of small orders the quickest of four runs counts, so that other work on the machine does not. Above 2,000 pieces that model has millions of variables and is left out. Orders: tests/cutting/workshop.py.
"""

from __future__ import annotations

import argparse
import time
from collections.abc import Callable
from dataclasses import dataclass
from statistics import mean, median

from pricing.cutting import Limits, Plan, Policy, plan
from tests.benchmarks.cutting.assignment import Reference, by_cp_sat, by_highs
from tests.cutting.workshop import FEE, PAID, Order, order

REFERENCES: dict[str, Callable[[Order, float], Reference]] = {"HiGHS": by_highs, "CP-SAT": by_cp_sat}
MODELLED = 2_000


@dataclass(frozen=True, slots=True)
class Row:
    """A goal: pieces from `least` to `most`, seconds allowed, `orders` measured, of which the references get `compared`."""

    least: int
    most: int
    opened: int
    offcuts: int
    policy: Policy
    seconds: float
    orders: int
    compared: int
    goal: str

    @property
    def name(self) -> str:
        pieces = f"{self.most}" if self.least == self.most else f"{self.least}-{self.most}"
        return f"{pieces} {'F' if self.policy is FEE else 'P'}"


SMALL = [(2, 10, 2, 6, 200, "proven, p95 2 ms"), (11, 12, 2, 6, 100, "proven, 20 ms"), (2, 16, 3, 8, 200, "85 % in 5 ms, 97 % in 250 ms")]
LARGE = [
    (120, FEE, 0.3, 12, "0.05 % in 0.3 s"), (120, PAID, 4.0, 12, "0.02 % in 4 s"), (500, FEE, 0.3, 10, "0.05 % in 0.3 s"),
    (2_000, FEE, 1.0, 6, "0.01 % in 1 s"), (2_000, PAID, 1.0, 6, "0.1 % in 1 s"),
    (20_000, FEE, 5.0, 2, "0.01 % in 5 s"), (20_000, PAID, 5.0, 2, "0.01 % in 5 s"),
]  # fmt: skip
ROWS = [
    Row(least, most, opened, offcuts, policy, 0.25, count, 4, goal)
    for least, most, opened, offcuts, count, goal in SMALL
    for policy in (FEE, PAID)
] + [Row(pieces, pieces, 3, 20, policy, seconds, count, 2, goal) for pieces, policy, seconds, count, goal in LARGE]


@dataclass(frozen=True, slots=True)
class Measured:
    plan: Plan
    seconds: float


def measured(asked: Order, seconds: float) -> Measured:
    start = time.perf_counter()
    found = plan(asked.pieces, asked.stock, asked.policy, Limits(seconds=seconds, clock=time.perf_counter))
    return Measured(found, time.perf_counter() - start)


def orders(row: Row) -> list[Order]:
    span = row.most - row.least + 1
    return [order(seed, row.least + seed % span, row.opened, row.offcuts, row.policy) for seed in range(row.orders)]


def compare(row: Row, asked: list[Order], ours: list[Measured]) -> None:
    budget = max(1.0, row.seconds)
    for name, solve in REFERENCES.items():
        pairs = [(solve(each, budget), own) for each, own in zip(asked[-row.compared :], ours[-row.compared :], strict=True)]
        dearer = [100 * (ref.cost / float(own.plan.cost) - 1) for ref, own in pairs if ref.cost is not None]
        ratio = median(ref.seconds / own.seconds for ref, own in pairs)
        cost = f"{mean(dearer):+8.4f} % (most {max(dearer):+.4f} %)" if dearer else "no plan"
        print(f"    {name:7s} of {len(pairs)} orders {len(dearer)} planned in {budget:g} s, cost {cost}, time x {ratio:.1f}", flush=True)


def report(row: Row, ours: list[Measured]) -> None:
    gaps = [100 * float(one.plan.gap_share) for one in ours]
    times = sorted(one.seconds for one in ours)
    shares = {limit: mean(one.plan.proven and one.seconds <= limit for one in ours) for limit in (0.005, 0.25)}
    p95 = times[min(len(times) - 1, round(0.95 * (len(times) - 1)))]
    print(
        f"{row.name:8s} {len(ours):4d} {mean(gaps):8.4f} {max(gaps):8.4f} {mean(one.plan.proven for one in ours):7.1%} "
        f"{median(times) * 1000:9.2f} {p95 * 1000:9.2f} {times[-1] * 1000:9.2f} {shares[0.005]:7.1%} {shares[0.25]:7.1%}  {row.goal}",
        flush=True,
    )


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--only", nargs="*", help="first words of the rows' names")
    parser.add_argument("--no-reference", action="store_true")
    chosen = parser.parse_args()
    print(
        f"{'case':8s} {'n':>4s} {'gap %':>8s} {'most':>8s} {'proven':>7s} {'median ms':>9s} {'p95':>9s} {'most':>9s} {'in 5ms':>7s} {'250ms':>7s}  goal"
    )
    for row in ROWS:
        if chosen.only and row.name.split()[0] not in chosen.only:
            continue
        asked = orders(row)
        runs = (
            4 if row.most <= 16 else 1
        )  # warm, for tables of small shapes are kept; the quickest, for other work on the machine doubles such times
        ours = [min((measured(each, row.seconds) for _ in range(runs)), key=lambda one: one.seconds) for each in asked]
        report(row, ours)
        if row.most <= MODELLED and not chosen.no_reference:
            compare(row, asked, ours)


if __name__ == "__main__":
    main()

"""A year of one wire in a shop that keeps its remnants: the planner beside best fit decreasing alone, at three fees.

    python -m tests.benchmarks.cutting.rolling_year --seeds 3 --days 220

Cost per metre is what was paid less the shelf's worth at the end, per metre of pieces and allowances; the floor is the cheapest spool's
price per metre. `with fee` adds the fee for every rest put on the shelf, which is what the planner minimises. Plain best fit (written out
here) knows no fee.
"""

from __future__ import annotations

import argparse
from decimal import Decimal
from functools import partial
from statistics import mean

from pricing.cutting import Limits, Piece, Policy, Source, Stock, plan
from tests.cutting.shop_year import FLOOR, Planner, Shop, Taken, run


def by_plan(limits: Limits, pieces: list[Piece], stock: list[Stock], policy: Policy) -> list[Taken]:
    rows = {row.id: row for row in stock}
    uses = plan(pieces, stock, policy, limits).uses
    return [Taken(rows[use.stock_id], use.used, use.remnant, use.kept) for use in uses]


def by_best_fit(pieces: list[Piece], stock: list[Stock], policy: Policy) -> list[Taken]:
    """Longest piece first into the tightest object, the shelf included; else a spool of the cheapest metre."""
    spool = min((row for row in stock if row.source is Source.NEW), key=lambda row: row.price_per_metre or 0)
    objects = [(row, [row.length]) for row in stock if row.source is not Source.NEW]
    for length in sorted((piece.length + policy.allowance for piece in pieces for _ in range(piece.quantity)), reverse=True):
        fitting = [left for _, left in objects if left[0] >= length]
        if not fitting:
            objects.append((spool, [spool.length]))
            fitting = [objects[-1][1]]
        min(fitting, key=lambda left: left[0])[0] -= length
    return [Taken(row, row.length - left[0], left[0], left[0] >= policy.least_remnant) for row, left in objects if left[0] < row.length]


WAYS: dict[str, Planner] = {
    "the ladder": partial(by_plan, Limits()),
    "its first rung": partial(by_plan, Limits(first_rung_only=True)),
    "plain best fit": by_best_fit,
}


def line(name: str, fee: str, shops: list[Shop]) -> str:
    costs = [shop.cost_per_metre for shop in shops]
    scrap = mean(100 * shop.scrap / shop.bought for shop in shops)
    shelf = mean(shop.left / 1000 for shop in shops)
    objects = mean(len(shop.shelf) for shop in shops)
    dearer = 100 * (mean(costs) / FLOOR - 1)
    paid = mean(shop.cost_per_metre + Decimal(fee) * shop.names * 1000 / (shop.pieces + shop.allowances) for shop in shops)
    return f"{name:16s} fee {fee:>3s} {paid:8.4f} {mean(costs):8.4f} {min(costs):8.4f} {max(costs):8.4f} {dearer:+7.3f} % {scrap:8.3f} % {shelf:8.1f} m {objects:6.1f}"


def main() -> None:
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--seeds", type=int, default=3)
    parser.add_argument("--days", type=int, default=220)
    chosen = parser.parse_args()
    print(f"{chosen.days} orders a year, {chosen.seeds} years; floor {FLOOR} a metre")
    print(
        f"{'way':24s} {'with fee':>8s} {'cost/m':>8s} {'least':>8s} {'most':>8s} {'over floor':>9s} {'scrap':>10s} {'shelf':>10s} {'rests':>6s}"
    )
    for fee in ("0", "3", "10"):
        policy = Policy(allowance=Decimal(3), least_remnant=Decimal(800), remnant_fee=Decimal(fee))
        for name, planner in WAYS.items():
            shops = [run(policy, planner, seed, chosen.days) for seed in range(chosen.seeds)]
            print(line(name, fee, shops), flush=True)


if __name__ == "__main__":
    main()

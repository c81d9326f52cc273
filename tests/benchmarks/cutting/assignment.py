"""The order as a plain assignment model, for generic solvers: how many of each piece type come off each stock object.

Integers: 0.1 mm, and money in millionths of the unit. An object of length L worth w per 0.1 mm, touched (y) with use U, costs
(K + wL) y − g + h z with gain g ≤ w (L y − U), g ≤ wL z and rest L y − U ≥ least rest × z, where z says that the rest is kept.
"""

from __future__ import annotations

import time
from dataclasses import dataclass

import highspy
from ortools.sat.python import cp_model

from pricing.cutting import Stock
from tests.cutting.workshop import Order

MONEY = 1_000_000


@dataclass(frozen=True, slots=True)
class Reference:
    """A solver's cost in money, None without a plan, and its seconds without building the model."""

    cost: float | None
    seconds: float


@dataclass(frozen=True, slots=True)
class Object:
    length: int
    worth: int
    spool: str


class Assignment:
    """Sizes, demand and objects of an order; enough copies of the longest spool for all of it, four of every other."""

    def __init__(self, order: Order) -> None:
        policy = order.policy
        self.sizes = [int((piece.length + policy.allowance) * 10) for piece in order.pieces]
        self.demand = [piece.quantity for piece in order.pieces]
        self.touch, self.least = int(policy.touch * MONEY), int(policy.least_remnant * 10)
        self.fee = int(policy.remnant_fee * MONEY) if policy.remnant_fee.is_finite() else None
        total = sum(size * many for size, many in zip(self.sizes, self.demand, strict=True))
        longest = max(int(row.length * 10) for row in order.stock)
        self.objects: list[Object] = []
        for row in order.stock:
            length = int(row.length * 10)
            copies = row.count or (-(-total // length) + 1 if length == longest else min(4, -(-total // length)))
            self.objects += [Object(length, self._worth(row), row.id if row.count is None else "")] * copies

    def _worth(self, row: Stock) -> int:
        assert row.price_per_metre is not None
        return int(row.price_per_metre * MONEY) // 10_000


def by_cp_sat(order: Order, seconds: float) -> Reference:
    """CP-SAT on the model, both cores."""
    asked, model = Assignment(order), cp_model.CpModel()
    placed: list[list[cp_model.IntVar]] = [[] for _ in asked.sizes]
    cost: list[cp_model.LinearExprT] = []
    before: tuple[str, cp_model.IntVar] | None = None
    for each in asked.objects:
        touched = model.new_bool_var("")
        taken = [model.new_int_var(0, min(d, each.length // s), "") for s, d in zip(asked.sizes, asked.demand, strict=True)]
        remnant = each.length * touched - cp_model.LinearExpr.weighted_sum(taken, asked.sizes)
        model.add(remnant >= 0)
        cost.append((asked.touch + each.worth * each.length) * touched)
        if asked.fee is not None:
            kept, gain = model.new_bool_var(""), model.new_int_var(0, each.worth * each.length, "")
            model.add(gain <= each.worth * remnant)
            model.add(gain <= each.worth * each.length * kept)
            model.add(remnant >= asked.least * kept)
            cost += [-gain, asked.fee * kept]
        if before is not None and each.spool and before[0] == each.spool:
            model.add(before[1] >= touched)
        before = each.spool, touched
        for here, many in zip(placed, taken, strict=True):
            here.append(many)
    for here, demand in zip(placed, asked.demand, strict=True):
        model.add(cp_model.LinearExpr.sum(here) == demand)
    model.minimize(cp_model.LinearExpr.sum(cost))
    solver = cp_model.CpSolver()
    solver.parameters.max_time_in_seconds, solver.parameters.num_workers = seconds, 2
    start = time.perf_counter()
    status = solver.solve(model)
    taken_seconds = time.perf_counter() - start
    return Reference(solver.objective_value / MONEY if status in {cp_model.OPTIMAL, cp_model.FEASIBLE} else None, taken_seconds)


def by_highs(order: Order, seconds: float) -> Reference:
    """HiGHS on the model, one thread; lengths in metres and money in units, so that its tolerances mean something."""
    asked, solver = Assignment(order), highspy.Highs()
    solver.setOptionValue("output_flag", False)
    solver.setOptionValue("threads", 1)
    solver.setOptionValue("time_limit", seconds)
    solver.setOptionValue("mip_rel_gap", 0.0)
    placed: list[list[int]] = [[] for _ in asked.sizes]

    def column(cost: float, upper: float, *, whole: bool) -> int:
        solver.addCol(cost, 0.0, upper, 0, [], [])
        if whole:
            solver.changeColIntegrality(solver.getNumCol() - 1, highspy.HighsVarType.kInteger)
        return solver.getNumCol() - 1

    def row(low: float, high: float, terms: dict[int, float]) -> None:
        solver.addRow(low, high, len(terms), list(terms), list(terms.values()))

    endless, before = highspy.kHighsInf, ("", -1)
    sizes = [size / 10_000 for size in asked.sizes]
    for each in asked.objects:
        length, worth = each.length / 10_000, each.worth * 10_000 / MONEY
        touched = column(asked.touch / MONEY + worth * length, 1, whole=True)
        taken = [column(0, min(d, each.length // s), whole=True) for s, d in zip(asked.sizes, asked.demand, strict=True)]
        remnant = {touched: length} | {x: -size for x, size in zip(taken, sizes, strict=True)}
        row(0, endless, remnant)
        if asked.fee is not None:
            kept, gain = column(asked.fee / MONEY, 1, whole=True), column(-1, worth * length, whole=False)
            row(0, endless, {x: worth * share for x, share in remnant.items()} | {gain: -1})
            row(0, endless, {kept: worth * length, gain: -1})
            row(0, endless, remnant | {kept: -asked.least / 10_000})
        if each.spool and before[0] == each.spool:
            row(0, endless, {before[1]: 1, touched: -1})
        before = each.spool, touched
        for here, x in zip(placed, taken, strict=True):
            here.append(x)
    for here, demand in zip(placed, asked.demand, strict=True):
        row(demand, demand, dict.fromkeys(here, 1.0))
    start = time.perf_counter()
    solver.run()
    taken_seconds = time.perf_counter() - start
    info = solver.getInfo()
    found = info.primal_solution_status == highspy.SolutionStatus.kSolutionStatusFeasible
    return Reference(info.objective_function_value if found else None, taken_seconds)

"""The linear programme over bins, and the same with integer uses, solved by HiGHS.

HiGHS computes in floats, so none of its results is used as a bound or cost directly. Piece values are rounded to integers and priced
exactly elsewhere; plans are costed from their bins. Always one thread: if another number is set later in the same process, a run fails
while the old solution stays readable.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from math import gcd
from typing import Any

import numpy as np

from .errors import PlanFault
from .job import Bin, Job
from .watch import ENDLESS, Watch


@dataclass(frozen=True, slots=True)
class Relaxed:
    """The linear programme's solution in floats: its cost, the use of each column and the value (dual) of each piece type."""

    cost: float
    uses: tuple[float, ...]
    values: tuple[float, ...]


@dataclass(frozen=True, slots=True)
class IntegerSolution:
    """The bins of an integer solution, the search's bound in floats, and whether the search was completed."""

    bins: list[Bin]
    bound: float
    complete: bool


def _scale(job: Job) -> float:
    """Money per unit of the programme: an integer unit if no remnant has a value and costs stay small, else the dearest object."""
    costs = [k.touch + k.value for k in job.kinds]
    unit = gcd(*costs)
    if unit and max(costs) <= 100_000 * unit and all(k.kept_capacity <= 0 for k in job.kinds):
        return float(unit)
    return float(max(costs) or 1)


class Master:
    """Columns over demand rows (at least) and count rows of limited kinds (at most)."""

    def __init__(self, job: Job, columns: Sequence[Bin], watch: Watch = ENDLESS) -> None:
        import highspy

        self.job, self._watch = job, watch
        self.scale = _scale(job)
        self.limited = [k for k, kind in enumerate(job.kinds) if not kind.unlimited]
        self.columns: list[Bin] = []
        self._status, self._ok = highspy.HighsModelStatus, highspy.HighsStatus.kOk
        bare: Any = highspy.Highs.__mro__[1]  # the full class prints a banner on creation
        self._solver: Any = bare()
        for name, value in (
            ("log_to_console", False),
            ("output_flag", False),
            ("threads", 1),
            ("random_seed", 0),
            ("presolve", "off"),
        ):
            self._solver.setOptionValue(name, value)
        self._rows(highspy.kHighsInf)
        self.add(columns)

    def _rows(self, endless: float) -> None:
        for demand in self.job.demand:
            self._solver.addRow(float(demand), endless, 0, np.zeros(0, dtype=np.int32), np.zeros(0))
        for kind in self.limited:
            self._solver.addRow(-endless, float(self.job.kinds[kind].count), 0, np.zeros(0, dtype=np.int32), np.zeros(0))
        dearest = max(k.touch + k.value for k in self.job.kinds) / self.scale or 1.0
        for row, size in enumerate(self.job.sizes):
            dear = 10.0 * dearest * max(1.0, size / min(self.job.sizes))
            self._solver.addCol(dear, 0.0, endless, 1, np.array([row], dtype=np.int32), np.ones(1))
        self.slack = len(self.job.sizes)
        self._endless = endless

    def add(self, columns: Sequence[Bin]) -> None:
        """Add bins as columns."""
        for column in columns:
            rows = [i for i, _ in column.content]
            counts = [float(n) for _, n in column.content]
            if column.kind in self.limited:
                rows.append(len(self.job.sizes) + self.limited.index(column.kind))
                counts.append(1.0)
            cost = self.job.kinds[column.kind].cost(column.used) / self.scale
            status = self._solver.addCol(cost, 0.0, self._endless, len(rows), np.array(rows, dtype=np.int32), np.array(counts))
            if status != self._ok:
                raise PlanFault((f"the solver refuses the column {column}",))
            self.columns.append(column)

    def relax(self) -> Relaxed | None:
        """Solve the linear programme; None if HiGHS does not report it optimal."""
        self._run()
        if self._solver.getModelStatus() != self._status.kOptimal:
            return None
        solution = self._solver.getSolution()
        values = tuple(max(0.0, v) * self.scale for v in solution.row_dual[: len(self.job.sizes)])
        return Relaxed(self._solver.getObjectiveValue() * self.scale, tuple(solution.col_value[self.slack :]), values)

    def _run(self) -> None:
        """Solve within the time left. The solver's own limit counts from its first run."""
        left = self._watch.left()
        if left is not None:
            self._solver.setOptionValue("time_limit", self._solver.getRunTime() + max(0.01, left))
        self._solver.run()

    def solve_integers(self, nodes: int) -> IntegerSolution | None:
        """The best integer uses of the columns that a search limited to `nodes` finds, with its bound; None if it finds none."""
        import highspy

        for column in range(self.slack + len(self.columns)):
            self._solver.changeColIntegrality(column, highspy.HighsVarType.kInteger)
        for name, value in (("presolve", "on"), ("mip_max_nodes", nodes), ("mip_rel_gap", 0.0)):
            self._solver.setOptionValue(name, value)
        self._run()
        solution = self._solver.getSolution()
        if not solution.value_valid or len(solution.col_value) != self.slack + len(self.columns):
            return None
        counts = [round(x) for x in solution.col_value[self.slack :]]
        bins = [column for column, n in zip(self.columns, counts, strict=True) for _ in range(n)]
        complete = self._solver.getModelStatus() == self._status.kOptimal
        return IntegerSolution(bins, self._solver.getInfo().mip_dual_bound * self.scale, complete)

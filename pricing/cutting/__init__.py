"""Cut planning."""

from .errors import CuttingError, Failure, InvalidOrder, PlanFault
from .model import Cut, Limits, Note, Piece, Plan, Policy, Source, Stock, Totals, Unplanned, Use
from .planner import plan

__all__ = [
    "Cut",
    "CuttingError",
    "Failure",
    "InvalidOrder",
    "Limits",
    "Note",
    "Piece",
    "Plan",
    "PlanFault",
    "Policy",
    "Source",
    "Stock",
    "Totals",
    "Unplanned",
    "Use",
    "plan",
]

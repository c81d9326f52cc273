"""Assemblies of one role and mast together, and port against starboard where there is exactly one of each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass
from decimal import Decimal

from service.documents.rig import words
from service.documents.rig.terms import Document

_LENGTHS = (("finished", "target_length"), ("cut", "cut_length"), ("measured", "measured_length"))


@dataclass(frozen=True, slots=True)
class Group:
    """One role on one mast, port before starboard, else in the order sent."""

    name: str
    rows: tuple[Document, ...]

    @property
    def pair(self) -> tuple[Document, Document] | None:
        """Port and starboard, where there is one of each."""
        port, starboard = (self.on(side) for side in ("port", "starboard"))
        return (port[0], starboard[0]) if len(port) == len(starboard) == 1 else None

    def on(self, side: str) -> list[Document]:
        """Those of one side."""
        return [row for row in self.rows if row["side"] == side]


def groups(assemblies: Sequence[Document]) -> list[Group]:
    """All groups, each where its first assembly was sent."""
    found: dict[tuple[str, str], list[Document]] = {}
    for assembly in assemblies:
        found.setdefault((assembly["role"], assembly["mast"]), []).append(assembly)
    order = {"port": 0, "starboard": 1}
    return [
        Group(words.role({**rows[0], "side": None}), tuple(sorted(rows, key=lambda row: order.get(row["side"] or "", 2))))
        for rows in found.values()
    ]


def difference(group: Group, units: str) -> str:
    """Port against starboard in words; empty where the group has no sides."""
    port, starboard = group.on("port"), group.on("starboard")
    if not port and not starboard:
        return ""
    if group.pair is None:
        if port and starboard:
            return f"{len(port)} to port and {len(starboard)} to starboard: not compared, since it is not told which belong together."
        return f"The {'starboard' if port else 'port'} one is not in this quote."
    told = [_compared(name, field, group.pair, units) for name, field in _LENGTHS]
    said = "; ".join(part for part in told if part)
    return f"Port against starboard: {said}." if said else "Port against starboard: not known, since one has no lengths."


def _compared(name: str, field: str, pair: tuple[Document, Document], units: str) -> str:
    port, starboard = (row[field] for row in pair)
    if not port or not starboard:
        return ""
    more = Decimal(port["mm"]) - Decimal(starboard["mm"])
    if not more:
        return f"{name} equal"
    inches = words.figure(abs(more), "imperial")
    mm = words.figure(abs(more), "metric")
    figure = f"{inches} ({mm})" if units == "imperial" and inches != "0 in" else mm
    return f"{name}, {'port' if more > 0 else 'starboard'} longer by {figure}"


def shown_length(assembly: Document) -> tuple[str, Document] | None:
    """The length that a bar is drawn to, with its name: finished, else cut, else measured."""
    return next(((name, assembly[field]) for name, field in _LENGTHS if assembly[field]), None)


def lengths(assembly: Document) -> list[tuple[str, str]]:
    """Every length that is known, with its name."""
    return [(name, str(assembly[field]["text"])) for name, field in _LENGTHS if assembly[field]]

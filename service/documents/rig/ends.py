"""Each end of a quoted assembly as it is drawn: members from the outermost bearing inward to the mouth where the free wire begins, in mm."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal

from pricing import model
from pricing.fittings.thimble_eye import FAMILY as THIMBLE_EYE
from pricing.model import Part, QuotedAssembly


@dataclass(frozen=True, slots=True)
class Member:
    """A member of the chain as it is placed, floats in mm. `start` is the position of its own outer bearing, `length` how far it extends
    inward.

    `sizes`: the dimensions that the family's symbol needs, by name.
    """

    kind: str
    start: float
    length: float
    sizes: dict[str, float]
    said: str
    kept: bool = False

    @property
    def end(self) -> float:
        """Where the next member or the wire begins."""
        return self.start + self.length


@dataclass(frozen=True, slots=True)
class End:
    """One end. `taken` is the wire beyond the mouth that belongs to the cut length, `read_from` the point the reading was taken to, mm."""

    name: str
    members: tuple[Member, ...]
    taken: Decimal
    read_from: Decimal
    bare: Decimal | None = None

    @property
    def depth(self) -> float:
        """From the outermost bearing to where free wire begins, mm."""
        return self.members[-1].end if self.members else 0.0

    @property
    def clear(self) -> float:
        """From the outermost bearing to where nothing covers the wire, past an eye's sleeves and tail, mm."""
        return self.depth + (self.members[-1].sizes.get("covered", 0.0) if self.members else 0.0)


def laid_out(assembly: QuotedAssembly) -> bool:
    """Whether the quote gives the members' positions; it does not if on hold, nor in quotes issued before they were included."""
    return assembly.ends is not None


def end_of(assembly: QuotedAssembly, name: str) -> End:
    """One end, `upper` or `lower`; without members if the quote does not list them."""
    laid = _laid(assembly, name)
    if laid is None:
        return End(name, (), Decimal(0), Decimal(0))
    members = tuple(_member(assembly, name, each) for each in laid.members)
    return End(name, members, laid.taken.mm, laid.read_from.mm, None if laid.bare is None else laid.bare.mm)


def terminal_of(assembly: QuotedAssembly, name: str) -> Part | None:
    """The terminal's article at an end as listed in the assembly's parts; None for a bare end."""
    laid = _laid(assembly, name)
    if laid is None or not laid.members:
        return None
    sku = laid.members[-1].sku
    return next((part for part in assembly.parts if part.at == name and part.sku == sku), None)


def _laid(assembly: QuotedAssembly, name: str) -> model.End | None:
    if assembly.ends is None:
        return None
    return assembly.ends.upper if name == "upper" else assembly.ends.lower


def _member(assembly: QuotedAssembly, end: str, laid: model.Member) -> Member:
    kind, sizes = _kind(laid), {name: float(size) for name, size in laid.sizes.items()}
    if laid.part == "thread":
        sizes["outer"] = float(laid.place == "outer")
    said = laid.name or ""
    if laid.kind == THIMBLE_EYE:
        said = "; ".join(part.name for part in assembly.parts if part.at == end and part.family == THIMBLE_EYE)
    return Member(kind, float(laid.start.mm), float(laid.length.mm), sizes, said, laid.kept)


def _kind(laid: model.Member) -> str:
    """What its symbol is called: by part and kind, a terminal by its family."""
    match laid.part:
        case "link":
            return f"{laid.kind} link"
        case "screw":
            return f"{'inner ' if laid.place == 'inner' else ''}screw {laid.kind}"
        case "body":
            return f"{laid.kind} body"
        case "thread":
            return "thread"
    return laid.kind


def free_wire(assembly: QuotedAssembly) -> Decimal | None:
    """The wire between both ends, mm; None if the quote does not give the members' positions."""
    return None if assembly.free_wire is None else assembly.free_wire.mm

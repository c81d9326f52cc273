"""Each end of a quoted assembly as members laid from the outermost bearing inward to the mouth where free wire begins, in mm."""

from __future__ import annotations

from dataclasses import dataclass, replace
from itertools import pairwise

from .families import UNKNOWN, article, family, tubular
from .terms import Document, Steps, mm_of

NOT_TOLD = ", drawn plain: its family is not told"
KINDS = ("toggle", "fork", "eye")


@dataclass(frozen=True, slots=True)
class Member:
    """A member of the chain. `start` is where its own outer bearing lies, `length` how far it reaches inward, mm.

    `sizes` are what the family's sketch asks for: mm, by the name of the size.
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
    """One end. `taken` is the wire beyond the mouth that belongs to the cut length, `read_from` where the reading was taken to, mm."""

    name: str
    members: tuple[Member, ...]
    taken: float
    read_from: float
    bare: float | None = None

    @property
    def depth(self) -> float:
        """From the outermost bearing to where free wire begins, mm."""
        return self.members[-1].end if self.members else 0.0

    @property
    def clear(self) -> float:
        """From the outermost bearing to where nothing covers the wire: past an eye's sleeves and tail, mm."""
        return self.depth + (self.members[-1].sizes.get("covered", 0.0) if self.members else 0.0)


def end_of(assembly: Document, name: str) -> End:
    """Read one end, `upper` or `lower`; on hold nothing is known and there is no member."""
    steps = Steps(assembly)
    left = steps.first(f"{name} end left bare")
    if left is not None:
        return End(name, (), left.mm, _read_from(assembly, steps, name), bare=left.mm)
    hung = turnbuckle_end(assembly, steps) == name
    members = _links(assembly, steps, name)
    if hung:
        members += _turnbuckle(assembly, steps, name, _after(members, 0.0))
    joint = steps.sum(f"{name} pin to the turnbuckle")
    members += _terminal(assembly, steps, name, _after(members, joint))
    taken = steps.sum(*(f"{name} {what}" for what in ("wire in the bore", "loop round the thimble", "wire in the sleeves", "tail")))
    return End(name, tuple(members), taken, _read_from(assembly, steps, name))


def turnbuckle_end(assembly: Document, steps: Steps) -> str | None:
    """The end that the turnbuckle is at; None without one, or where it is not part of the lengths."""
    if steps.first("turnbuckle body") is None:
        return None
    for name in ("upper", "lower"):
        reach = steps.first(f"{name} terminal reach")
        if steps.first(f"{name} pin to the turnbuckle") or (reach and "less the whole thread" in reach.formula):
            return name
    return "lower"


def _after(members: list[Member], joint: float) -> float:
    return (members[-1].end if members else 0.0) - joint


def _part(assembly: Document, source: str, name: str) -> tuple[str, bool]:
    """Name of the article that a source speaks of, and whether it is kept."""
    for part in assembly["parts"]:
        if source == f"catalogue {part['sku']}":
            return part["name"], part["kept"]
    return name, source.startswith("measured")


def _links(assembly: Document, steps: Steps, name: str) -> list[Member]:
    """Toggles and shackles. The derivation has the outermost last, and after each length the pin that joins it inward, where one does."""
    lengths = (f"{name} toggle", f"{name} shackle")
    joints = (f"{name} pin through toggle", f"{name} pin through shackle")
    found: list[Member] = []
    for step, following in reversed(list(pairwise([*steps.every, None]))):
        if step is None or step.name not in lengths:
            continue
        kind = step.name.removeprefix(f"{name} ")
        said, kept = _part(assembly, step.source, kind.capitalize())
        pin = following.mm if following is not None and following.name in joints else 0.0
        found.append(Member(f"{kind} link", _after(found, 0.0), -step.mm - pin, {"pin": pin, "whole": -step.mm}, said, kept))
    return found


def _turnbuckle(assembly: Document, steps: Steps, name: str, start: float) -> list[Member]:
    """Outer screw with its fitting, body, inner screw: exposed threads are those of the setting to build at."""
    screws = [(kind, step) for step in steps.every for kind in KINDS if step.name == f"turnbuckle {kind}, run-out to bearing"]
    outer_side, inner_side = (name, "upper" if name == "lower" else "lower")
    exposed = {side: -steps.sum(f"{side} exposed thread, built") for side in ("upper", "lower")}
    body = steps.first("turnbuckle body")
    found: list[Member] = []

    def add(kind: str, length: float, said: str, kept: bool = False, **sizes: float) -> None:
        found.append(Member(kind, found[-1].end if found else start, length, sizes, said, kept))

    if screws:
        kind, step = screws[-1]
        add(f"screw {kind}", -step.mm, *_part(assembly, step.source, f"Screw with {kind}"))
    add("thread", exposed[outer_side], "", outer=1.0)
    if body is not None:
        shape = {True: "tubular body", False: "open body", None: "body"}[tubular(assembly)]
        inside = _stud_inside(steps, name, exposed[inner_side])
        add(shape, -body.mm, *_part(assembly, body.source, "Turnbuckle body"), inside=inside)
        if shape == "body":
            found[-1] = replace(found[-1], said=found[-1].said + NOT_TOLD)
    add("thread", exposed[inner_side], "", outer=0.0)
    if len(screws) > 1:
        kind, step = screws[0]
        add(f"inner screw {kind}", -step.mm, *_part(assembly, step.source, f"Screw with {kind}"))
    return found


def _stud_inside(steps: Steps, name: str, exposed: float) -> float:
    """How much of the wire's own stud is in the body; 0 where the document does not tell its thread's length."""
    reach = steps.first(f"{name} terminal reach")
    if reach is None or "less the whole thread" not in reach.formula:
        return 0.0
    return max(0.0, reach.given("reach") + reach.mm - exposed)


def _terminal(assembly: Document, steps: Steps, name: str, start: float) -> list[Member]:
    eye = steps.first(f"{name} thimble to sleeve face")
    if eye is not None:
        return [_thimble(assembly, steps, name, start)]
    reach = steps.first(f"{name} terminal reach")
    if reach is None:
        return []
    part = article(assembly, name, reach)
    kind = family(part, steps, name, reach)
    thread = -steps.sum(f"{name} stud's whole thread")
    grown = -steps.sum(f"{name} terminal growth", f"{name} terminal growth (derived)")
    in_turnbuckle = kind == "stud" and "less the whole thread" in reach.formula and not thread
    pressed = any(work["operation"] == "compression" and work["at"] == name for work in assembly["work"])
    sizes = {"depth": steps.sum(f"{name} wire in the bore"), "thread": thread, "neck": float(in_turnbuckle), "compression": float(pressed)}
    said = (part["name"] if part else "Terminal") + (NOT_TOLD if kind == UNKNOWN else "")
    return [Member(kind, start, thread - reach.mm + grown, sizes, said, bool(part and part["kept"]))]


def _thimble(assembly: Document, steps: Steps, name: str, start: float) -> Member:
    eye, loop, sleeves, tail = (
        steps.first(f"{name} {what}") for what in ("thimble to sleeve face", "loop round the thimble", "wire in the sleeves", "tail")
    )
    sizes = {"crown": 0.0, "to sleeve": 0.0}
    if eye is not None:
        sizes = {"crown": eye.given("crown radius"), "to sleeve": eye.given("to sleeve")}
    if loop is not None:
        sizes |= {"groove": loop.given("groove radius"), "wire": loop.given("wire")}
    if sleeves is not None:
        sizes |= {"sleeves": sleeves.given("sleeves"), "pressed": sleeves.given("pressed length"), "gap": sleeves.given("gap")}
    sizes["covered"] = sum(step.mm for step in (sleeves, tail) if step is not None)
    thimble = _part(assembly, eye.source, "Thimble")[0] if eye else "Thimble"
    sleeve = _part(assembly, sleeves.source, "sleeve")[0] if sleeves else "sleeve"
    return Member("thimble eye", start, -eye.mm if eye else 0.0, sizes, f"{thimble}; {sleeve}")


def _read_from(assembly: Document, steps: Steps, name: str) -> float:
    """How far inward of the outermost bearing the reading ended: what the derivation added there because it was measured elsewhere."""
    outward = ("end read to ", "stud inside the old", "inner exposed thread, old", "outer exposed thread, old")
    shift = 0.0
    for step in steps.every:
        ours = step.name.startswith(f"{name} ")
        added = step.name.endswith(", not in the reading")
        if ours and (added or step.name.removeprefix(f"{name} ").startswith(outward)):
            shift += step.mm
        if added and not step.name.startswith(("upper ", "lower ")) and turnbuckle_end(assembly, steps) == name:
            shift += step.mm
    return shift


def free_wire(assembly: Document, upper: End, lower: End) -> float | None:
    """Wire between both ends, mm: what is cut less what the ends take; None on hold."""
    cut = mm_of(assembly["cut_length"])
    return None if cut is None else cut - upper.taken - lower.taken

"""One assembly of a quote: its lengths, ends and members, setting, strength, parts, work and findings."""

from __future__ import annotations

from decimal import Decimal
from typing import Any, Literal

from msgspec import Struct

Readiness = Literal["ready_to_cut", "confirm", "hold"]


class Millimetres(Struct, frozen=True, gc=False):
    """A length, mm."""

    mm: Decimal


class Length(Struct, frozen=True, gc=False):
    """A length, mm, and its text in the quote's units; both are rounded from the length itself, never one from the other."""

    mm: Decimal
    text: str


class Member(Struct, frozen=True, gc=False):
    """A member of the chain, counted from the load inward, as in `pricing.geometry.layout`.

    `start` is the position of its outer bearing, `length` its extent inward from there. `sizes` are the dimensions (mm) that a drawing of its
    kind needs.
    """

    part: str
    kind: str
    place: str | None
    start: Millimetres
    length: Millimetres
    sku: str | None
    name: str | None
    kept: bool
    sizes: dict[str, Decimal]


class End(Struct, frozen=True, gc=False):
    """One end: its members, the wire they take, how far inward of the bearing the reading ended, and the wire left bare."""

    members: tuple[Member, ...]
    taken: Millimetres
    read_from: Millimetres
    bare: Millimetres | None


class Ends(Struct, frozen=True, gc=False):
    """Both ends."""

    upper: End
    lower: End


class QuotedWire(Struct, frozen=True, gc=False):
    """The catalogue's wire; `break_kN` is its breaking load in kN."""

    sku: str
    name: str
    construction: str
    material: str
    size: str
    break_kN: Decimal  # noqa: N815  # the unit's symbol


class Contributor(Struct, frozen=True, gc=False):
    """One part of an uncertainty: standard uncertainty in mm, share of the variance in percent, degrees of freedom."""

    contributor: str
    mm: Decimal
    percent: Decimal
    degrees_of_freedom: int | None


class Uncertainty(Struct, frozen=True, gc=False):
    """Expanded uncertainty in mm with its coverage factor `k`, its largest contributor and what would reduce that."""

    mm: Decimal
    largest: str
    to_shrink: str
    k: Decimal
    degrees_of_freedom: int | None
    budget: tuple[Contributor, ...]


class Exposed(Struct, frozen=True, gc=False):
    """The exposed threads on both sides of a turnbuckle's body."""

    upper_exposed: Length
    lower_exposed: Length


class Proposal(Struct, frozen=True, gc=False):
    """Another setting to build at, and the cut length that goes with it."""

    build_setting: Exposed
    cut_length: Length


class QuotedTurnbuckle(Struct, frozen=True, gc=False, kw_only=True):
    """The turnbuckle's setting to build at, and its travel."""

    body: str | None = None
    built: str
    build_setting: Exposed | None = None
    recorded: Exposed | None = None
    take_up: Length | None = None
    let_out: Length | None = None
    travel_needed: Length | None = None
    turns_from_recorded: Decimal | None = None
    equalised: Exposed | None = None
    proposal: Proposal | None = None


class PlacedStop(Struct, frozen=True, gc=False):
    """A ball stop on the wire: its diameter and the position of its centre."""

    stop: int
    sku: str
    ball: Millimetres
    centre_from_upper_bearing: Length
    centre_from_upper_cut_end: Length


class QuotedTerm(Struct, frozen=True, gc=False, kw_only=True):
    """A line of the derivation in words; `mm` is its signed addition to the cut length. `code` is empty in quotes of early releases."""

    code: str = ""
    at: str | None = None
    old: bool = False
    step: str
    mm: Decimal
    source: str
    formula: str
    inputs: dict[str, str]
    values: dict[str, Any] = {}


class Strength(Struct, frozen=True, gc=False):
    """The weakest member, its breaking load in kN and as a share of the wire's."""

    weakest: str
    kN: Decimal  # noqa: N815  # the unit's symbol
    of_wire: Decimal
    source: str


class Part(Struct, frozen=True, gc=False, kw_only=True):
    """An article in one assembly (of its quantity), and the end or place it is for."""

    sku: str
    name: str
    quantity: int
    at: str
    kept: bool
    family: str | None = None
    attachment: str | None = None


class Work(Struct, frozen=True, gc=False):
    """An operation on one assembly (of its quantity)."""

    sku: str
    name: str
    operation: str
    quantity: int
    at: str


class SharedPrice(Struct, frozen=True, gc=False):
    """An assembly's share of the lines, for its whole quantity and before tax; `fittings` is its share of the fitting lines alone.

    The two are rounded separately (pricing/costing/shares.py). `fittings` is None in quotes issued before it was introduced.
    """

    net: Decimal
    fittings: Decimal | None = None


class QuotedFinding(Struct, frozen=True, gc=False, kw_only=True):
    """A finding: code, severity, JSON Pointer to its cause, named values, and its words in the quote's language.

    Findings of earlier releases have no values (None), only words.
    """

    code: str
    severity: Literal["stop", "ask", "note"]
    reader: Literal["owner", "shop"] = "owner"
    pointer: str
    wording: str | None = None
    values: dict[str, Any] | None = None
    message: str
    remedy: str


class Identified(Struct, frozen=True, gc=False):
    """A size or thread named from a reading, best candidate first. `confidence`: certain, ambiguous or none."""

    what: str
    pointer: str
    measured: str
    candidates: tuple[str, ...]
    confidence: str


class QuotedAssembly(Struct, frozen=True, gc=False, kw_only=True):
    """What is built for one assembly."""

    tag: str
    role: str
    side: str | None
    mast: str
    number: int | None = None
    quantity: int
    readiness: Readiness
    wire: QuotedWire | None
    identified: tuple[Identified, ...]
    measured_length: Length | None
    target_length: Length | None
    cut_length: Length | None
    uncertainty: Uncertainty | None
    tolerance: Millimetres
    free_wire: Length | None = None
    ends: Ends | None = None
    turnbuckle: QuotedTurnbuckle | None
    stops: tuple[PlacedStop, ...]
    derivation: tuple[QuotedTerm, ...]
    strength: Strength | None
    parts: tuple[Part, ...]
    work: tuple[Work, ...]
    price: SharedPrice | None = None
    note: str | None = None
    findings: tuple[QuotedFinding, ...]

"""The interface of terminal families: the length between bearing and wire, the wire taken, and the parts needed."""

from __future__ import annotations

from abc import ABC, abstractmethod
from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, ClassVar, NamedTuple

from pricing.derivation import Term, total
from pricing.findings import Finding
from pricing.fittings.outline import Outline
from pricing.joints import Face
from pricing.joints.members import BARE
from pricing.values import Phrase, Size, Value, phrase

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.measurement.assembly import End
    from pricing.rows import Wire

# Datums, common practice, no source: a hole has a wall (the bearing), a centre and a tip.
PLAIN = ("bearing",)
HOLE = ("bearing", "pin_centre", "hole_centre", "pin_inside", "outer_tip")

CATALOGUE = Phrase("source.catalogue_unnamed")


class Part(NamedTuple):
    """An article in one assembly. `kept` parts are the customer's own, listed without a price.

    `family` and `attachment` are those of the terminal it is part of (a thimble and its sleeves have the eye's); None for pins, links,
    stops and anything that belongs to a turnbuckle.
    """

    sku: str
    name: str
    quantity: int
    at: str
    kept: bool = False
    kg: Decimal = Decimal(0)
    family: str | None = None
    attachment: str | None = None


class Work(NamedTuple):
    """An operation on one assembly, done `quantity` times on a wire of that diameter."""

    operation: str
    quantity: int
    at: str


class Member(NamedTuple):
    """A load-bearing member for the strength check."""

    name: Phrase
    break_kn: Decimal
    source: Value


def named(wire: Wire) -> dict[str, Value]:
    """A wire's size and construction, as values for a finding."""
    return {"size": Size(wire.diameter), "construction": phrase(f"construction.{wire.construction}")}


@dataclass(frozen=True, slots=True)
class Frame:
    """The outermost bearing and its surroundings, for readings taken to another point.

    `kind` is hole, shackle, ball, stud, crown (of a thimble) or plain. All in mm; None if the catalogue does not say.
    """

    kind: str
    pin: Decimal | None = None
    hole: Decimal | None = None
    tip: Decimal | None = None
    ring_to_centre: Decimal | None = None
    ball: Decimal | None = None
    plain_tip: Decimal | None = None
    source: Value = CATALOGUE


class Contribution(NamedTuple):
    """A contribution to the uncertainty: standard uncertainty in mm, degrees of freedom (None: very many), and how to reduce it.

    `name` and `remedy` are phrases: what contributes, and what to do about it.
    `key` names the input it comes from. One input may affect a length in several places: contributions with the same key are summed with
    their signs (`u` is then the sensitivity times the input's standard uncertainty) before squaring. Blank means an input of its own.
    """

    name: Value
    u: float
    dof: int | None
    remedy: Value
    key: str = ""


@dataclass(frozen=True, slots=True)
class Fitting:
    """A chosen fitting at one end.

    `members` are its terms in the derivation (the length between bearing and wire, negative); `taken` is the wire it holds or uses
    (positive). `clear_of` is how far from the bearing the fitting's last part (barrel or sleeve) covers the wire. `face` is its mating
    face toward the load. `sizes` are the dimensions that a drawing of its `family` needs, mm.
    """

    end: str
    members: tuple[Term, ...]
    taken: tuple[Term, ...]
    clear_of: Decimal
    frame: Frame
    parts: tuple[Part, ...] = ()
    work: tuple[Work, ...] = ()
    strength: tuple[Member, ...] = ()
    contributions: tuple[Contribution, ...] = ()
    findings: tuple[Finding, ...] = ()
    face: Face = BARE
    thread: str | None = None
    hand: str | None = None
    thread_length: Decimal = Decimal(0)
    plain_tip: Decimal = Decimal(0)
    sku: str | None = None
    cotter_hole: Decimal | None = None
    cotter_at: Decimal | None = None
    family: str = ""
    sizes: tuple[tuple[str, Decimal], ...] = ()

    @property
    def covered(self) -> Decimal:
        """Free wire covered by sleeves, beyond the mouth or sleeve face; 0 without sleeves."""
        return self.clear_of + total(self.members)


@dataclass(frozen=True, slots=True)
class Misfit:
    """No fitting can be chosen; the findings say why."""

    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class EndRequest:
    """One end as requested, with the thread and hand that a turnbuckle on it requires of the wire's stud."""

    name: str
    end: End
    wire: Wire
    turnbuckle_thread: str | None = None
    turnbuckle_hand: str | None = None
    in_turnbuckle: bool = False


class Family(ABC):
    """A family of terminals, with everything that is particular to it. To add one, follow the recipe in DEVELOPERS.md.

    `label` names it in the form and `bears` says where it bears; both are translated there. `asks` are the fields of an end that apply to
    it (pin, thread, hand, backing_plate), `datums` the points that its end can be measured to, `side` the kind of its mating face toward the
    load (one of joints.faces.KINDS). A `listed` family has rows in terminals.csv; of the columns specific to some families, they must fill
    those in `needs` and may fill those in `may`. `own` are the dimensions required of a terminal that the customer keeps and measures. A
    family without an `outline` is drawn according to its `side`.
    """

    name: ClassVar[str]
    label: ClassVar[str]
    bears: ClassVar[str]
    side: ClassVar[str]
    attachments: ClassVar[tuple[str, ...]] = ()
    asks: ClassVar[tuple[str, ...]] = ()
    datums: ClassVar[tuple[str, ...]] = PLAIN
    listed: ClassVar[bool] = True
    needs: ClassVar[tuple[str, ...]] = ()
    may: ClassVar[tuple[str, ...]] = ()
    own: ClassVar[tuple[str, ...]] = ()
    outline: ClassVar[Outline] = ()

    @property
    def words(self) -> str:
        """The name as used within a sentence."""
        return self.name.replace("_", " ")

    @abstractmethod
    def fit(self, request: EndRequest, catalogue: Catalogue) -> Fitting | Misfit:
        """Choose the catalogue's fitting for that end and wire, or say why there is none."""

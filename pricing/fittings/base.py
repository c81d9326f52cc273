"""What every family of terminal answers: how long it stands between bearing and wire, how much wire it takes, what it is made of."""

from __future__ import annotations

from dataclasses import dataclass
from decimal import Decimal
from typing import TYPE_CHECKING, NamedTuple, Protocol

from pricing.derivation import Term, total
from pricing.findings import Finding

if TYPE_CHECKING:
    from pricing.assembly import End
    from pricing.catalogue import Catalogue
    from pricing.catalogue.rows import Wire


class Part(NamedTuple):
    """An article in one assembly. `kept` parts are the customer's own, listed at no price.

    `family` and `attachment` are those of the terminal that it is (a thimble's is the eye's, and so is its sleeve's); None for pins, links,
    stops and what belongs to a turnbuckle.
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

    name: str
    break_kn: Decimal
    source: str


@dataclass(frozen=True, slots=True)
class Frame:
    """The outermost bearing and what lies around it, for readings taken to another place.

    `kind` is hole, shackle, ball, stud, crown (of a thimble) or plain. All in mm; None where the catalogue does not say.
    """

    kind: str
    pin: Decimal | None = None
    hole: Decimal | None = None
    tip: Decimal | None = None
    ring_to_centre: Decimal | None = None
    ball: Decimal | None = None
    plain_tip: Decimal | None = None
    source: str = "catalogue"


class Doubt(NamedTuple):
    """A contributor to the uncertainty: standard uncertainty in mm, degrees of freedom (None: very many), what would shrink it."""

    name: str
    u: float
    dof: int | None
    remedy: str


@dataclass(frozen=True, slots=True)
class Fitting:
    """A chosen fitting at one end.

    `members` are its terms in the derivation (what stands between bearing and wire, negative); `taken` the wire it swallows or uses
    (positive). `clear_of` is how far from the bearing the fitting's last part (barrel or sleeve) covers the wire.
    """

    end: str
    members: tuple[Term, ...]
    taken: tuple[Term, ...]
    clear_of: Decimal
    frame: Frame
    parts: tuple[Part, ...] = ()
    work: tuple[Work, ...] = ()
    strength: tuple[Member, ...] = ()
    doubts: tuple[Doubt, ...] = ()
    findings: tuple[Finding, ...] = ()
    jaw: Decimal | None = None
    thread: str | None = None
    hand: str | None = None
    thread_length: Decimal = Decimal(0)
    plain_tip: Decimal = Decimal(0)
    sku: str | None = None

    @property
    def covered(self) -> Decimal:
        """Free wire that its sleeves lie on, beyond mouth or sleeve face; 0 without sleeves."""
        return self.clear_of + total(self.members)


@dataclass(frozen=True, slots=True)
class Misfit:
    """No fitting can be chosen: the findings say why."""

    findings: tuple[Finding, ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """One end as asked for, with what the turnbuckle on it (if any) implies: its thread and the hand of the stud it takes."""

    name: str
    end: End
    wire: Wire
    turnbuckle_thread: str | None = None
    turnbuckle_hand: str | None = None
    in_turnbuckle: bool = False


class Family(Protocol):
    """A family of terminals. To add one: a file with an object of this shape, and a line in FAMILIES."""

    name: str
    attachments: tuple[str, ...]

    def fit(self, asked: Asked, catalogue: Catalogue) -> Fitting | Misfit:
        """Choose the catalogue's fitting for that end and wire, or say why there is none."""
        ...

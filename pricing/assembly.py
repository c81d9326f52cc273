"""What was measured: frozen, readable, nothing looked up yet. Lengths in mm, temperatures in degC, forces in N, areas in mm².

`None` always means "not said". Nothing here has a default value of the trade: what is not said is asked for, or assumed aloud.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal

TERMINALS = ("fork", "eye", "tee", "stud", "ball", "toggle", "thimble_eye", "none")
ATTACHMENTS = ("swage", "compression", "sleeve")
CONSTRUCTIONS = ("1x19", "compacted_1x19", "7x7", "7x19")
ROLES = (
    "cap_shroud", "intermediate_shroud", "lower_shroud", "fore_lower", "aft_lower", "forestay", "inner_forestay", "babystay",
    "backstay", "backstay_leg", "running_backstay", "checkstay", "lifeline_upper", "lifeline_lower", "gate_wire", "halyard",
    "trapeze_wire", "pennant", "bobstay", "jumper", "diamond", "topping_lift", "triatic",
)  # fmt: skip
SIDES = ("port", "starboard", "centre")
MASTS = ("main", "mizzen")
HANDS = ("right", "left")
BODIES = ("open", "tubular")
SCREW_ENDS = ("toggle", "fork", "eye")
LINKS = ("toggle", "shackle")
DATUMS = (
    "bearing", "pin_centre", "hole_centre", "pin_inside", "pin_outside", "outer_tip", "ball_centre", "stud_tip",
)  # fmt: skip
SUPPORTS = ("flat", "hung", "aboard", "pattern")
RIG_SETTINGS = ("everyday", "slack", "unknown")
RECORDED_WITH = ("caliper", "pen_mark", "tape_mark")
BUILD_AT = ("as_recorded", "centred")
BOAT_HOLES = ("as_is", "redrilled")
TAPE_MATERIALS = ("steel", "stainless", "fibreglass")
TAPE_CLASSES = ("I", "II", "III")


@dataclass(frozen=True, slots=True)
class WireSpec:
    """The wire asked for: construction and material as catalogue codes, nominal diameter in mm (`size` is the text as written).

    Where the size is not known, `measured` is a caliper's reading across the strands in mm; `coated` says that it was taken over a cover.
    """

    construction: str
    diameter: Decimal | None
    size: str
    material: str | None = None
    measured: Decimal | None = None
    coated: bool = False


@dataclass(frozen=True, slots=True)
class ThreadReading:
    """A thread as measured: its outer diameter in mm, and how many threads were counted over which length in mm."""

    diameter: Decimal
    threads: int
    over: Decimal


@dataclass(frozen=True, slots=True)
class OwnTerminal:
    """A terminal that the customer keeps, as measured, mm: `reach` bearing to mouth (last thread to mouth for a stud), `depth` of the bore that
    takes wire, and what its family needs besides. `within` is the half-width within which each was measured."""

    reach: Decimal | None = None
    depth: Decimal | None = None
    hole: Decimal | None = None
    tip: Decimal | None = None
    jaw: Decimal | None = None
    thread_length: Decimal | None = None
    plain_tip: Decimal | None = None
    within: Decimal | None = None


@dataclass(frozen=True, slots=True)
class OwnLink:
    """A toggle or shackle that the customer keeps, as measured: bearing to bearing, its holes; `within` as above. mm."""

    length: Decimal | None = None
    inner_hole: Decimal | None = None
    hole: Decimal | None = None
    within: Decimal | None = None


@dataclass(frozen=True, slots=True)
class OwnTurnbuckle:
    """A turnbuckle that the customer keeps, as measured: body face to face, its own outer screw's thread and run-out to bearing, locknut. mm."""

    body: Decimal | None = None
    thread_length: Decimal | None = None
    runout: Decimal | None = None
    plain_tip: Decimal | None = None
    locknut: Decimal | None = None
    within: Decimal | None = None


@dataclass(frozen=True, slots=True)
class OldTurnbuckle:
    """The turnbuckle that is replaced, where the reading stopped at its stud: the old stud's thread, body and outer screw's run-out. mm."""

    stud_thread_length: Decimal
    body: Decimal
    runout: Decimal


@dataclass(frozen=True, slots=True)
class TapeComparison:
    """A tape held against a better one: between two of its marks that say `marked`, there truly lies `true`. mm."""

    marked: Decimal
    true: Decimal


@dataclass(frozen=True, slots=True)
class DeflectionTest:
    """A lifeline pressed midway between two supports: their span and the deflection in mm, the force in N."""

    span: Decimal
    deflection: Decimal
    force: Decimal


@dataclass(frozen=True, slots=True)
class Link:
    """A toggle or shackle between terminal and load; `pin` is its outer pin."""

    kind: str
    pin: Decimal | None = None
    sku: str | None = None
    reuse: bool = False
    dimensions: OwnLink | None = None


@dataclass(frozen=True, slots=True)
class End:
    """One end of the wire. `links` run outward; `leave` goes with terminal `none`; `old_pin` is the pin it was measured with."""

    terminal: str
    attachment: str | None = None
    pin: Decimal | None = None
    thread: str | None = None
    hand: str | None = None
    sku: str | None = None
    links: tuple[Link, ...] = ()
    old_pin: Decimal | None = None
    boat_hole: str | None = None
    reuse: bool = False
    leave: Decimal | None = None
    measured_pin: Decimal | None = None
    measured_thread: ThreadReading | None = None
    dimensions: OwnTerminal | None = None


@dataclass(frozen=True, slots=True)
class Setting:
    """Exposed thread of each screw, body's face to run-out; 0 is a reading, None is not."""

    upper_exposed: Decimal | None = None
    lower_exposed: Decimal | None = None
    recorded_with: str | None = None


@dataclass(frozen=True, slots=True)
class Turnbuckle:
    """A turnbuckle at one end. An end left None is the wire's own stud; `hand` is that of the body's thread which takes the stud.

    `pin` is at its outer end, `inner_pin` toward a wire without a stud; `like_for_like` says a new one has the old one's geometry.
    """

    body: str
    thread: str | None = None
    hand: str | None = None
    upper_end: str | None = None
    lower_end: str | None = None
    pin: Decimal | None = None
    inner_pin: Decimal | None = None
    reuse: bool = False
    setting: Setting | None = None
    at: str = "lower"
    build_at: str | None = None
    like_for_like: bool | None = None
    sku: str | None = None
    measured_pin: Decimal | None = None
    measured_thread: ThreadReading | None = None
    dimensions: OwnTurnbuckle | None = None
    old: OldTurnbuckle | None = None


@dataclass(frozen=True, slots=True)
class Measurement:
    """The readings and how they were taken. `pull` is the horizontal pull on a hung wire, `tape_pull` the pull on the tape (N);

    `tape_weight` in N/m, `tape_area` in mm²; `inches` says that the first reading was written in feet or inches.
    """

    readings: tuple[Decimal, ...]
    includes_turnbuckle: bool | None = None
    includes_links: bool | None = None
    support: str | None = None
    rig_setting: str | None = None
    upper_datum: str = "bearing"
    lower_datum: str = "bearing"
    temperature: Decimal | None = None
    wire_temperature: Decimal | None = None
    tape_temperature: Decimal | None = None
    tape_material: str | None = None
    tape_class: str | None = None
    resolution: Decimal | None = None
    pull: Decimal | None = None
    tape_pull: Decimal | None = None
    tape_standard_pull: Decimal | None = None
    tape_area: Decimal | None = None
    tape_on_wire: bool | None = None
    tape_weight: Decimal | None = None
    inches: bool = False
    tape_comparison: TapeComparison | None = None


@dataclass(frozen=True, slots=True)
class Stop:
    """A ball stop: where its bearing ring stands from the named end's bearing, and which way it bears."""

    from_end: str
    position: Decimal
    bears_toward: str
    kind: str = "ball"
    ball: Decimal | None = None
    slot: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Assembly:
    """One wire with everything on it, as it came off the boat. `quantity` alike are made."""

    tag: str
    role: str
    wire: WireSpec
    upper: End
    lower: End
    measurement: Measurement
    side: str | None = None
    mast: str = "main"
    quantity: int = 1
    turnbuckle: Turnbuckle | None = None
    stops: tuple[Stop, ...] = ()
    furled: bool = False
    old_wire: WireSpec | None = None
    everyday_tension: Decimal | None = None
    sheave_diameter: Decimal | None = None
    wire_age_years: int | None = None
    deflection_test: DeflectionTest | None = None
    note: str | None = None


@dataclass(frozen=True, slots=True)
class Boat:
    """The boat, as far as the engine asks: name and length overall in mm."""

    name: str | None = None
    length_overall: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Customer:
    """Who asks; the engine prints it and reads nothing into it."""

    name: str | None = None
    reference: str | None = None
    email: str | None = None


@dataclass(frozen=True, slots=True)
class QuoteRequest:
    """Everything a quote is made from, besides catalogue, rates and day. `inputs` is the request as received, kept for the record."""

    assemblies: tuple[Assembly, ...]
    boat: Boat = field(default_factory=Boat)
    customer: Customer = field(default_factory=Customer)
    display_units: str = "metric"
    price_list: str | None = None
    delivery: str = "collect"
    note: str | None = None

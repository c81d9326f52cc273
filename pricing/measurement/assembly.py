"""The measurements as requested: frozen and parsed, before any look-up. Lengths in mm, temperatures in degC, forces in N, areas in mm².

`None` always means "not given". No customary defaults are filled in here: the engine asks for a missing value, or assumes it with a finding.
"""

from __future__ import annotations

from dataclasses import dataclass, field
from decimal import Decimal

ATTACHMENTS = ("swage", "compression", "sleeve", "seizing")
CONSTRUCTIONS = ("1x19", "compacted_1x19", "7x7", "7x19")
SIDES = ("port", "starboard", "centre")
MASTS = ("main", "fore", "mizzen")
HANDS = ("right", "left")
BODIES = ("open", "tubular")
SCREW_ENDS = ("toggle", "fork", "eye")
LINKS = ("toggle", "shackle", "insulator", "bridle_plate", "gate_hook")
DATUMS = (
    "bearing", "pin_centre", "hole_centre", "pin_inside", "pin_outside", "outer_tip", "ball_centre", "stud_tip",
)  # fmt: skip
BOAT_FITTINGS = ("plate", "cheeks", "ring", "slot", "socket", "hook", "lashing", "row_of_holes", "bored_plate")
PIN_FROM = ("boat", "assembly")
LINK_CHANGES = ("kept", "replaced", "added", "left_away")
OUTER_SIDES = ("jaw", "tongue", "pin", "bow")
THREAD_FACES = ("body", "locknut")
TAPE_STARTS = ("mark", "hook")
SUPPORTS = ("flat", "hung", "aboard", "pattern")
HUNG_AS = ("level", "plumb")
RIG_SETTINGS = ("everyday", "slack", "unknown")
RECORDED_WITH = ("caliper", "pen_mark", "tape_mark")
BUILD_AT = ("as_recorded", "centred")
BOAT_HOLES = ("as_is", "redrilled")
TAPE_MATERIALS = ("steel", "stainless", "fibreglass")
TAPE_CLASSES = ("I", "II", "III")


@dataclass(frozen=True, slots=True)
class WireSpec:
    """The wire requested: construction and material as catalogue codes, nominal diameter in mm (`size` is the text as written).

    An empty construction means unknown. If the size is unknown, `measured` is a caliper reading across the strands in mm; `coated` means that
    it was taken over a cover.
    """

    construction: str
    diameter: Decimal | None
    size: str
    material: str | None = None
    measured: Decimal | None = None
    coated: bool = False


@dataclass(frozen=True, slots=True)
class ThreadReading:
    """A thread as measured: its outer diameter in mm, and the number of threads counted over a length in mm."""

    diameter: Decimal
    threads: int
    over: Decimal


@dataclass(frozen=True, slots=True)
class OwnTerminal:
    """A terminal kept by the customer, as measured in mm.

    `reach` runs from bearing to mouth (for a stud, from last thread to mouth), `depth` is the depth of the bore that takes the wire; the
    rest depends on the family. For a deadeye, `groove` is the diameter at the bottom of its groove, `to_sleeve` the distance from its centre
    to where the wire's legs meet. `within` is the half-width of every dimension.
    """

    reach: Decimal | None = None
    depth: Decimal | None = None
    hole: Decimal | None = None
    tip: Decimal | None = None
    jaw: Decimal | None = None
    jaw_over: Decimal | None = None
    tongue: Decimal | None = None
    thread_length: Decimal | None = None
    plain_tip: Decimal | None = None
    groove: Decimal | None = None
    to_sleeve: Decimal | None = None
    thickness: Decimal | None = None
    within: Decimal | None = None


@dataclass(frozen=True, slots=True)
class OwnLink:
    """A link kept by the customer, as measured in mm.

    Bearing to bearing, its holes, its jaw inside and over the cheeks, its tongue's thickness, the diameter of a shackle's or hook's bar;
    `within` as for a terminal.
    """

    length: Decimal | None = None
    inner_hole: Decimal | None = None
    hole: Decimal | None = None
    jaw: Decimal | None = None
    jaw_over: Decimal | None = None
    tongue: Decimal | None = None
    bow: Decimal | None = None
    within: Decimal | None = None


@dataclass(frozen=True, slots=True)
class OwnTurnbuckle:
    """A turnbuckle kept by the customer, as measured in mm.

    Body face to face, its own outer screw's thread and run-out to bearing, and its locknut.
    """

    body: Decimal | None = None
    thread_length: Decimal | None = None
    runout: Decimal | None = None
    plain_tip: Decimal | None = None
    locknut: Decimal | None = None
    within: Decimal | None = None


@dataclass(frozen=True, slots=True)
class OldTurnbuckle:
    """The turnbuckle to be replaced, if the reading stopped at its stud, in mm.

    Thread of the old stud, body, and run-out of the outer screw.
    """

    stud_thread_length: Decimal | None = None
    body: Decimal | None = None
    runout: Decimal | None = None


@dataclass(frozen=True, slots=True)
class TapeComparison:
    """A tape compared with a better one.

    Between two marks that are `marked` apart on the tape, the true length is `true` (mm), give or take `within`. This holds at
    `temperature` and `pull`, or at 20 degC and the tape's standard pull if they are not given.
    """

    marked: Decimal
    true: Decimal
    within: Decimal | None = None
    temperature: Decimal | None = None
    pull: Decimal | None = None


@dataclass(frozen=True, slots=True)
class DeflectionTest:
    """A deflection test of a lifeline at midspan between two supports: span and deflection in mm, force in N."""

    span: Decimal
    deflection: Decimal
    force: Decimal


@dataclass(frozen=True, slots=True)
class BoatFitting:
    """What an end joins on the boat: the kind of fitting, its hole, the thickness of its plate or ring, and the width between its cheeks (mm).

    `pin_from` says whose pin the joint uses: the boat's own, which stays, or one supplied with the assembly.
    """

    kind: str
    hole: Decimal | None = None
    thickness: Decimal | None = None
    width: Decimal | None = None
    pin_from: str | None = None


@dataclass(frozen=True, slots=True)
class Link:
    """A link between terminal and load; `pin` is its outer pin, or the only one of a gate hook.

    `change` says what happens to the old link (`kept`, `replaced`, `added` if there was none, `left_away` if there will be none),
    `in_reading` whether the reading included it, `old_length` its length between bearings, `outer_side` which side faces the load.
    """

    kind: str
    pin: Decimal | None = None
    sku: str | None = None
    reuse: bool = False
    dimensions: OwnLink | None = None
    change: str | None = None
    in_reading: bool | None = None
    old_length: Decimal | None = None
    outer_side: str | None = None
    sent_in: bool | None = None


@dataclass(frozen=True, slots=True)
class End:
    """One end of the wire. `links` run outward; `leave` goes with terminal `none`; `old_pin` is the pin it was measured with.

    `joins` is the tag of another wire in the request, if this end joins that wire's opposite end instead of the boat. `backing_plate` says
    what happens to the plate behind a tee's slot; its values are those of a link's `change`.
    """

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
    boat_fitting: BoatFitting | None = None
    sent_in: bool | None = None
    joins: str | None = None
    backing_plate: str | None = None


@dataclass(frozen=True, slots=True)
class Setting:
    """Exposed thread of each screw in mm, from the body's face to the run-out; 0 is a valid reading. `read_from`: the face it was read from."""

    upper_exposed: Decimal | None = None
    lower_exposed: Decimal | None = None
    recorded_with: str | None = None
    read_from: str | None = None


@dataclass(frozen=True, slots=True)
class Turnbuckle:
    """A turnbuckle at one end of the wire. `upper_end` or `lower_end` is None where the wire's own stud screws in; `hand` is the hand of the body's
    thread that takes the stud.

    `pin` is at its outer end, `inner_pin` at its inner end if the wire has no stud; `like_for_like` means that a new turnbuckle has the same
    geometry as the old one.
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
    sent_in: bool | None = None


@dataclass(frozen=True, slots=True)
class Measurement:
    """The readings and how they were taken. `hung_as` says how a hung wire hung: level between its ends, or plumb.

    `pull` is the horizontal pull on a wire hung level, or the weight or pull on one hung plumb; `tape_pull` is the pull on the tape (N);
    `tape_weight` in N/m, `tape_area` in mm². `inches` means that the first reading was written in feet or inches; `written` holds each as
    written. `tension` is the wire's tension while measured aboard (N); each `..._within` is the half-width of that input.
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
    tape_start: str | None = None
    tension: Decimal | None = None
    tension_within: Decimal | None = None
    pull_within: Decimal | None = None
    temperature_within: Decimal | None = None
    written: tuple[str, ...] = ()
    hung_as: str | None = None


@dataclass(frozen=True, slots=True)
class Stop:
    """A ball stop: distance of its bearing ring from the named end's bearing, and the direction it bears."""

    from_end: str
    position: Decimal
    bears_toward: str
    kind: str = "ball"
    ball: Decimal | None = None
    slot: Decimal | None = None


@dataclass(frozen=True, slots=True)
class WorkAsked:
    """One of the shop's own kinds of work, requested by its code in the labour table; `quantity` is a count, or hours."""

    operation: str
    quantity: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Assembly:
    """One wire with everything on it, as it came off the boat; `quantity` identical new ones are made.

    `number` counts a vertical or diagonal from the deck on a rig with several spreaders (D1 is the lower).
    """

    tag: str
    role: str
    wire: WireSpec
    upper: End
    lower: End
    measurement: Measurement
    side: str | None = None
    mast: str = "main"
    number: int | None = None
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
    work: tuple[WorkAsked, ...] = ()


@dataclass(frozen=True, slots=True)
class Boat:
    """The boat, as far as the engine needs it: name and length overall in mm. `external_id`: her number in the shop's own books."""

    name: str | None = None
    length_overall: Decimal | None = None
    external_id: str | None = None


@dataclass(frozen=True, slots=True)
class Address:
    """A postal address, as far as given; `country` is an ISO 3166-1 alpha-2 code."""

    street: str | None = None
    city: str | None = None
    region: str | None = None
    postal_code: str | None = None
    country: str | None = None


@dataclass(frozen=True, slots=True)
class Customer:
    """The customer; printed on the quote but not otherwise used. `external_id`: the customer's number in the shop's own books."""

    name: str | None = None
    reference: str | None = None
    email: str | None = None
    address: Address | None = None
    telephone: str | None = None
    tax_number: str | None = None
    delivery_address: Address | None = None
    external_id: str | None = None


@dataclass(frozen=True, slots=True)
class ExtraLine:
    """A line that the shop adds by hand. `unit_price` in the shop's currency before tax; `tax_category` by UNCL5305, `tax_rate` in percent."""

    text: str
    quantity: Decimal
    unit_price: Decimal
    tax_category: str
    tax_rate: Decimal | None = None
    unit: str = "each"


@dataclass(frozen=True, slots=True)
class ExtraArticle:
    """An article that the shop adds by hand, by its article number; `quantity` in the unit it is sold in."""

    sku: str
    quantity: Decimal


@dataclass(frozen=True, slots=True)
class Discount:
    """A discount that the shop gives by hand on the lines: an amount in its currency, or a percentage. `text` is the reason."""

    text: str
    amount: Decimal | None = None
    percent: Decimal | None = None


@dataclass(frozen=True, slots=True)
class QuoteRequest:
    """Everything a quote is made from, besides catalogue, rates and day."""

    assemblies: tuple[Assembly, ...]
    boat: Boat = field(default_factory=Boat)
    customer: Customer = field(default_factory=Customer)
    display_units: str = "metric"
    language: str = "en"
    price_list: str | None = None
    delivery: str = "collect"
    note: str | None = None
    extra_lines: tuple[ExtraLine, ...] = ()
    discount: Discount | None = None
    work: tuple[WorkAsked, ...] = ()
    extra_articles: tuple[ExtraArticle, ...] = ()

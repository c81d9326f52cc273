"""Row types of the catalogue tables as the engine uses them: typed and frozen.

Lengths, diameters and radii are Decimal mm; forces kN; masses kg; areas mm²; moduli kN/mm² (GPa); expansion 1/K; money in the shop's
currency. `None` means that the cell is blank because the row's family does not need it, or that an older edition lacks the column. Every
row has a `source`: a published one, or `invented demo data`. An article is sold up to and including the day `until`; None: no last day is
known.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class Edition:
    """The single row that identifies the catalogue: its name and date of issue."""

    name: str
    day: date
    source: str


@dataclass(frozen=True, slots=True)
class Wire:
    """A wire of one construction, material and size. `plus` and `minus` are the diameter's tolerances.

    `bought` is for_stock or for_the_job. The remnant of wire bought for the job cannot be returned or kept, so the customer pays for it.
    `coating` is a coated wire's diameter over its cover; its `diameter` is the bare wire's, for which fittings are chosen.
    """

    sku: str
    name: str
    construction: str
    material: str
    size: str
    diameter: Decimal
    plus: Decimal
    minus: Decimal
    break_kn: Decimal
    kg_per_100m: Decimal
    metallic_mm2: Decimal
    modulus_gpa: Decimal
    expansion_per_k: Decimal
    least_coil: Decimal
    scrap_percent: Decimal
    bought: str
    source: str
    coating: Decimal | None = None
    until: date | None = None


@dataclass(frozen=True, slots=True)
class Terminal:
    """A terminal of one family for one or more wire sizes.

    `reach` runs from the bearing (last thread for a stud) to the mouth, unswaged; `depth` is the bore that takes the wire. The growth of a
    swaged terminal is given per wire in growths.csv; `growth` comes from older tables without that file, which did not say on which wire
    it was measured (0 for compression). `growth_u` is its uncertainty; for compression, it is that of the reach as assembled. A stud's
    `cotter_hole` takes the cotter pin that locks an open body; `cotter_at` is its centre, measured from the last thread.

    `jaw` is the clear width between a fork's cheeks, `jaw_over` the overall width over the cheeks, which the pin spans; `tongue` is an
    eye's thickness at its hole. In tables of earlier editions, `jaw` is the width the pin spans and the other two are missing. `materials`
    are those of the wires it may be fitted to; None means any.
    """

    sku: str
    name: str
    family: str
    attachment: str
    constructions: tuple[str, ...]
    wire_sizes: tuple[Decimal, ...]
    reach: Decimal
    depth: Decimal
    growth: Decimal | None
    growth_u: Decimal | None
    shank_before: Decimal | None
    bore: Decimal | None
    shank_after: Decimal | None
    swaged_length: Decimal | None
    pin: Decimal | None
    hole: Decimal | None
    tip: Decimal | None
    jaw: Decimal | None
    thread: str | None
    hand: str | None
    thread_length: Decimal | None
    plain_tip: Decimal | None
    ball: Decimal | None
    slot: Decimal | None
    break_kn: Decimal
    mass_kg: Decimal
    source: str
    cotter_hole: Decimal | None = None
    cotter_at: Decimal | None = None
    jaw_over: Decimal | None = None
    tongue: Decimal | None = None
    materials: tuple[str, ...] | None = None
    until: date | None = None


@dataclass(frozen=True, slots=True)
class Growth:
    """The measured growth of one terminal swaged on one wire.

    Growth is how much further from the bearing a mark on the wire, originally flush with the mouth, lies after swaging; `growth_u` is its
    standard uncertainty.
    """

    terminal: str
    construction: str
    wire_size: Decimal
    growth: Decimal
    growth_u: Decimal
    source: str


@dataclass(frozen=True, slots=True)
class Cone:
    """The cone that grips the wire in a compression terminal; refitting a terminal takes a new one."""

    sku: str
    name: str
    constructions: tuple[str, ...]
    wire_sizes: tuple[Decimal, ...]
    mass_kg: Decimal
    source: str
    until: date | None = None


@dataclass(frozen=True, slots=True)
class BackingPlate:
    """The slotted plate that backs the mast's wall behind a tee: the slot's clear width takes the tee's swaged shank."""

    sku: str
    name: str
    wire_sizes: tuple[Decimal, ...]
    thickness: Decimal
    slot: Decimal
    mass_kg: Decimal
    source: str
    until: date | None = None


@dataclass(frozen=True, slots=True)
class Thread:
    """A thread designation with its nominal diameter and pitch."""

    designation: str
    diameter: Decimal
    pitch: Decimal
    source: str


@dataclass(frozen=True, slots=True)
class Body:
    """A turnbuckle body. `stud_hand` is the hand of the thread that takes the wire's stud; the other end has the opposite hand.

    `boss` is the length of an open body's threaded end, from its face inward: a cotter pin locks the screw only beyond it.
    """

    sku: str
    name: str
    body: str
    thread: str
    length: Decimal
    stud_hand: str
    locknut: Decimal
    safe_engagement: Decimal
    break_kn: Decimal
    mass_kg: Decimal
    source: str
    boss: Decimal | None = None
    until: date | None = None


@dataclass(frozen=True, slots=True)
class Locknut:
    """The nut that locks one screw of a tubular body, by thread and hand."""

    sku: str
    name: str
    thread: str
    hand: str
    mass_kg: Decimal
    source: str
    until: date | None = None


@dataclass(frozen=True, slots=True)
class Screw:
    """A turnbuckle screw with its end fitting.

    `runout` runs from the thread's run-out to the bearing; `cotter_hole` and `cotter_at` are as for a stud.
    """

    sku: str
    name: str
    thread: str
    hand: str
    end: str
    thread_length: Decimal
    plain_tip: Decimal
    runout: Decimal
    pin: Decimal
    hole: Decimal
    tip: Decimal | None
    jaw: Decimal | None
    break_kn: Decimal
    mass_kg: Decimal
    source: str
    cotter_hole: Decimal | None = None
    cotter_at: Decimal | None = None
    jaw_over: Decimal | None = None
    tongue: Decimal | None = None
    until: date | None = None


@dataclass(frozen=True, slots=True)
class Link:
    """A toggle, shackle, insulator, bridle plate or gate hook between terminal and load.

    `length` is bearing to bearing; `inner_hole` takes the adjacent fitting's pin (None for a shackle: the adjacent fitting rides on its
    bow); `pin` is its own outer pin. A toggle has a `jaw`, the width over it and a `tongue`. A shackle's `jaw` is its clear width at the
    pin, `bow` the thickness of its bow and `bow_inside` the bow's clear width. An insulator has a tongue at either end; a bridle plate
    has an `inner_hole` toward the stay and two outer ones alike toward the legs, whose pins are often thinner. A gate hook bears inside its
    hook, of bar `bow` and opening `bow_inside`; its `pin` goes through its inner hole.
    """

    sku: str
    name: str
    kind: str
    length: Decimal
    inner_hole: Decimal | None
    pin: Decimal
    hole: Decimal
    tip: Decimal
    jaw: Decimal | None
    break_kn: Decimal
    mass_kg: Decimal
    source: str
    jaw_over: Decimal | None = None
    tongue: Decimal | None = None
    bow: Decimal | None = None
    bow_inside: Decimal | None = None
    until: date | None = None


@dataclass(frozen=True, slots=True)
class Pin:
    """A clevis pin. `diameter` is nominal, `grip` the greatest width over the cheeks that it spans, `cotter` its cotter pin's diameter."""

    sku: str
    name: str
    diameter: Decimal
    grip: Decimal
    head: Decimal
    cotter: Decimal
    double_shear_kn: Decimal
    mass_kg: Decimal
    source: str
    until: date | None = None


@dataclass(frozen=True, slots=True)
class Cotter:
    """A cotter pin; `diameter` is nominal, that of its hole."""

    sku: str
    name: str
    diameter: Decimal
    length: Decimal
    mass_kg: Decimal
    source: str
    until: date | None = None


@dataclass(frozen=True, slots=True)
class Thimble:
    """A thimble.

    `groove_radius` is measured to the bottom of the groove, `crown_radius` to the inside of the crown (the bearing), and `crown_to_sleeve`
    from the crown's centre to the face of the sleeve. `largest_pin` is the largest pin that fits the crown; `width` must fit between the
    cheeks. `materials` are those of the wires it is for; None means any.
    """

    sku: str
    name: str
    wire_sizes: tuple[Decimal, ...]
    groove_radius: Decimal
    crown_radius: Decimal
    crown_to_sleeve: Decimal
    mass_kg: Decimal
    source: str
    largest_pin: Decimal | None = None
    width: Decimal | None = None
    materials: tuple[str, ...] | None = None
    until: date | None = None


@dataclass(frozen=True, slots=True)
class Sleeve:
    """An oval sleeve: its pressed length, how many an eye takes, the gap between them, and the tail beyond the last one.

    `holds_percent` is the share of the wire's strength that the eye holds. `materials` are those of the wires it is for; None means any.
    """

    sku: str
    name: str
    constructions: tuple[str, ...]
    wire_sizes: tuple[Decimal, ...]
    pressed_length: Decimal
    per_eye: int
    gap: Decimal
    tail: Decimal
    holds_percent: Decimal
    mass_kg: Decimal
    source: str
    materials: tuple[str, ...] | None = None
    until: date | None = None


@dataclass(frozen=True, slots=True)
class Ball:
    """A ball stop for a wire: the ball's diameter and the width of the slot or claw it bears on."""

    sku: str
    name: str
    wire_sizes: tuple[Decimal, ...]
    ball: Decimal
    slot: Decimal
    mass_kg: Decimal
    source: str
    until: date | None = None


OPERATIONS = ("swage", "compression", "press", "stop", "assembly", "proof_pull", "tag", "strip")  # those that the engine counts


@dataclass(frozen=True, slots=True)
class Labour:
    """One operation, sold under `sku`: an operation that the engine counts, or work of the shop's own, which a request names by its code.

    The engine counts swage, compression, press (one sleeve), stop (one ball), assembly, proof_pull, tag, strip (the cover off one end), by the
    piece, on wires with a diameter above `over` and up to and including `up_to`, in mm. Work of the shop's own has `counted_by` (quote,
    assembly, hour or each) and no sizes. `minutes` is the time for one.
    """

    sku: str
    name: str
    operation: str
    over: Decimal | None
    up_to: Decimal | None
    minutes: Decimal | None
    source: str
    counted_by: str | None = None

    @property
    def unit(self) -> str:
        """The unit in which it is sold."""
        return "hour" if self.counted_by == "hour" else "each"


@dataclass(frozen=True, slots=True)
class SoldOnly:
    """An article that can be sold but not built with, since its dimensions are not known. `family` is the shop's word for its kind.

    `lacks`: the columns of its kind's table, such as `reach`, whose dimensions are missing.
    """

    sku: str
    name: str
    family: str
    unit: str
    source: str
    lacks: tuple[str, ...] | None = None
    until: date | None = None


@dataclass(frozen=True, slots=True)
class Price:
    """A unit price that applies from a given day and quantity. `unit` is `each` or `m`."""

    sku: str
    unit: str
    from_day: date
    from_quantity: Decimal
    unit_price: Decimal
    source: str


@dataclass(frozen=True, slots=True)
class Discount:
    """A price list's percentage discount for a group of articles (wire, fitting, labour, waste), from a given day."""

    price_list: str
    group: str
    from_day: date
    percent: Decimal
    source: str


@dataclass(frozen=True, slots=True)
class Tax:
    """The tax rate of a group (wire, fitting, labour, waste, freight, order) from a given day.

    `category` is the EN 16931 code (S, Z, E, O...).
    """

    group: str
    category: str
    from_day: date
    rate_percent: Decimal
    source: str


@dataclass(frozen=True, slots=True)
class Freight:
    """The price of shipping up to a given weight and coil diameter."""

    up_to_kg: Decimal
    up_to_coil: Decimal
    price: Decimal
    from_day: date
    source: str


@dataclass(frozen=True, slots=True)
class Term:
    """One of the shop's terms, from a given day."""

    key: str
    value: str
    unit: str
    from_day: date
    source: str


@dataclass(frozen=True, slots=True)
class Spool:
    """A spool that the shop can buy in any number: its wire (an sku), its length, and its price from a given day; `id` is the shop's own."""

    id: str
    wire: str
    length: Decimal
    price: Decimal
    from_day: date
    source: str


@dataclass(frozen=True, slots=True)
class StockRow:
    """Wire in stock: `count` unopened spools, opened spools or offcuts of one length, under the shop's own `id`.

    Valued at `price` per spool or offcut, or at `price_per_metre`. `touch` is the cost of fetching one to cut from it; None: the shop's
    usual amount.
    """

    id: str
    wire: str
    kind: str
    length: Decimal
    price: Decimal | None
    price_per_metre: Decimal | None
    count: int
    touch: Decimal | None
    source: str


@dataclass(frozen=True, slots=True)
class Amount:
    """An amount bought: `number` metres of wire (`unit` is `m`) or pieces (`each`)."""

    number: Decimal
    unit: str


@dataclass(frozen=True, slots=True)
class Purchase:
    """An article as a supplier sells it, from a day up to and including the day `until`; None: until a newer row of that supplier and order number.

    `cost` is for a metre or a piece, in the shop's currency; `lead_time_days` are calendar days; `preferred` is yes or no. A wire is reordered
    when less than `reorder_below` is on the shelf.
    """

    sku: str
    supplier: str
    order_number: str
    pack_size: Amount
    lead_time_days: int
    cost: Decimal
    currency: str | None
    from_day: date
    until: date | None
    minimum_order: Amount | None
    preferred: str
    reorder_below: Amount | None
    source: str


@dataclass(frozen=True, slots=True)
class Acceptance:
    """A doubt that the shop accepted: its name, who accepted it, on which day, and with which remark."""

    doubt: str
    by: str
    day: date
    words: str

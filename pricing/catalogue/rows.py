"""One row of each catalogue table, as the engine sees it: typed, frozen, lengths in millimetres.

Lengths, diameters and radii are Decimal mm; forces kN; masses kg; areas mm²; moduli kN/mm² (GPa); expansion 1/K. `None` stands for a column
left blank where the row's family does not need it. Every row bears `source`: a published one, or `invented demo data`.
"""

from __future__ import annotations

from dataclasses import dataclass
from datetime import date
from decimal import Decimal


@dataclass(frozen=True, slots=True)
class Edition:
    """The one row that names the catalogue: its name and the day of issue."""

    name: str
    day: date
    source: str


@dataclass(frozen=True, slots=True)
class Wire:
    """Wire by construction, material and size. `plus`/`minus` are the diameter's tolerances.

    `bought`: for_stock, or for_the_job: then what is left of it cannot be returned or kept, and the customer pays for it.
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


@dataclass(frozen=True, slots=True)
class Terminal:
    """A terminal of one family for one or more wire sizes.

    `reach` runs from the bearing (last thread for a stud) to the mouth, unswaged; `depth` is the bore that swallows wire;
    `growth` is how much longer bearing-to-mouth gets in swaging (0 for compression; None: to be derived from the shank).
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
    growth_u: Decimal
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


@dataclass(frozen=True, slots=True)
class Thread:
    """A thread by its designation, with its nominal diameter and pitch."""

    designation: str
    diameter: Decimal
    pitch: Decimal
    source: str


@dataclass(frozen=True, slots=True)
class Body:
    """A turnbuckle body. `stud_hand` is the hand of the thread that takes the wire's stud; the other end takes the other hand."""

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


@dataclass(frozen=True, slots=True)
class Screw:
    """A turnbuckle's own screw with its end fitting; `runout` is from the thread's run-out to the bearing."""

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


@dataclass(frozen=True, slots=True)
class Link:
    """A toggle or shackle between terminal and load. `length` bearing to bearing; `inner_hole` takes the neighbour's pin (None for a
    shackle, which the neighbour rides on its bow); `pin` is its own outer pin."""

    sku: str
    name: str
    kind: str
    length: Decimal
    inner_hole: Decimal | None
    pin: Decimal
    hole: Decimal
    tip: Decimal
    jaw: Decimal
    break_kn: Decimal
    mass_kg: Decimal
    source: str


@dataclass(frozen=True, slots=True)
class Pin:
    """A clevis pin: nominal diameter, `grip` the widest jaw it serves (cheeks allowed for), head, cotter pin's diameter, double shear."""

    sku: str
    name: str
    diameter: Decimal
    grip: Decimal
    head: Decimal
    cotter: Decimal
    double_shear_kn: Decimal
    mass_kg: Decimal
    source: str


@dataclass(frozen=True, slots=True)
class Cotter:
    """A cotter pin by its nominal diameter (the hole's)."""

    sku: str
    name: str
    diameter: Decimal
    length: Decimal
    mass_kg: Decimal
    source: str


@dataclass(frozen=True, slots=True)
class Thimble:
    """A thimble: radius to the bottom of its groove, the crown's inside radius (bearing), crown's centre to the sleeve face."""

    sku: str
    name: str
    wire_sizes: tuple[Decimal, ...]
    groove_radius: Decimal
    crown_radius: Decimal
    crown_to_sleeve: Decimal
    mass_kg: Decimal
    source: str


@dataclass(frozen=True, slots=True)
class Sleeve:
    """An oval sleeve: length after pressing, how many an eye takes, the gap between them, the tail left beyond the last, and the share
    of the wire's strength that the eye holds."""

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


@dataclass(frozen=True, slots=True)
class Ball:
    """A ball stop for a wire: ball diameter, and the width of the slot or claw that it bears on."""

    sku: str
    name: str
    wire_sizes: tuple[Decimal, ...]
    ball: Decimal
    slot: Decimal
    mass_kg: Decimal
    source: str


@dataclass(frozen=True, slots=True)
class Labour:
    """One operation for wires above `over` up to and with `up_to` diameter; sold by the piece under `sku`.

    Operations: swage, compression, press (one sleeve), stop (one ball), assembly, proof_pull, tag.
    """

    sku: str
    name: str
    operation: str
    over: Decimal
    up_to: Decimal
    minutes: Decimal
    source: str


@dataclass(frozen=True, slots=True)
class Price:
    """Unit price from a day on and from a quantity on. `unit` is `each` or `m`."""

    sku: str
    unit: str
    from_day: date
    from_quantity: Decimal
    unit_price: Decimal
    source: str


@dataclass(frozen=True, slots=True)
class Discount:
    """A price list's percentage off for one group of articles (wire, fitting, labour, waste) from a day on."""

    price_list: str
    group: str
    from_day: date
    percent: Decimal
    source: str


@dataclass(frozen=True, slots=True)
class Tax:
    """Rate for a group (wire, fitting, labour, waste, freight, order) from a day on; `category` is the EN 16931 code (S, Z, E, O...)."""

    group: str
    category: str
    from_day: date
    rate_percent: Decimal
    source: str


@dataclass(frozen=True, slots=True)
class Freight:
    """Shipping up to a weight and up to a coil's diameter."""

    up_to_kg: Decimal
    up_to_coil: Decimal
    price: Decimal
    from_day: date
    source: str


@dataclass(frozen=True, slots=True)
class Term:
    """One of the shop's own decisions, from a day on."""

    key: str
    value: str
    unit: str
    from_day: date
    source: str


@dataclass(frozen=True, slots=True)
class Spool:
    """A length in which the shop can buy a wire, as many as it wants, and what one costs it from a day on; `id` is the shop's own."""

    id: str
    wire: str
    length: Decimal
    price: Decimal
    from_day: date
    source: str


@dataclass(frozen=True, slots=True)
class StockRow:
    """Wire on the shelf: `count` unopened spools, opened spools or offcuts of one length, under the shop's own `id`.

    Worth `price` for each whole object or `price_per_metre`; `touch` is what taking one up costs, None for the shop's usual amount.
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

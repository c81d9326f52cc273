"""Clevis pins, cotter pins and links. Metric pins' heads and holes after ISO 2341, the rest invented."""

from __future__ import annotations

from fractions import Fraction

from pricing.data.recipes.common import (
    INCH,
    INVENTED,
    PI,
    WIDE,
    Row,
    Size,
    grams,
    jaw_for,
    kilonewtons,
    money,
    nearest,
    pin_hole,
    shop_dim,
    tongue_for,
)

# pin: (head, split-pin hole). Metric: ISO 2341, quoted in an open data file. Inch: invented.
PINS = {
    "3/16 in": ("5/16 in", "1/16 in"), "1/4 in": ("3/8 in", "1/16 in"), "5/16 in": ("7/16 in", "3/32 in"),
    "3/8 in": ("1/2 in", "3/32 in"), "7/16 in": ("9/16 in", "1/8 in"), "1/2 in": ("5/8 in", "1/8 in"),
    "5/8 in": ("13/16 in", "5/32 in"), "3/4 in": ("15/16 in", "5/32 in"),
    "6 mm": ("10 mm", "1.6 mm"), "8 mm": ("14 mm", "2 mm"), "10 mm": ("18 mm", "3.2 mm"),
    "12 mm": ("20 mm", "3.2 mm"), "16 mm": ("25 mm", "4 mm"),
}  # fmt: skip
ISO_2341 = "head and split-pin hole: ISO 2341, quoted in an open data file; the rest invented demo data"
GRIPS = (Fraction(1), Fraction(14, 10), Fraction(18, 10), Fraction(24, 10))  # in pin diameters, invented
SHEAR = 400  # N/mm², invented


def pins() -> list[Row]:
    """pins.csv: four grips a diameter."""
    return [_pin(Size(text), grip) for text in PINS for grip in GRIPS]


def _pin(size: Size, share: Fraction) -> Row:
    head, cotter = PINS[size.text]
    grip = Size(shop_dim(nearest(size.mm * share, INCH / 16 if size.inch else Fraction(1)), size.inch, 16).replace(".0 mm", " mm"))
    return {
        "sku": f"PIN-{size.code}-G{grip.text.replace(' in', 'IN').replace(' mm', 'MM').replace('/', '-').replace(' ', '-')}",
        "name": f"Clevis pin {size.text}, grip {grip.text}",
        "diameter": size.text,
        "grip": grip.text,
        "head": head,
        "cotter": cotter,
        "double_shear": kilonewtons(2 * PI / 4 * size.mm**2 * SHEAR),
        "mass": grams(size.mm**3 * (share + 1) * Fraction(79, 10_000)),
        "source": INVENTED if size.inch else ISO_2341,
        "_price": money(2 + size.mm**2 * Fraction(4, 100) + share / 2),
    }


def cotters() -> list[Row]:
    """cotters.csv: one for each split-pin hole."""
    return [_cotter(Size(text)) for text in dict.fromkeys(cotter for _, cotter in PINS.values())]


def _cotter(size: Size) -> Row:
    return {
        "sku": f"COTTER-{size.code}",
        "name": f"Cotter pin {size.text}",
        "diameter": size.text,
        "length": shop_dim(size.mm * 12, size.inch, 8),
        "mass": grams(size.mm**3 * Fraction(5, 100)),
        "source": INVENTED,
        "_price": money(Fraction(2, 10) + size.mm / 10),
    }


def links() -> list[Row]:
    """links.csv: a toggle and a shackle for each pin, insulators and bridle plates for backstays, gate hooks for lifelines."""
    return [_link(kind, Size(text)) for kind in ("toggle", "shackle") for text in PINS] + [
        _tongued(kind, Size(text)) for kind, pins in TONGUED.items() for text in pins
    ]


BACKSTAYS = ("5/16 in", "3/8 in", "1/2 in", "5/8 in", "8 mm", "10 mm", "12 mm", "16 mm")
ABOVE = {
    "5/16 in": "3/8 in",
    "3/8 in": "1/2 in",
    "1/2 in": "5/8 in",
    "8 mm": "10 mm",
    "10 mm": "12 mm",
    "12 mm": "16 mm",
}  # a bridle plate's stay
TONGUED = {"insulator": BACKSTAYS, "bridle_plate": tuple(ABOVE), "gate_hook": ("1/4 in", "5/16 in", "6 mm", "8 mm")}
NAMED = {
    "insulator": "Insulator, {pin} pins",
    "bridle_plate": "Bridle plate, {above} pin above, {pin} pins below",
    "gate_hook": "Gate hook, {pin} pin",
}
# length in pins, grams per cubic mm of pin, price per square mm: invented
OF_TONGUED = {
    "insulator": (18, Fraction(60, 100), Fraction(75, 100)),
    "bridle_plate": (6, Fraction(30, 100), Fraction(25, 100)),
    "gate_hook": (12, Fraction(45, 100), Fraction(90, 100)),
}


def _tongued(kind: str, pin: Size) -> Row:
    """A link with a tongue toward the wire; toward the load the same, or a hook."""
    pins, mass, price = OF_TONGUED[kind]
    hole, above = pin_hole(pin), Size(ABOVE[pin.text]) if kind == "bridle_plate" else pin
    hook = {"bow": shop_dim(pin.mm, pin.inch, 32), "bow_inside": shop_dim(pin.mm * 2, pin.inch, 32)} if kind == "gate_hook" else {}
    return {
        "sku": f"LINK-{kind.replace('_', '-').upper()}-{pin.code}",
        "name": NAMED[kind].format(pin=pin.text, above=above.text),
        "kind": kind,
        "length": shop_dim(pin.mm * pins, pin.inch, 16),
        "inner_hole": pin_hole(above)["hole"],
        "pin": pin.text,
        **hole,
        **tongue_for(pin),
        **hook,
        "break": kilonewtons(2 * PI / 4 * pin.mm**2 * SHEAR * Fraction(95, 100)),
        "mass": grams(pin.mm**3 * mass),
        "source": INVENTED,
        "_price": money(12 + pin.mm**2 * price),
    }


def _link(kind: str, pin: Size) -> Row:
    toggle = kind == "toggle"
    hole = pin_hole(pin)
    return {
        "sku": f"LINK-{kind.upper()}-{pin.code}",
        "name": f"{kind.capitalize()}, {pin.text} pin",
        "kind": kind,
        "length": shop_dim(pin.mm * (4 if toggle else Fraction(7, 2)), pin.inch, 16),
        "inner_hole": hole["hole"] if toggle else "",
        "pin": pin.text,
        **hole,
        **({**jaw_for(pin), **tongue_for(pin)} if toggle else _shackle(pin)),
        "break": kilonewtons(2 * PI / 4 * pin.mm**2 * SHEAR * Fraction(95, 100)),
        "mass": grams(pin.mm**3 * Fraction(12 if toggle else 15, 100)),
        "source": INVENTED,
        "_price": money(5 + pin.mm**2 * Fraction(20 if toggle else 14, 100)),
    }


BAR, BOW = Fraction(9, 10), Fraction(3, 2)  # in pin diameters: a shackle's bar and its bow's clear width, invented


def _shackle(pin: Size) -> Row:
    """Clear width at the pin, bar and clear width of the bow."""
    wide = {"jaw": WIDE, "bow": BAR, "bow_inside": BOW}
    return {name: shop_dim(pin.mm * share, pin.inch, 32) for name, share in wide.items()}

"""Declarations of all catalogue tables: file, row class, columns and cell types, key, references, rules.

To add a column, add a field to its row in pricing/rows.py, a `Column` here, and the cells to the file. Every row has a `source`. Every
article except labour may have a last day of sale (`until`).
"""

from __future__ import annotations

from collections.abc import Iterator

from pricing import rows
from pricing.catalogue import cells
from pricing.catalogue.cells import choice, code, decimal, integer, listed
from pricing.catalogue.schema import Column, Rule, Table
from pricing.catalogue.tables_prices import PRICE_TABLES
from pricing.catalogue.tables_purchases import PURCHASES
from pricing.catalogue.tables_stock import SPOOLS, STOCK
from pricing.fittings import FAMILIES
from pricing.rows import OPERATIONS

CONSTRUCTION = choice("1x19", "compacted_1x19", "7x7", "7x19")
HAND = choice("right", "left")
COUNTED_BY = ("quote", "assembly", "hour", "each")  # how the shop's own kinds of work are counted
EVERY_SHOPS = OPERATIONS[:-1]  # required of every shop; one without coated wire needs no row for stripping

SKU = Column("sku", cells.TEXT)
NAME = Column("name", cells.TEXT)
SOURCE = Column("source", cells.TEXT)
UNTIL = Column("until", cells.DAY, blank=True, later=True)
MASS = Column("mass", cells.MASS, "mass_kg")
BREAK = Column("break", cells.FORCE, "break_kn")
WIRE_SIZES = Column("wire_sizes", listed(cells.LENGTH), to=("wires", "diameter"))
CONSTRUCTIONS = Column("constructions", listed(CONSTRUCTION))
MATERIALS = Column("materials", listed(cells.TEXT), blank=True, later=True, to=("wires", "material"))
THREAD = Column("thread", cells.THREAD, to=("threads", "designation"))
PIN = Column("pin", cells.LENGTH, to=("pins", "diameter"))
HOLE = Column("hole", cells.LENGTH)
TIP = Column("tip", cells.LENGTH)
JAW = Column("jaw", cells.LENGTH)
THREAD_LENGTH = Column("thread_length", cells.LENGTH)
PLAIN_TIP = Column("plain_tip", cells.LENGTH_OR_0)
LOCKED_BY = (
    Column("cotter_hole", cells.LENGTH, blank=True, later=True, to=("cotters", "diameter")),
    Column("cotter_at", cells.LENGTH, blank=True, later=True),
)


def blank(column: Column) -> Column:
    """The same column, but allowed to be blank."""
    return Column(column.name, column.cell, column.field, blank=True, to=column.to)


def later(name: str) -> Column:
    """A length column that tables of earlier editions lack; blank in rows whose kind has no such size."""
    return Column(name, cells.LENGTH, blank=True, later=True)


JAW_OVER, TONGUE = later("jaw_over"), later("tongue")

EDITION = Table("edition", rows.Edition, (NAME, Column("day", cells.DAY), SOURCE), key=("name",))

WIRES = Table(
    "wires", rows.Wire,
    (
        SKU, NAME,
        Column("construction", CONSTRUCTION),
        Column("material", cells.TEXT),
        Column("diameter", cells.LENGTH),
        Column("plus", cells.LENGTH_OR_0),
        Column("minus", cells.LENGTH_OR_0),
        BREAK,
        Column("mass", cells.MASS_PER_LENGTH, "kg_per_100m"),
        Column("metallic", cells.AREA, "metallic_mm2"),
        Column("modulus", cells.MODULUS, "modulus_gpa"),
        Column("expansion", cells.EXPANSION, "expansion_per_k"),
        Column("least_coil", cells.LENGTH),
        Column("scrap", cells.PERCENT, "scrap_percent"),
        Column("bought", choice("for_stock", "for_the_job")),
        SOURCE, later("coating"), UNTIL,
    ),
    key=("construction", "material", "diameter"), orders=(("coating", "diameter"),), as_written=(("size", "diameter"),), article=True, unit="m",
)  # fmt: skip

LISTED = {name: family for name, family in FAMILIES.items() if family.listed}


def _columns_of_families() -> Iterator[Rule]:
    """A family fills the columns it needs, may fill some others, and leaves blank those that apply only to other families."""
    special = dict.fromkeys(column for family in LISTED.values() for column in (*family.needs, *family.may))
    for name, family in LISTED.items():
        leaves = tuple(column for column in special if column not in (*family.needs, *family.may))
        yield Rule({"family": (name,)}, family.needs, leaves)


TERMINALS = Table(
    "terminals", rows.Terminal,
    (
        SKU, NAME,
        Column("family", choice(*LISTED)),
        Column("attachment", choice("swage", "compression")),
        CONSTRUCTIONS, WIRE_SIZES,
        Column("reach", cells.LENGTH),
        Column("depth", cells.LENGTH),
        Column("growth", cells.LENGTH_OR_0, blank=True),
        Column("growth_u", cells.LENGTH_OR_0, blank=True),
        Column("shank_before", cells.LENGTH, blank=True),
        Column("bore", cells.LENGTH, blank=True),
        Column("shank_after", cells.LENGTH, blank=True),
        Column("swaged_length", cells.LENGTH, blank=True),
        blank(PIN), blank(HOLE), blank(TIP), blank(JAW), blank(THREAD),
        Column("hand", HAND, blank=True),
        blank(THREAD_LENGTH), blank(PLAIN_TIP),
        Column("ball", cells.LENGTH, blank=True),
        Column("slot", cells.LENGTH, blank=True),
        BREAK, MASS, SOURCE, *LOCKED_BY, JAW_OVER, TONGUE, MATERIALS, UNTIL,
    ),
    key=("sku",), article=True,
    rules=(
        *_columns_of_families(),
        Rule({"attachment": ("swage",), "growth": ("",)}, needs=("shank_before", "bore", "shank_after", "swaged_length")),
        Rule({"attachment": ("compression",)}, needs=("growth_u",), leaves=("shank_before", "bore", "shank_after", "swaged_length")),
    ),
    orders=(
        ("hole", "pin"), ("ball", "slot"), ("shank_before", "bore"), ("reach", "depth"), ("reach", "thread_length"), ("jaw_over", "jaw"),
    ),
)  # fmt: skip

GROWTHS = Table(
    "growths", rows.Growth,
    (
        Column("terminal", cells.TEXT, to=("terminals", "sku")),
        Column("construction", CONSTRUCTION),
        Column("wire_size", cells.LENGTH, to=("wires", "diameter")),
        Column("growth", cells.LENGTH_OR_0),
        Column("growth_u", cells.LENGTH_OR_0),
        SOURCE,
    ),
    key=("terminal", "construction", "wire_size"), later=True,
)  # fmt: skip

CONES = Table(
    "cones", rows.Cone, (SKU, NAME, CONSTRUCTIONS, WIRE_SIZES, MASS, SOURCE, UNTIL),
    key=("sku",), article=True, later=True,
)  # fmt: skip

BACKING_PLATES = Table(
    "backing_plates", rows.BackingPlate,
    (SKU, NAME, WIRE_SIZES, Column("thickness", cells.LENGTH), Column("slot", cells.LENGTH), MASS, SOURCE, UNTIL),
    key=("sku",), article=True, later=True,
)  # fmt: skip

THREADS = Table(
    "threads", rows.Thread,
    (Column("designation", cells.THREAD), Column("diameter", cells.LENGTH), Column("pitch", cells.LENGTH), SOURCE),
    key=("designation",), orders=(("diameter", "pitch"),),
)  # fmt: skip

BODIES = Table(
    "turnbuckle_bodies", rows.Body,
    (
        SKU, NAME,
        Column("body", choice("open", "tubular")),
        THREAD,
        Column("length", cells.LENGTH),
        Column("stud_hand", HAND),
        Column("locknut", cells.LENGTH_OR_0),
        Column("safe_engagement", cells.LENGTH),
        BREAK, MASS, SOURCE,
        Column("boss", cells.LENGTH, blank=True, later=True),
        UNTIL,
    ),
    key=("body", "thread"), article=True, orders=(("length", "safe_engagement"), ("length", "boss")),
    rules=(Rule({"body": ("tubular",)}, leaves=("boss",)),),
)  # fmt: skip

LOCKNUTS = Table(
    "locknuts", rows.Locknut, (SKU, NAME, THREAD, Column("hand", HAND), MASS, SOURCE, UNTIL),
    key=("thread", "hand"), article=True, later=True,
)  # fmt: skip

SCREWS = Table(
    "screws", rows.Screw,
    (
        SKU, NAME, THREAD,
        Column("hand", HAND),
        Column("end", choice("toggle", "fork", "eye")),
        THREAD_LENGTH, PLAIN_TIP,
        Column("runout", cells.LENGTH),
        PIN, HOLE, TIP, blank(JAW),
        BREAK, MASS, SOURCE, *LOCKED_BY, JAW_OVER, TONGUE, UNTIL,
    ),
    key=("sku",), article=True, orders=(("hole", "pin"), ("jaw_over", "jaw")),
    rules=(
        Rule({"end": ("toggle", "fork")}, needs=("jaw",), leaves=("tongue",)),
        Rule({"end": ("eye",)}, leaves=("jaw", "jaw_over")),
    ),
)  # fmt: skip

LINKS = Table(
    "links", rows.Link,
    (
        SKU, NAME,
        Column("kind", choice("toggle", "shackle", "insulator", "bridle_plate", "gate_hook")),
        Column("length", cells.LENGTH),
        Column("inner_hole", cells.LENGTH, blank=True),
        PIN, HOLE, TIP, blank(JAW), BREAK, MASS, SOURCE, JAW_OVER, TONGUE, later("bow"), later("bow_inside"), UNTIL,
    ),
    key=("sku",), article=True, orders=(("hole", "pin"), ("jaw_over", "jaw"), ("bow_inside", "bow")),
    rules=(
        Rule({"kind": ("toggle",)}, needs=("inner_hole", "jaw"), leaves=("bow", "bow_inside")),
        Rule({"kind": ("shackle",)}, needs=("jaw",), leaves=("inner_hole", "jaw_over", "tongue")),
        Rule({"kind": ("insulator", "bridle_plate")}, needs=("inner_hole", "tongue"), leaves=("jaw", "jaw_over", "bow", "bow_inside")),
        Rule({"kind": ("gate_hook",)}, needs=("inner_hole", "tongue", "bow", "bow_inside"), leaves=("jaw", "jaw_over")),
    ),
)  # fmt: skip

PINS = Table(
    "pins", rows.Pin,
    (
        SKU, NAME,
        Column("diameter", cells.LENGTH),
        Column("grip", cells.LENGTH),
        Column("head", cells.LENGTH),
        Column("cotter", cells.LENGTH, to=("cotters", "diameter")),
        Column("double_shear", cells.FORCE, "double_shear_kn"),
        MASS, SOURCE, UNTIL,
    ),
    key=("diameter", "grip"), article=True, orders=(("head", "diameter"), ("diameter", "cotter")),
)  # fmt: skip

COTTERS = Table(
    "cotters", rows.Cotter,
    (SKU, NAME, Column("diameter", cells.LENGTH), Column("length", cells.LENGTH), MASS, SOURCE, UNTIL),
    key=("diameter",), article=True,
)  # fmt: skip

THIMBLES = Table(
    "thimbles", rows.Thimble,
    (
        SKU, NAME, WIRE_SIZES,
        Column("groove_radius", cells.LENGTH),
        Column("crown_radius", cells.LENGTH),
        Column("crown_to_sleeve", cells.LENGTH),
        MASS, SOURCE, later("largest_pin"), later("width"), MATERIALS, UNTIL,
    ),
    key=("sku",), article=True, orders=(("groove_radius", "crown_radius"), ("crown_to_sleeve", "groove_radius")),
)  # fmt: skip

SLEEVES = Table(
    "sleeves", rows.Sleeve,
    (
        SKU, NAME, CONSTRUCTIONS, WIRE_SIZES,
        Column("pressed_length", cells.LENGTH),
        Column("per_eye", integer(1)),
        Column("gap", cells.LENGTH_OR_0),
        Column("tail", cells.LENGTH_OR_0),
        Column("holds", decimal("a percentage above 0 up to 100", most=100, least="1"), "holds_percent"),
        MASS, SOURCE, MATERIALS, UNTIL,
    ),
    key=("sku",), article=True,
)  # fmt: skip

BALLS = Table(
    "balls", rows.Ball,
    (SKU, NAME, WIRE_SIZES, Column("ball", cells.LENGTH), Column("slot", cells.LENGTH), MASS, SOURCE, UNTIL),
    key=("sku",), article=True, orders=(("ball", "slot"),),
)  # fmt: skip

LABOUR = Table(
    "labour", rows.Labour,
    (
        SKU, NAME,
        Column("operation", code(f"one of {', '.join(OPERATIONS)}, or a code of your own such as call_out: small letters, digits and _, at most 40")),
        Column("over", cells.LENGTH_OR_0, blank=True),
        Column("up_to", cells.LENGTH, blank=True),
        Column("time", cells.MINUTES, "minutes", blank=True),
        SOURCE,
        Column("counted_by", choice(*COUNTED_BY), blank=True, later=True),
    ),
    key=("operation", "up_to"), article=True, orders=(("up_to", "over"),), complete=("operation", EVERY_SHOPS),
    rules=(
        Rule({"operation": OPERATIONS}, needs=("over", "up_to", "time"), leaves=("counted_by",)),
        Rule({"counted_by": COUNTED_BY}, leaves=("over", "up_to")),
    ),
)  # fmt: skip

ACCEPTED_DOUBTS = Table(
    "accepted_doubts", rows.Acceptance,
    (Column("doubt", cells.TEXT), Column("by", cells.TEXT), Column("day", cells.DAY), Column("words", cells.TEXT, blank=True, empty="")),
    key=("doubt",), part_of="acceptance", later=True,
)  # fmt: skip

SOLD_ONLY = Table(
    "sold_only", rows.SoldOnly,
    (
        SKU, NAME,
        Column("family", cells.TEXT),
        Column("unit", choice("each", "m")),
        SOURCE,
        Column("lacks", listed(cells.TEXT), blank=True),
        UNTIL,
    ),
    key=("sku",), article=True, later=True,
)  # fmt: skip

TABLES = (
    EDITION, WIRES, TERMINALS, THREADS, BODIES, SCREWS, LINKS, PINS, COTTERS, THIMBLES, SLEEVES, BALLS, LABOUR, *PRICE_TABLES, SPOOLS, STOCK,
    GROWTHS, CONES, LOCKNUTS, BACKING_PLATES, ACCEPTED_DOUBTS, PURCHASES, SOLD_ONLY,
)  # fmt: skip

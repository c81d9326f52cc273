"""Every table of the catalogue, declared once: file, row class, columns and what they hold, key, references, rules.

To add a column: add a field to the class in rows.py, a `Column` here, and the cells to the file. `source` is in every row.
"""

from __future__ import annotations

from pricing.catalogue import cells, rows
from pricing.catalogue.cells import choice, decimal, integer, listed
from pricing.catalogue.schema import Column, Rule, Table
from pricing.catalogue.tables_prices import PRICE_TABLES
from pricing.catalogue.tables_stock import SPOOLS, STOCK

CONSTRUCTION = choice("1x19", "compacted_1x19", "7x7", "7x19")
HAND = choice("right", "left")
OPERATIONS = ("swage", "compression", "press", "stop", "assembly", "proof_pull", "tag")

SKU = Column("sku", cells.TEXT)
NAME = Column("name", cells.TEXT)
SOURCE = Column("source", cells.TEXT)
MASS = Column("mass", cells.MASS, "mass_kg")
BREAK = Column("break", cells.FORCE, "break_kn")
WIRE_SIZES = Column("wire_sizes", listed(cells.LENGTH), to=("wires", "diameter"))
CONSTRUCTIONS = Column("constructions", listed(CONSTRUCTION))
THREAD = Column("thread", cells.THREAD, to=("threads", "designation"))
PIN = Column("pin", cells.LENGTH, to=("pins", "diameter"))
HOLE = Column("hole", cells.LENGTH)
TIP = Column("tip", cells.LENGTH)
JAW = Column("jaw", cells.LENGTH)
THREAD_LENGTH = Column("thread_length", cells.LENGTH)
PLAIN_TIP = Column("plain_tip", cells.LENGTH_OR_0)


def blank(column: Column) -> Column:
    """The same column where some rows leave it blank."""
    return Column(column.name, column.cell, column.field, blank=True, to=column.to)


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
        SOURCE,
    ),
    key=("construction", "material", "diameter"), as_written=(("size", "diameter"),), article=True, unit="m",
)  # fmt: skip

TERMINALS = Table(
    "terminals", rows.Terminal,
    (
        SKU, NAME,
        Column("family", choice("fork", "eye", "toggle", "tee", "stud", "ball")),
        Column("attachment", choice("swage", "compression")),
        CONSTRUCTIONS, WIRE_SIZES,
        Column("reach", cells.LENGTH),
        Column("depth", cells.LENGTH),
        Column("growth", cells.LENGTH_OR_0, blank=True),
        Column("growth_u", cells.LENGTH_OR_0),
        Column("shank_before", cells.LENGTH, blank=True),
        Column("bore", cells.LENGTH, blank=True),
        Column("shank_after", cells.LENGTH, blank=True),
        Column("swaged_length", cells.LENGTH, blank=True),
        blank(PIN), blank(HOLE), blank(TIP), blank(JAW), blank(THREAD),
        Column("hand", HAND, blank=True),
        blank(THREAD_LENGTH), blank(PLAIN_TIP),
        Column("ball", cells.LENGTH, blank=True),
        Column("slot", cells.LENGTH, blank=True),
        BREAK, MASS, SOURCE,
    ),
    key=("sku",), article=True,
    rules=(
        Rule({"family": ("fork", "eye", "toggle")}, needs=("pin", "hole", "tip")),
        Rule({"family": ("fork", "toggle")}, needs=("jaw",)),
        Rule({"family": ("eye", "tee", "stud", "ball")}, leaves=("jaw",)),
        Rule({"family": ("tee", "stud", "ball")}, leaves=("pin", "hole", "tip")),
        Rule({"family": ("stud",)}, needs=("thread", "hand", "thread_length", "plain_tip")),
        Rule({"family": ("fork", "eye", "toggle", "tee", "ball")}, leaves=("thread", "hand", "thread_length", "plain_tip")),
        Rule({"family": ("ball",)}, needs=("ball", "slot")),
        Rule({"family": ("fork", "eye", "toggle", "tee", "stud")}, leaves=("ball", "slot")),
        Rule({"attachment": ("swage",), "growth": ("",)}, needs=("shank_before", "bore", "shank_after", "swaged_length")),
        Rule({"attachment": ("compression",)}, needs=("growth",), leaves=("shank_before", "bore", "shank_after", "swaged_length")),
    ),
    orders=(("hole", "pin"), ("ball", "slot"), ("shank_before", "bore"), ("reach", "depth"), ("reach", "thread_length")),
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
    ),
    key=("body", "thread"), article=True, orders=(("length", "safe_engagement"),),
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
        BREAK, MASS, SOURCE,
    ),
    key=("sku",), article=True, orders=(("hole", "pin"),),
    rules=(Rule({"end": ("toggle", "fork")}, needs=("jaw",)), Rule({"end": ("eye",)}, leaves=("jaw",))),
)  # fmt: skip

LINKS = Table(
    "links", rows.Link,
    (
        SKU, NAME,
        Column("kind", choice("toggle", "shackle")),
        Column("length", cells.LENGTH),
        Column("inner_hole", cells.LENGTH, blank=True),
        PIN, HOLE, TIP, JAW, BREAK, MASS, SOURCE,
    ),
    key=("sku",), article=True, orders=(("hole", "pin"),),
    rules=(Rule({"kind": ("toggle",)}, needs=("inner_hole",)), Rule({"kind": ("shackle",)}, leaves=("inner_hole",))),
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
        MASS, SOURCE,
    ),
    key=("diameter", "grip"), article=True, orders=(("head", "diameter"), ("diameter", "cotter")),
)  # fmt: skip

COTTERS = Table(
    "cotters", rows.Cotter,
    (SKU, NAME, Column("diameter", cells.LENGTH), Column("length", cells.LENGTH), MASS, SOURCE),
    key=("diameter",), article=True,
)  # fmt: skip

THIMBLES = Table(
    "thimbles", rows.Thimble,
    (
        SKU, NAME, WIRE_SIZES,
        Column("groove_radius", cells.LENGTH),
        Column("crown_radius", cells.LENGTH),
        Column("crown_to_sleeve", cells.LENGTH),
        MASS, SOURCE,
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
        MASS, SOURCE,
    ),
    key=("sku",), article=True,
)  # fmt: skip

BALLS = Table(
    "balls", rows.Ball,
    (SKU, NAME, WIRE_SIZES, Column("ball", cells.LENGTH), Column("slot", cells.LENGTH), MASS, SOURCE),
    key=("sku",), article=True, orders=(("ball", "slot"),),
)  # fmt: skip

LABOUR = Table(
    "labour", rows.Labour,
    (
        SKU, NAME,
        Column("operation", choice(*OPERATIONS)),
        Column("over", cells.LENGTH_OR_0),
        Column("up_to", cells.LENGTH),
        Column("time", cells.MINUTES, "minutes"),
        SOURCE,
    ),
    key=("operation", "up_to"), article=True, orders=(("up_to", "over"),), complete=("operation", OPERATIONS),
)  # fmt: skip

TABLES = (
    EDITION, WIRES, TERMINALS, THREADS, BODIES, SCREWS, LINKS, PINS, COTTERS, THIMBLES, SLEEVES, BALLS, LABOUR, *PRICE_TABLES, SPOOLS, STOCK,
)  # fmt: skip

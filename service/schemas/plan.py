"""A cutting plan asked for: typed lengths or quotes, and stock and terms that stand in for the shop's."""

from __future__ import annotations

from typing import Any

from marshmallow import ValidationError

from pricing.assembly import CONSTRUCTIONS
from pricing.bench.order import EFFORTS, PlanOrder, PlanTerms, PlanWire, TypedPiece, TypedStock
from pricing.bench.shelf import downward
from pricing.cutting import Source, Stock
from service.problems import Fault, Problem
from service.schemas.failure import Failure, faults
from service.schemas.fields import Amount, Choice, Count, Flag, Id, Length, Text
from service.schemas.plan_rows import row_faults
from service.schemas.shape import Many, Object, Shape

MOST_ROWS, MOST_PIECES, MOST_QUOTES = 20_000, 50_000, 200
MOST_STOCK, MOST_OBJECTS = 300, 1_000  # more than any shelf has of one wire; a plan's time grows with it
MOST_UNLIMITED = 20  # kinds of spools to be bought: a few are for sale, and a plan tries every mixture of them
KINDS = tuple(each.value for each in Source)
TYPED: tuple[str, ...] = ("wire", "pieces")
OF_TYPED: tuple[str, ...] = ("wire", "pieces", "stock", "terms")


class PlanWireShape(Shape):
    """The wire: its sku, or construction, material and diameter."""

    made = PlanWire
    sku = Text(80)
    construction = Choice(CONSTRUCTIONS)
    material = Text(40)
    diameter = Length()

    def build(self, values: dict[str, Any]) -> object:
        """The wire, of which something must be said."""
        if "sku" not in values and not {"construction", "diameter"} <= values.keys():
            raise ValidationError([Failure("required", "name the wire by `sku`, or by `construction`, `diameter` and `material`")])
        return PlanWire(**values)


class TypedPieceShape(Shape):
    """Equal pieces."""

    made = TypedPiece
    length = Length(required=True)
    quantity = Count(1, MOST_PIECES)
    label = Text(120)


class StockShape(Shape):
    """Equal stock objects; `unlimited` new spools can be bought as many as wanted."""

    made = TypedStock
    id = Text(80, required=True)
    kind = Choice(KINDS)
    length = Length(required=True)
    price = Amount()
    price_per_metre = Amount()
    count = Count(0, MOST_OBJECTS)
    unlimited = Flag()
    touch_cost = Amount()
    opening_cost = Amount()

    def build(self, values: dict[str, Any]) -> object:
        """The stock, never longer than it is."""
        unlimited = values.pop("unlimited", False)
        if unlimited and "count" in values:
            raise ValidationError({"count": [Failure("not_unlimited", "leave out either `count` or `unlimited`")]})
        count = None if unlimited else values.pop("count", 1)
        source, touch = Source(values.pop("kind", "new")), values.pop("touch_cost", None)
        opening = values.pop("opening_cost", None)
        if opening is not None and source is not Source.NEW:
            raise ValidationError({"opening_cost": [Failure("not_new", "only a new spool is opened: leave this out, or use `touch_cost`")]})
        row = Stock(source=source, count=count, touch=touch, **(values | {"length": downward(values["length"])}))
        return TypedStock(row, opening)


class PlanTermsShape(Shape):
    """Terms for this plan alone."""

    made = PlanTerms
    allowance = Length(zero=True)
    least_rest = Length(zero=True)
    touch_cost = Amount()
    opening_cost = Amount()
    rest_fee = Amount()
    bought_for_the_job = Flag()


class PlanOrderShape(Shape):
    """The whole of it."""

    made = PlanOrder
    wire = Object(PlanWireShape())
    pieces = Many(Object(TypedPieceShape()), 1, MOST_ROWS)
    quotes = Many(Id(), 1, MOST_QUOTES)
    stock = Many(Object(StockShape()), 1, MOST_STOCK)
    terms = Object(PlanTermsShape())
    display_units = Choice(("metric", "imperial"))
    effort = Choice(EFFORTS)

    def build(self, values: dict[str, Any]) -> object:
        """Either typed pieces of one wire or quotes."""
        if refused := {key: [Failure(code, words)] for key, code, words in _clashes(values)}:
            raise ValidationError(refused)
        return PlanOrder(**values)


def _clashes(values: dict[str, Any]) -> list[tuple[str, str, str]]:
    if "quotes" in values:
        return _beside_quotes(values)
    found = [(key, "required", "send `wire` and `pieces`, or `quotes`") for key in TYPED if key not in values]
    if sum(each.quantity for each in values.get("pieces", ())) > MOST_PIECES:
        found.append(("pieces", "too_many_pieces", f"at most {MOST_PIECES} pieces are planned at once: send them in parts"))
    if sum(each.row.count is None for each in values.get("stock", ())) > MOST_UNLIMITED:
        words = f"at most {MOST_UNLIMITED} rows may be `unlimited`: keep the spools that are cheapest by the metre, or send a `count`"
        found.append(("stock", "too_many_unlimited", words))
    if sum(each.row.count or 0 for each in values.get("stock", ())) > MOST_OBJECTS:
        found.append(
            ("stock", "too_many_objects", f"at most {MOST_OBJECTS} stock objects are planned on at once: leave out what is too short")
        )
    return found


def _beside_quotes(values: dict[str, Any]) -> list[tuple[str, str, str]]:
    words = "the quotes name wires and pieces, and the shop's tables the rest: leave this out"
    found = [(key, "not_with_quotes", words) for key in OF_TYPED if key in values]
    if len(set(values["quotes"])) != len(values["quotes"]):
        found.append(("quotes", "repeated_quote", "name each quote once"))
    return found


SHAPE = PlanOrderShape()


def read_plan_order(value: object, digits: int) -> PlanOrder:
    """The order, in a currency of so many decimals. Raises Problem (422) with every fault."""
    messages: list[Fault] = []
    found: Any = None
    try:
        found = SHAPE.load(value)  # type: ignore[arg-type]  # what is no object is refused there
    except ValidationError as error:
        messages = list(faults(error.messages))
    known = {(each["pointer"]) for each in messages}
    messages += [each for each in row_faults(value, digits) if each["pointer"] not in known]
    if messages:
        raise Problem(422, "The request cannot be read; each fault is listed with its place and what to write there.", messages)
    made: PlanOrder = found
    return made

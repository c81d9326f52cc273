"""Request body of a cutting plan: lengths or quotes, optionally with stock and terms to use instead of the shop's."""

from __future__ import annotations

from typing import Any

from marshmallow import ValidationError

from pricing.cutting import Source, Stock
from pricing.measurement.assembly import CONSTRUCTIONS
from pricing.stock.plan_order import EFFORTS, MOST_PIECES, PlanOrder, PlanTerms, PlanWire, TypedPiece, TypedStock
from pricing.stock.shelf import downward
from service.schemas.failure import Failure
from service.schemas.fields import Amount, Choice, Count, Flag, Id, Length, Text
from service.schemas.plan_rows import loaded
from service.schemas.schema import Many, Object, RequestSchema

MOST_ROWS, MOST_QUOTES = 20_000, 200
MOST_STOCK, MOST_OBJECTS = 300, 1_000  # more than any shelf holds of one wire; planning time grows with it
MOST_UNLIMITED = 20  # kinds of spools that can be bought: few are on sale, and planning tries every mixture of them
KINDS = tuple(each.value for each in Source)
TYPED: tuple[str, ...] = ("wire", "pieces")
OF_TYPED: tuple[str, ...] = ("wire", "pieces", "stock", "terms")


class PlanWireSchema(RequestSchema):
    """The wire, by its sku or by construction, material and diameter."""

    made = PlanWire
    sku = Text(80)
    construction = Choice(CONSTRUCTIONS)
    material = Text(40)
    diameter = Length()

    def build(self, values: dict[str, Any]) -> object:
        """The wire; at least one of these must be given."""
        if "sku" not in values and not {"construction", "diameter"} <= values.keys():
            raise ValidationError([Failure("required", "name the wire by `sku`, or by `construction`, `diameter` and `material`")])
        return PlanWire(**values)


class TypedPieceSchema(RequestSchema):
    """A number of equal pieces."""

    made = TypedPiece
    length = Length(required=True)
    quantity = Count(1, MOST_PIECES)
    label = Text(120)


class StockSchema(RequestSchema):
    """A number of equal stock objects; `unlimited`: new spools, as many as needed can be bought."""

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
        """The stock, with its length rounded down."""
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


class PlanTermsSchema(RequestSchema):
    """Terms for this plan only."""

    made = PlanTerms
    allowance = Length(zero=True)
    minimum_remnant = Length(zero=True)
    touch_cost = Amount()
    opening_cost = Amount()
    remnant_fee = Amount()
    bought_for_the_job = Flag()


class PlanOrderSchema(RequestSchema):
    """A plan order."""

    made = PlanOrder
    wire = Object(PlanWireSchema())
    pieces = Many(Object(TypedPieceSchema()), 1, MOST_ROWS)
    quotes = Many(Id(), 1, MOST_QUOTES)
    stock = Many(Object(StockSchema()), 1, MOST_STOCK)
    terms = Object(PlanTermsSchema())
    display_units = Choice(("metric", "imperial"))
    effort = Choice(EFFORTS)

    def build(self, values: dict[str, Any]) -> object:
        """The order: either typed pieces of one wire, or quotes."""
        if refused := {key: [Failure(code, words)] for key, code, words in _clashes(values)}:
            raise ValidationError(refused)
        return PlanOrder(**values)


def _clashes(values: dict[str, Any]) -> list[tuple[str, str, str]]:
    if "quotes" in values:
        return _beside_quotes(values)
    found = [(key, "required", "send `wire` and `pieces`, or `quotes`") for key in TYPED if key not in values]
    if sum(each.quantity for each in values.get("pieces", ())) > MOST_PIECES:
        found.append(("pieces", "too_many_pieces", f"at most {MOST_PIECES} pieces can be planned at once: send them in parts"))
    if sum(each.row.count is None for each in values.get("stock", ())) > MOST_UNLIMITED:
        words = f"at most {MOST_UNLIMITED} rows may be `unlimited`: keep the spools that are cheapest by the metre, or send a `count`"
        found.append(("stock", "too_many_unlimited", words))
    if sum(each.row.count or 0 for each in values.get("stock", ())) > MOST_OBJECTS:
        found.append(
            ("stock", "too_many_objects", f"at most {MOST_OBJECTS} stock objects can be planned on at once: leave out what is too short")
        )
    return found


def _beside_quotes(values: dict[str, Any]) -> list[tuple[str, str, str]]:
    words = "the quotes name wires and pieces, and the shop's tables everything else: leave this out"
    found = [(key, "not_with_quotes", words) for key in OF_TYPED if key in values]
    if len(set(values["quotes"])) != len(values["quotes"]):
        found.append(("quotes", "repeated_quote", "name each quote once"))
    return found


SHAPE = PlanOrderSchema()


def read_plan_order(value: object, digits: int) -> PlanOrder:
    """The order, for a currency with this many decimals. Raises Problem (422) with every fault."""
    made: PlanOrder = loaded(
        SHAPE, value, digits, "The request cannot be read; each fault is listed with its place and what to write there."
    )
    return made

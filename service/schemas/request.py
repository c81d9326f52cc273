"""A quote request: `read_request` turns a decoded body into the engine's frozen request, or reports every fault at once."""

from __future__ import annotations

from collections.abc import Collection
from typing import Any

from marshmallow import ValidationError

from pricing.measurement.assembly import Address, Boat, Customer, Discount, ExtraArticle, ExtraLine, QuoteRequest
from service.encoding import json
from service.encoding.languages import LANGUAGES
from service.http.problems import Problem, fault
from service.schemas.assemblies import AssemblySchema, WorkSchema
from service.schemas.compiler import Fallback, compiled
from service.schemas.failure import Failure, faults, refusal
from service.schemas.fields import Amount, Choice, Country, Email, Length, Reduction, Telephone, Text
from service.schemas.schema import Many, Object, RequestSchema


class BoatSchema(RequestSchema):
    """The boat."""

    made = Boat
    name = Text(120)
    length_overall = Length()
    external_id = Text(80)


class AddressSchema(RequestSchema):
    """An address of the customer's, for post or for delivery, as far as it is given."""

    made = Address
    street = Text(120)
    city = Text(120)
    region = Text(120)
    postal_code = Text(120)
    country = Country()

    def build(self, values: dict[str, Any]) -> object:
        """The address, if there is anything in it."""
        if not values:
            raise refusal("empty_address", "write at least one of street, city, region, postal_code, country, or leave the address out")
        return Address(**values)


class CustomerSchema(RequestSchema):
    """The customer."""

    made = Customer
    name = Text(120)
    reference = Text(80)
    email = Email(254)
    address = Object(AddressSchema())
    telephone = Telephone()
    tax_number = Text(40)
    delivery_address = Object(AddressSchema())
    external_id = Text(80)


TAX_CATEGORIES = ("S", "Z", "E", "AE", "K", "G", "O", "L", "M")  # UNCL5305, as EN 16931 uses it
# Maximum number of wires cut for one quote; each has to be placed on a spool.
MOST_PIECES = 10_000


class Assemblies(Many):
    """Assemblies with distinct tags, since the bench tells them apart by tag alone, and no more wires than fit in one quote."""

    def across(self, items: list[object]) -> dict[int, object]:
        """A failure at each tag that an earlier assembly already has, and at the quantity that exceeds the maximum."""
        messages = self._equal_tags(items)
        many = 0
        for index, each in enumerate(items):
            quantity = each.get("quantity", 1) if type(each) is dict else 0
            many += quantity if type(quantity) is int else 0
            if many > MOST_PIECES:
                words = f"with this assembly the request is for more than {MOST_PIECES} wires: request the others in a separate quote"
                messages.setdefault(index, {"quantity": [Failure("too_many_pieces", words)]})
                break
        return messages

    def _equal_tags(self, items: list[object]) -> dict[int, object]:
        messages: dict[int, object] = {}
        first: dict[str, int] = {}
        for index, each in enumerate(items):
            tag = each.get("tag") if type(each) is dict else None
            if type(tag) is str and first.setdefault(tag, index) != index:
                words = f"the assembly at index {first[tag]} has the same tag: give each its own, or use quantity for equal ones"
                messages[index] = {"tag": [Failure("duplicate_tag", words)]}
        return messages


class ExtraLineSchema(RequestSchema):
    """A line that the shop adds by hand."""

    made = ExtraLine
    text = Text(200, required=True)
    quantity = Amount(above_zero=True, required=True)
    unit_price = Amount(required=True)
    tax_category = Choice(TAX_CATEGORIES, required=True)
    tax_rate = Amount()
    unit = Choice(("each", "m", "hour"))


class ExtraArticleSchema(RequestSchema):
    """An article that the shop adds by hand. Its tables say which articles there are, and in which unit each is sold (pricing/costing/by_number.py)."""

    made = ExtraArticle
    sku = Text(300, required=True)
    quantity = Amount(above_zero=True, required=True)


class DiscountSchema(RequestSchema):
    """A discount that the shop gives by hand; `reduction` is an amount, or a percentage with the percent sign."""

    made = Discount
    text = Text(200, required=True)
    reduction = Reduction(required=True)

    def build(self, values: dict[str, Any]) -> object:
        """The discount."""
        return Discount(values["text"], *values["reduction"])


class QuoteRequestSchema(RequestSchema):
    """Everything a quote is made from."""

    made = QuoteRequest
    assemblies = Assemblies(Object(AssemblySchema()), 1, 200, required=True)
    boat = Object(BoatSchema())
    customer = Object(CustomerSchema())
    display_units = Choice(("metric", "imperial"))
    language = Choice(LANGUAGES)
    price_list = Text(40)
    delivery = Choice(("collect", "ship"))
    note = Text(2000, lines=True)
    extra_articles = Many(Object(ExtraArticleSchema()), 1, 100)
    extra_lines = Many(Object(ExtraLineSchema()), 1, 100)
    discount = Object(DiscountSchema())
    work = Many(Object(WorkSchema()), 1, 100)


SHAPE = QuoteRequestSchema()
_fast_path = compiled(SHAPE)


def read_request(value: object, price_lists: Collection[str]) -> QuoteRequest:
    """The engine's request. Raises Problem (422) with every fault, including a price list the shop does not have."""
    if isinstance(value, list):
        words = "one request is an object, written between { and }; a list of requests is a batch: `POST /v1/batches`"
        raise Problem(422, "The request cannot be read.", [fault("#", "not_an_object", words)])
    found = load(value)
    messages = [] if isinstance(found, QuoteRequest) else list(faults(found))
    named = value.get("price_list") if isinstance(value, dict) else None
    if type(named) is str and named not in price_lists:
        failure = Failure("unknown_price_list", f"the shop has: {', '.join(sorted(price_lists))}")
        messages += faults({"price_list": [failure]})
    if messages or not isinstance(found, QuoteRequest):
        raise Problem(422, "The request cannot be read; each fault is listed with its place and what to write there.", messages)
    return found


def request_of_earlier(body: bytes) -> QuoteRequest | None:
    """The request that a stored quote was made from, whichever price lists exist now; None if it can no longer be read."""
    try:
        found = load(json.read(body))
    except json.NotJson:
        return None
    return found if isinstance(found, QuoteRequest) else None


def load(value: object) -> Any:
    """The request, or marshmallow's tree of messages; tries the fast path first."""
    try:
        return _fast_path(value)
    except (Fallback, ValidationError):
        return load_by_marshmallow(value)


def load_by_marshmallow(value: object) -> Any:
    """The request, or the tree of messages, using only the schemas."""
    try:
        return SHAPE.load(value)  # type: ignore[arg-type]  # anything but an object is refused there
    except ValidationError as error:
        return error.messages

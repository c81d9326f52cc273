"""What a quotation says to the boat's owner, in words and figures: one content for its page (HTML) and its paper (PDF)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from decimal import Decimal

from msgspec import UNSET, Struct

from pricing.costing.own_work import OWN_WORK
from pricing.model import Address, Quote, QuotedAssembly
from service.documents.quotation.prices import EXTRA, Group, Totals, groups, totals
from service.documents.quotation.texts import Fact, Text, spoken
from service.documents.quotation.wires import READINESS, Wire, wire
from service.documents.quoted import address_lines, head
from service.documents.rig import words
from service.documents.speech import Speech, Told, speech
from service.lifecycle import business_days

STATUSES = {
    "issued": "open",
    "accepted": "accepted",
    "in_work": "accepted, in work",
    "built": "built",
    "handed_over": "handed over",
    "cancelled": "cancelled",
    "declined": "declined",
    "withdrawn": "withdrawn",
    "superseded": "superseded by a later revision",
    "expired": "expired",
}
ENDED = ("declined", "withdrawn", "cancelled", "superseded", "expired")
FIRM = (
    "Firm until %(day)s: the prices of the parts, wire and work listed here. Estimated: every length, and with it the wire that is charged, "
    "until the rigger has verified the measurements before cutting."
)
NOTHING_PRICED = (
    "Nothing is priced: no assembly can be built from these numbers. Why, and what to do, is said with each below; a revision with new numbers "
    "has prices and a last day."
)
SHARED = "The price of an assembly is its share of wire, fittings and its own work, by length, cuts or pieces; all else, and tax, is of the whole order."
BEARINGS = (
    "Lengths go from load-bearing surface to load-bearing surface: the wall of a pin hole farthest from the wire, a tee’s shoulder, the inside "
    "of a thimble’s crown, the last thread of a bare stud. With a turnbuckle they hold at the setting drawn."
)
DRAWN = "In the drawings the upper end is on top. Triangles mark the surfaces between which the length goes; between two wavy lines wire is left out."
SHOP_CHECKS = "The shop checks something about the parts of this wire itself, before anything is cut."


class Asked(Struct, frozen=True):
    """What is to be confirmed before one assembly is cut, or about the whole quote (no title)."""

    title: str
    found: tuple[Told, ...]
    otherwise: str


class Acceptance(Struct, frozen=True):
    """How the quotation is accepted on paper; without `words` it cannot be, and `instead` says why."""

    words: str
    open: bool
    instead: str
    how: str = ""


class Quotation(Struct, frozen=True, kw_only=True):
    """The whole quotation. Days and amounts are written out."""

    language: str
    paper: str
    number: str
    title: str
    boat: str
    replacement: str
    seller: str
    contact: tuple[str, ...]
    legal: str
    about: tuple[Fact, ...]
    state: tuple[Fact, ...]
    ended: str
    priced: bool
    payable: str
    until: str
    payment: str
    time: str
    note: str
    included: tuple[str, ...]
    excluded: tuple[str, ...]
    left_out: str
    asked: tuple[Asked, ...]
    groups: tuple[Group, ...]
    totals: Totals | None
    wires: tuple[Wire, ...]
    wires_total: str
    cautions: tuple[Text, ...]
    acceptance: Acceptance
    address: str
    checksum: str
    issued_on: str


def content(quote: Quote, language: str = "en", country: str | None = None) -> Quotation:
    """The quotation of a stored quote. Raises ValueError for a preview.

    `language`: one of `LANGUAGES`. `country`: whose holidays are not business days (ISO 3166); None: holidays are ignored, and it says so.
    """
    said = speech(language, quote.display_units)
    issue = head(quote)
    priced = bool(quote.lines)
    boat = quote.boat.name or said.say(words.UNNAMED)
    shared = priced and any(each.price for each in quote.assemblies)
    return Quotation(
        language=said.language,
        paper="a4" if quote.display_units == "metric" else "us-letter",
        number=issue.number,
        title=f"{said.say('Quotation')} {issue.number}",
        boat=boat,
        replacement=said.say("Replacement wires for %(boat)s", boat=boat),
        seller=quote.seller.name,
        contact=tuple(_contact(quote, said)),
        legal=quote.seller.legal or "",
        about=tuple(_about(quote, said)),
        state=tuple(_state(quote, issue.status, said)),
        ended=_ended(issue.status, said),
        priced=priced,
        payable=said.money(quote.totals.payable, quote.currency) if priced else said.say("nothing is priced"),
        until=said.day(quote.valid_until) if priced else "",
        payment=quote.seller.payment_terms or "",
        time=_time(quote, country, said) if priced else "",
        note=quote.note or "",
        included=tuple(_included(quote, said)) if priced else (),
        excluded=tuple(_excluded(quote, said)) if priced else (),
        left_out=", ".join(quote.left_out),
        asked=tuple(_asked(quote, said)),
        groups=groups(quote, said),
        totals=totals(quote, said) if priced else None,
        wires=tuple(wire(quote, each, said) for each in quote.assemblies),
        wires_total=said.money(sum((each.price.net for each in quote.assemblies if each.price), Decimal(0)), quote.currency)
        if shared
        else "",
        cautions=tuple(spoken(each, said) for each in quote.cautions),
        acceptance=_acceptance(quote, issue.status, said),
        address=f"/v1/quotes/{issue.id}",
        checksum=issue.checksum,
        issued_on=quote.issued_on,
    )


def explained(told: Quotation, said: Speech) -> dict[str, str]:
    """The paragraphs that explain figures, by name: what is firm, and how lengths, drawings and shares are meant."""
    return {
        "firm": said.say(FIRM, day=told.until) if told.priced else said.say(NOTHING_PRICED),
        "bearings": said.say(BEARINGS),
        "drawn": said.say(DRAWN) if any(each.drawing for each in told.wires) else "",
        "shared": said.say(SHARED),
    }


def _contact(quote: Quote, said: Speech) -> Iterator[str]:
    """The shop's address and how it is reached."""
    shop = quote.seller
    if lines := address_lines(shop.address):
        yield ", ".join(lines)
    for name, value in (("Telephone", shop.phone), ("E-mail", shop.email), ("Tax number", shop.tax_number)):
        if value:
            yield f"{said.say(name)}: {value}"


def _about(quote: Quote, said: Speech) -> Iterator[Fact]:
    """Customer and boat."""
    customer, boat = quote.customer, quote.boat
    yield Fact(said.say("Customer"), customer.name or "–", rows=tuple(_address(customer.address, said)))
    if customer.reference:
        yield Fact(said.say("Your reference"), customer.reference)
    if customer.email:
        yield Fact(said.say("E-mail"), customer.email)
    if customer.telephone:
        yield Fact(said.say("Telephone"), customer.telephone)
    if customer.tax_number:
        yield Fact(said.say("Tax number"), customer.tax_number)
    if customer.delivery_address:
        first, *rest = _address(customer.delivery_address, said)
        yield Fact(said.say("Address for delivery"), first, rows=tuple(rest))
    if customer.external_id:
        yield Fact(said.say("Your number with us"), customer.external_id)
    named = (boat.name, said.boat_length(boat.length_overall) if boat.length_overall else None)
    yield Fact(said.say("Boat"), ", ".join(each for each in named if each) or "–")
    if boat.external_id:
        yield Fact(said.say("Your boat’s number with us"), boat.external_id)


def _address(address: Address | None, said: Speech) -> list[str]:
    """An address of the customer's, its country by name."""
    lines = address_lines(address)
    return [*lines[:-1], said.country(lines[-1])] if address and address.country else lines


def _state(quote: Quote, status: str, said: Speech) -> Iterator[Fact]:
    """The issue, and whether it can be accepted."""
    revision = "" if quote.revision is UNSET else str(quote.revision)
    yield Fact(said.say("Quotation"), f"{head(quote).number}, {said.say('revision')} {revision}")
    yield Fact(said.say("Issued on"), said.day(quote.issued_on))
    yield Fact(said.say("Status"), said.say(STATUSES[status]))


def _ended(status: str, said: Speech) -> str:
    if status not in ENDED:
        return ""
    return said.say("This quotation can no longer be accepted: %(status)s.", status=said.say(STATUSES[status]))


def _time(quote: Quote, country: str | None, said: Speech) -> str:
    ready = business_days.after(date.fromisoformat(quote.issued_on), quote.lead_time_days, country)
    days = said.several(
        "Ready %(num)s business day after acceptance and confirmed measurements: on %(day)s, if it has both on the day of issue.",
        "Ready %(num)s business days after acceptance and confirmed measurements: on %(day)s, if it has both on the day of issue.",
        quote.lead_time_days,
        day=said.day(ready),
    )
    return days if country else f"{days} {said.say('Public holidays are not taken into account.')}"


def _included(quote: Quote, said: Speech) -> Iterator[str]:
    pieces = sum(each.quantity for each in quote.assemblies if each.tag not in quote.left_out)
    yield said.several(
        "%(num)s wire, with its fittings and the work at the bench: cut, fitted, tagged.",
        "%(num)s wires, with their fittings and the work at the bench: cut, fitted, tagged.",
        pieces,
    )
    if any(each.rule == OWN_WORK for each in quote.lines):
        yield said.say("The further work listed below.")
    if any(each.group == EXTRA for each in quote.lines):
        yield said.say("The further items listed below.")
    if quote.delivery != "ship":
        yield said.say("Ready for collection at the shop.")
    elif _freight(quote):
        yield said.say("Shipping as charged below.")


def _excluded(quote: Quote, said: Speech) -> Iterator[str]:
    if quote.delivery == "ship" and not _freight(quote):
        yield said.say("Shipping: the shop has no listed price for this parcel and tells it before it is sent.")
    if any(part.kept for each in quote.assemblies for part in each.parts):
        yield said.say("Parts of your own that are used again: they are named with each assembly and are inspected before use.")
    if any(each.group == EXTRA or each.rule == OWN_WORK for each in quote.lines):
        yield said.say(
            "Unless it is listed below: taking the old wires off, fitting the new ones aboard, work on the mast, tuning, a survey of the rig."
        )
    else:
        yield said.say("Taking the old wires off, fitting the new ones aboard, work on the mast, tuning, a survey of the rig.")
    if quote.left_out:
        yield said.say("The assemblies on hold.")


def _freight(quote: Quote) -> bool:
    return any(each.rule == "freight" for each in quote.charges)


def _asked(quote: Quote, said: Speech) -> Iterator[Asked]:
    """What is open, by assembly; what is said of several assemblies in the same words is said once."""
    same: dict[tuple[str, tuple[Told, ...]], list[str]] = {}
    for each in quote.assemblies:
        if found := words.findings(each, "stop", "ask"):
            same.setdefault((each.readiness, tuple(said.told(found))), []).append(each.tag)
    for (readiness, told), tags in same.items():
        yield Asked(f"{', '.join(tags)}: {said.say(READINESS[readiness])}", told, "" if told else said.say(SHOP_CHECKS))
    if told := tuple(said.told(quote.findings)):
        yield Asked("", told, "")


def _acceptance(quote: Quote, status: str, said: Speech) -> Acceptance:
    if quote.left_out:
        instead = "With an assembly on hold this quotation cannot be accepted as it is: ask for a revision."
        return Acceptance("", open=False, instead=said.say(instead))
    if status != "issued":
        return Acceptance("", open=False, instead=f"{said.say('Status')}: {said.say(STATUSES[status])}.")
    agreed = said.say(
        "I accept quotation %(number)s, revision %(revision)s, at %(amount)s, valid until %(day)s:",
        number=head(quote).number,
        revision=head(quote).revision,
        amount=said.money(quote.totals.payable, quote.currency),
        day=said.day(quote.valid_until),
    )
    how = "To accept on paper, sign below and bring or send this page to the shop; its address stands at the head of the quotation."
    return Acceptance(agreed, open=_any_open(quote.assemblies), instead="", how=said.say(how))


def _any_open(assemblies: Iterable[QuotedAssembly]) -> bool:
    return any(words.findings(each, "stop", "ask") for each in assemblies)

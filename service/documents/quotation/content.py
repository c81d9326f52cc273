"""The content of a quotation for the boat's owner, in words and figures: the same for its page (HTML) and its paper (PDF)."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from datetime import date
from decimal import Decimal

from msgspec import UNSET, Struct

from pricing.costing.own_work import OWN_WORK
from pricing.model import Address, Quote, QuotedAssembly
from service.documents.quotation.prices import EXTRA, Group, Totals, groups, totals
from service.documents.quotation.texts import Fact, Text, caution_text
from service.documents.quotation.wires import READINESS, Wire, wire
from service.documents.quoted import address_lines, head
from service.documents.rig import words
from service.documents.speech import FindingText, Speech, speech_in
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
    """What must be confirmed before assemblies are cut, or about the whole quote (no title). `otherwise`: the text if nothing concerns the owner."""

    title: str
    found: tuple[FindingText, ...]
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
    speech = speech_in(language, quote.display_units)
    issue = head(quote)
    priced = bool(quote.lines)
    boat = quote.boat.name or speech.say(words.UNNAMED)
    shared = priced and any(each.price for each in quote.assemblies)
    return Quotation(
        language=speech.language,
        paper="a4" if quote.display_units == "metric" else "us-letter",
        number=issue.number,
        title=f"{speech.say('Quotation')} {issue.number}",
        boat=boat,
        replacement=speech.say("Replacement wires for %(boat)s", boat=boat),
        seller=quote.seller.name,
        contact=tuple(_contact(quote, speech)),
        legal=quote.seller.legal or "",
        about=tuple(_about(quote, speech)),
        state=tuple(_state(quote, issue.status, speech)),
        ended=_ended(issue.status, speech),
        priced=priced,
        payable=speech.money(quote.totals.payable, quote.currency) if priced else speech.say("nothing is priced"),
        until=speech.day(quote.valid_until) if priced else "",
        payment=quote.seller.payment_terms or "",
        time=_time(quote, country, speech) if priced else "",
        note=quote.note or "",
        included=tuple(_included(quote, speech)) if priced else (),
        excluded=tuple(_excluded(quote, speech)) if priced else (),
        left_out=", ".join(quote.left_out),
        asked=tuple(_asked(quote, speech)),
        groups=groups(quote, speech),
        totals=totals(quote, speech) if priced else None,
        wires=tuple(wire(quote, each, speech) for each in quote.assemblies),
        wires_total=speech.money(sum((each.price.net for each in quote.assemblies if each.price), Decimal(0)), quote.currency)
        if shared
        else "",
        cautions=tuple(caution_text(each, speech) for each in quote.cautions),
        acceptance=_acceptance(quote, issue.status, speech),
        address=f"/v1/quotes/{issue.id}",
        checksum=issue.checksum,
        issued_on=quote.issued_on,
    )


def explained(quotation: Quotation, speech: Speech) -> dict[str, str]:
    """The paragraphs that explain figures, by name: what is firm, and how lengths, drawings and shares are meant."""
    return {
        "firm": speech.say(FIRM, day=quotation.until) if quotation.priced else speech.say(NOTHING_PRICED),
        "bearings": speech.say(BEARINGS),
        "drawn": speech.say(DRAWN) if any(each.drawing for each in quotation.wires) else "",
        "shared": speech.say(SHARED),
    }


def _contact(quote: Quote, speech: Speech) -> Iterator[str]:
    """The shop's address and how it is reached."""
    shop = quote.seller
    if lines := address_lines(shop.address):
        yield ", ".join(lines)
    for name, value in (("Telephone", shop.phone), ("E-mail", shop.email), ("Tax number", shop.tax_number)):
        if value:
            yield f"{speech.say(name)}: {value}"


def _about(quote: Quote, speech: Speech) -> Iterator[Fact]:
    """Customer and boat."""
    customer, boat = quote.customer, quote.boat
    yield Fact(speech.say("Customer"), customer.name or "–", rows=tuple(_address(customer.address, speech)))
    if customer.reference:
        yield Fact(speech.say("Your reference"), customer.reference)
    if customer.email:
        yield Fact(speech.say("E-mail"), customer.email)
    if customer.telephone:
        yield Fact(speech.say("Telephone"), customer.telephone)
    if customer.tax_number:
        yield Fact(speech.say("Tax number"), customer.tax_number)
    if customer.delivery_address:
        first, *rest = _address(customer.delivery_address, speech)
        yield Fact(speech.say("Address for delivery"), first, rows=tuple(rest))
    if customer.external_id:
        yield Fact(speech.say("Your number with us"), customer.external_id)
    named = (boat.name, speech.boat_length(boat.length_overall) if boat.length_overall else None)
    yield Fact(speech.say("Boat"), ", ".join(each for each in named if each) or "–")
    if boat.external_id:
        yield Fact(speech.say("Your boat’s number with us"), boat.external_id)


def _address(address: Address | None, speech: Speech) -> list[str]:
    """An address of the customer's, its country by name."""
    lines = address_lines(address)
    return [*lines[:-1], speech.country(lines[-1])] if address and address.country else lines


def _state(quote: Quote, status: str, speech: Speech) -> Iterator[Fact]:
    """The issue, and whether it can be accepted."""
    revision = "" if quote.revision is UNSET else str(quote.revision)
    yield Fact(speech.say("Quotation"), f"{head(quote).number}, {speech.say('revision')} {revision}")
    yield Fact(speech.say("Issued on"), speech.day(quote.issued_on))
    yield Fact(speech.say("Status"), speech.say(STATUSES[status]))


def _ended(status: str, speech: Speech) -> str:
    if status not in ENDED:
        return ""
    return speech.say("This quotation can no longer be accepted: %(status)s.", status=speech.say(STATUSES[status]))


def _time(quote: Quote, country: str | None, speech: Speech) -> str:
    ready = business_days.after(date.fromisoformat(quote.issued_on), quote.lead_time_days, country)
    days = speech.several(
        "Ready %(num)s business day after acceptance and confirmed measurements: on %(day)s, if it has both on the day of issue.",
        "Ready %(num)s business days after acceptance and confirmed measurements: on %(day)s, if it has both on the day of issue.",
        quote.lead_time_days,
        day=speech.day(ready),
    )
    return days if country else f"{days} {speech.say('Public holidays are not taken into account.')}"


def _included(quote: Quote, speech: Speech) -> Iterator[str]:
    pieces = sum(each.quantity for each in quote.assemblies if each.tag not in quote.left_out)
    yield speech.several(
        "%(num)s wire, with its fittings and the work at the bench: cut, fitted, tagged.",
        "%(num)s wires, with their fittings and the work at the bench: cut, fitted, tagged.",
        pieces,
    )
    if any(each.rule == OWN_WORK for each in quote.lines):
        yield speech.say("The further work listed below.")
    if any(each.group == EXTRA for each in quote.lines):
        yield speech.say("The further items listed below.")
    if quote.delivery != "ship":
        yield speech.say("Ready for collection at the shop.")
    elif _freight(quote):
        yield speech.say("Shipping as charged below.")


def _excluded(quote: Quote, speech: Speech) -> Iterator[str]:
    if quote.delivery == "ship" and not _freight(quote):
        yield speech.say("Shipping: the shop has no listed price for this parcel and tells it before it is sent.")
    if any(part.kept for each in quote.assemblies for part in each.parts):
        yield speech.say("Parts of your own that are used again: they are named with each assembly and are inspected before use.")
    if any(each.group == EXTRA or each.rule == OWN_WORK for each in quote.lines):
        yield speech.say(
            "Unless it is listed below: taking the old wires off, fitting the new ones aboard, work on the mast, tuning, a survey of the rig."
        )
    else:
        yield speech.say("Taking the old wires off, fitting the new ones aboard, work on the mast, tuning, a survey of the rig.")
    if quote.left_out:
        yield speech.say("The assemblies on hold.")


def _freight(quote: Quote) -> bool:
    return any(each.rule == "freight" for each in quote.charges)


def _asked(quote: Quote, speech: Speech) -> Iterator[Asked]:
    """What is open, by assembly; assemblies with the same findings share one entry."""
    tags_by_findings: dict[tuple[str, tuple[FindingText, ...]], list[str]] = {}
    for each in quote.assemblies:
        if open_findings := words.findings(each, "stop", "ask"):
            tags_by_findings.setdefault((each.readiness, tuple(speech.owner_findings(open_findings))), []).append(each.tag)
    for (readiness, texts), tags in tags_by_findings.items():
        yield Asked(f"{', '.join(tags)}: {speech.say(READINESS[readiness])}", texts, "" if texts else speech.say(SHOP_CHECKS))
    if texts := tuple(speech.owner_findings(quote.findings)):
        yield Asked("", texts, "")


def _acceptance(quote: Quote, status: str, speech: Speech) -> Acceptance:
    if quote.left_out:
        instead = "With an assembly on hold this quotation cannot be accepted as it is: ask for a revision."
        return Acceptance("", open=False, instead=speech.say(instead))
    if status != "issued":
        return Acceptance("", open=False, instead=f"{speech.say('Status')}: {speech.say(STATUSES[status])}.")
    agreed = speech.say(
        "I accept quotation %(number)s, revision %(revision)s, at %(amount)s, valid until %(day)s:",
        number=head(quote).number,
        revision=head(quote).revision,
        amount=speech.money(quote.totals.payable, quote.currency),
        day=speech.day(quote.valid_until),
    )
    how = "To accept on paper, sign below and bring or send this page to the shop; its address stands at the head of the quotation."
    return Acceptance(agreed, open=_any_open(quote.assemblies), instead="", how=speech.say(how))


def _any_open(assemblies: Iterable[QuotedAssembly]) -> bool:
    return any(words.findings(each, "stop", "ask") for each in assemblies)

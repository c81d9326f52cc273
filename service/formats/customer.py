"""The quotation's page for a customer who opens it by a link: with forms to answer, and other addresses under the same link."""

from __future__ import annotations

from datetime import date, datetime, tzinfo
from uuid import uuid4

from flask import request
from msgspec.structs import replace

from pricing.model import Quote
from pricing.settling import open_asks, questions_of, standing_of
from service.documents.quotation.customer import Asked, Typed, Visit, Yes
from service.documents.speech import Speech
from service.formats.replies import PAGE_POLICY
from service.http.caller import by_reading_link
from service.http.current import engine
from service.http.parameters import TOKEN
from service.lifecycle.statuses import STEPS, Status, Step
from service.quotes.links import address
from service.quotes.questions import MOST
from service.quotes.readers import address_of
from service.storage import Stored

POLICY = PAGE_POLICY.replace("form-action 'none'", "form-action 'self'")
OF_ADDRESS = ("address", "other_address")


def unaddressed(found: Quote) -> Quote:
    """The quote as visitors by its reading link may see it: without the customer's e-mail address, for which they are asked."""
    return replace(found, customer=replace(found.customer, email=None))


def visit(
    stored: Stored,
    language: str,
    at: str | None = None,
    refused: str = "",
    typed: Typed = Typed(),  # noqa: B008  # of strings
    once: str = "",
) -> Visit:
    """The visit to a page of the quote. `at`: the quote's address from there, if it is not the quote's own; `once`: if its buttons are
    to be known as before. `refused`: a name of `refusals.html`, or of what is wrong with the e-mail address (`OF_ADDRESS`).
    """
    found, token, base, reading = stored.quote(), request.args[TOKEN], address(), by_reading_link()
    made = Visit(
        at=at or stored.id,
        token=token,
        language=language,
        seen=stored.etag,
        once=once or str(uuid4()),
        address=None,
        may_decide=stored.status == Status.ISSUED and not (reading and address_of(stored) is None),
        open=bool(open_asks(found)),
        accepted=_yes(found, engine().zone, language),
        questions=tuple(_asked(found, engine().zone)),
        left=max(MOST - len(questions_of(found)), 0) if (Status(stored.status), Step.ASK) in STEPS else 0,
        refused="" if refused in OF_ADDRESS else refused,
        typed=typed,
        reading=reading,
        address_refused=refused if refused in OF_ADDRESS else "",
    )
    own = made._replace(at=f"/v1/quotes/{stored.id}").address_of("", format="html")
    return made if base is None else made._replace(address=base + own)


def _yes(found: Quote, zone: tzinfo, language: str) -> Yes | None:
    from babel.dates import format_time

    accepted = standing_of(found).accepted
    if accepted is None:
        return None
    there = datetime.fromisoformat(accepted.at).astimezone(zone)
    time = format_time(there, "short", locale=Speech(language, found.display_units).locale)
    return Yes(accepted.by, there.date(), time, accepted.understood)


def _asked(found: Quote, zone: tzinfo) -> list[Asked]:
    def day(moment: str | None) -> date | None:
        return None if moment is None else datetime.fromisoformat(moment).astimezone(zone).date()

    return [
        Asked(each.words, datetime.fromisoformat(each.asked_at).astimezone(zone).date(), each.answer, each.by, day(each.answered_at))
        for each in questions_of(found)
    ]

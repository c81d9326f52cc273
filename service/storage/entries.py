"""The search index of quotes: one entry per quote, and one row per term of an entry.

A term is a field's letter with a word, or a state. The rows of one term are ordered by place, so reading them backwards gives the newest
quotes first, and a page of the quotes with a term costs only as much as the page, however many quotes have that term. Entries are written
in the transaction that stores or changes the quote.
"""

from __future__ import annotations

from datetime import date
from decimal import Decimal
from itertools import chain
from typing import Any, NamedTuple

from sqlalchemy import BindParameter, Connection, bindparam, select
from sqlalchemy.dialects import postgresql, sqlite

from pricing.model import Quote
from pricing.settling import asks, current_readiness, open_asks, pieces_cut, questions_of
from service.lifecycle.statuses import Status
from service.storage import compiled, tallies
from service.storage.records import Stored
from service.storage.search_words import LONGEST, folded, words_of
from service.storage.tables import quote_entries, quote_terms

NUMBER, CUSTOMER, BOAT, MAIL, REFERENCE, TAG = "n", "c", "b", "m", "r", "t"
OWN_CUSTOMER, OWN_BOAT = "x", "y"  # the ids in the shop's own books
CODE = "code:"  # terms for the findings that were open when the quote was issued; only counted, never changed
IN_WORK = "work"  # instead of a day, once the last day of the quote no longer matters
UNPRICED = -1
MOST_AMOUNT = (1 << 62) - 1
BEYOND = (1 << 63) - 1  # the largest integer of both databases; no quote has this place
_FIRST_DAY = date(2000, 1, 1).toordinal()
_FIRST_MILLISECOND = 946_684_800_000  # 2000-01-01, UTC; room for 69 years
_DAY_BITS, _TIME_BITS = 47, 6
_WORKED_ON = (Status.ACCEPTED.value, Status.IN_WORK.value)
_ASKED_ABOUT = (*_WORKED_ON, Status.BUILT.value)


class Entry(NamedTuple):
    """A quote in the search index. `valid_until` is ISO; `amount` is in thousandths, or UNPRICED; `email`, `words` and `tags` are folded, and
    each word in `words` is preceded by the letter of its field. `asks` (open findings), `questions` (unanswered), `uncut` (ready to cut but
    not cut) and `failed` (last record of a piece) are 1 or 0, whatever the status. `failed` comes from the records of finished assemblies,
    not from the quote. `currency` is None for entries made before figures were counted.
    """

    quote_id: str
    number: str
    status: str
    valid_until: str
    amount: int
    customer: str | None
    boat: str | None
    reference: str | None
    email: str | None
    key: str | None
    ready_to_cut: int
    confirm: int
    hold: int
    asks: int
    questions: int
    uncut: int
    words: str
    tags: str
    failed: int = 0
    currency: str | None = None


def first_place(day: str) -> int:
    """The first place of quotes issued on a day (ISO); BEYOND for a day too late to have places."""
    return min(max(date.fromisoformat(day).toordinal() - _FIRST_DAY, 0) << _DAY_BITS, BEYOND)


def place_of(issued_on: str, quote_id: str) -> int:
    """A quote's place in the order of the index: by day of issue (ISO), then by the time in its id (UUID version 7)."""
    bits = int(quote_id.replace("-", "")[:16], 16)  # 48 of time in ms, 4 of version, 12 random
    milliseconds = min(max((bits >> 16) - _FIRST_MILLISECOND, 0), (1 << _DAY_BITS - _TIME_BITS) - 1)
    return first_place(issued_on) + (milliseconds << _TIME_BITS) + (bits >> 6 & (1 << _TIME_BITS) - 1)


def entry_of(stored: Stored, quote: Quote, key: str | None) -> Entry:
    """The index entry of a quote. `quote` includes its standing; `key` is the name of the key that issued it."""
    states = [current_readiness(quote, each) for each in quote.assemblies]
    cut, payable = pieces_cut(quote), quote.totals.payable
    return Entry(
        quote_id=stored.id,
        number=stored.number,
        status=Status.ISSUED.value if stored.status == Status.EXPIRED else stored.status,
        valid_until=stored.valid_until,
        amount=UNPRICED if payable is None else min(int(Decimal(payable) * 1000), MOST_AMOUNT),
        customer=quote.customer.name,
        boat=quote.boat.name,
        reference=quote.customer.reference,
        email=None if quote.customer.email is None else folded(quote.customer.email),
        key=key,
        ready_to_cut=states.count("ready_to_cut"),
        confirm=states.count("confirm"),
        hold=states.count("hold"),
        asks=int(bool(open_asks(quote))),
        questions=int(any(each.answer is None for each in questions_of(quote))),
        uncut=int(
            any(
                state == "ready_to_cut" and cut.get(each.tag, 0) < each.quantity
                for state, each in zip(states, quote.assemblies, strict=True)
            )
        ),
        words=_words(stored.number, quote),
        tags="".join(f" {each}" for each in dict.fromkeys(chain.from_iterable(words_of(each.tag) for each in quote.assemblies))),
        currency=quote.currency,
    )


def _words(number: str, quote: Quote) -> str:
    who = quote.customer
    own = ((OWN_CUSTOMER, who.external_id), (OWN_BOAT, quote.boat.external_id))
    fields = ((CUSTOMER, who.name), (BOAT, quote.boat.name), (MAIL, who.email), (REFERENCE, who.reference), *own)
    of_number = dict.fromkeys(each for word in words_of(number) for each in (word, word.lstrip("0")) if each)
    pairs = [(NUMBER, each) for each in of_number] + [(letter, each) for letter, text in fields for each in words_of(text)]
    return "".join(f" {letter}:{each}" for letter, each in pairs)


def terms_of(entry: Entry) -> set[str]:
    """The terms by which an entry is found."""
    terms = {each[: LONGEST + 2] for each in entry.words.split()} | {f"{TAG}:{each[:LONGEST]}" for each in entry.tags.split()}
    terms |= {term for term, value in ((mail_term(entry.email), entry.email), (key_term(entry.key), entry.key)) if value is not None}
    flags = (
        ("asks", entry.asks, _WORKED_ON),
        ("questions", entry.questions, _ASKED_ABOUT),
        ("uncut", entry.uncut, _WORKED_ON),
        ("failed", entry.failed, _WORKED_ON),
    )
    if entry.status == Status.ISSUED:
        day = entry.valid_until
        terms |= {f"day:{day}", f"month:{day[:7]}", f"year:{day[:4]}"}
        return terms | {f"{name}:{day}" for name, is_set, _ in flags if is_set and name in ("asks", "questions")}
    terms |= {f"{name}:{IN_WORK}" for name, is_set, statuses in flags if is_set and entry.status in statuses}
    return terms | {f"status:{entry.status}"}


def mail_term(email: str | None) -> str:
    """The term for a complete e-mail address, folded."""
    return f"mail:{(email or '')[:LONGEST]}"


def key_term(key: str | None) -> str:
    """The term for the name of a key."""
    return f"key:{key or ''}"


def counted_terms(quote: Quote) -> set[str]:
    """The terms for the findings of a quote that ask something; they are only counted."""
    return {f"{CODE}{each.finding.code}" for each in asks(quote)}


def add(connection: Connection, quote: Quote, entry: Entry) -> None:
    """Store a new quote's entry."""
    place = place_of(quote.issued_on, entry.quote_id)
    statement = _ADD[connection.dialect.name]
    while not compiled.execute(connection, statement, {"place": place, **entry._asdict()}):
        place += 1  # taken by another quote of the same millisecond
    compiled.execute_many(
        connection, _ADD_TERM, [{"place": place, "term": each} for each in sorted(terms_of(entry) | counted_terms(quote))]
    )
    tallies.changed(connection, quote.issued_on, None, entry)


def refresh(connection: Connection, stored: Stored, failed: bool | None = None) -> None:
    """Update the entry of a quote from the quote's current state. The quote's row must be locked. `failed`, unless None, is whether the last
    record of any piece failed.
    """
    place, *row = connection.execute(_ENTRY, {"of": stored.id}).one()
    before = Entry(*row)
    quote = stored.quote()
    after = entry_of(stored, quote, before.key)._replace(failed=before.failed if failed is None else int(failed), currency=before.currency)
    if after == before:
        return
    tallies.changed(connection, quote.issued_on, before, after)
    connection.execute(_CHANGE, {"at": place, **after._asdict()})
    was, now = terms_of(before), terms_of(after)
    if was - now:
        connection.execute(_DROP_TERM, [{"at": place, "of": each} for each in sorted(was - now)])
    if now - was:
        connection.execute(_ADD_TERM, [{"place": place, "term": each} for each in sorted(now - was)])


_GIVEN: dict[str, BindParameter[Any]] = {name: bindparam(name) for name in ("place", *Entry._fields)}
_ADD = {
    name: kind.insert(quote_entries).values(_GIVEN).on_conflict_do_nothing()
    for name, kind in (("sqlite", sqlite), ("postgresql", postgresql))
}
_ADD_TERM = quote_terms.insert().values({name: bindparam(name) for name in ("place", "term")})
_ENTRY = select(quote_entries.c.place, *(quote_entries.c[name] for name in Entry._fields)).where(
    quote_entries.c.quote_id == bindparam("of")
)
_CHANGE = quote_entries.update().where(quote_entries.c.place == bindparam("at")).values({name: bindparam(name) for name in Entry._fields})
_DROP_TERM = quote_terms.delete().where(quote_terms.c.place == bindparam("at"), quote_terms.c.term == bindparam("of"))

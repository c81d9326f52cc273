"""What the quotation's page adds for a customer who opens it by a link: forms to answer, the shop's answers, and other addresses under the
same link.
"""

from __future__ import annotations

from collections.abc import Mapping
from datetime import date
from typing import NamedTuple, Self
from urllib.parse import quote as percent_encoded
from urllib.parse import urlencode


class Typed(NamedTuple):
    """What the customer typed into the forms, to show it again if it could not be accepted."""

    name: str = ""
    understood: str = ""
    reason: str = ""
    words: str = ""
    email: str = ""

    @classmethod
    def of(cls, sent: Mapping[str, str]) -> Self:
        """What is in the fields of a form."""
        return cls(*(sent.get(name, "") for name in cls._fields))

    def any(self) -> bool:
        """Whether there is anything."""
        return any(self)


class Yes(NamedTuple):
    """Who accepted, on which day and at what time at the shop, and what they wrote about the points that were open."""

    by: str
    day: date
    time: str
    understood: str | None


class Asked(NamedTuple):
    """A question and its answer, with the day of each at the shop."""

    words: str
    day: date
    answer: str | None
    by: str | None
    answered: date | None


class Visit(NamedTuple):
    """A customer's visit by a link.

    `at`: the quote's address, relative to the page. `seen`: the entity tag of the state that the page shows. `once`: what its buttons
    are known by, each of which works once. `address`: the page's whole address, if the shop has set its own. `open`: something is
    still to be confirmed. `left`: how many questions may be asked. `refused`: a name of `refusals.html`, if the answer could not be
    taken. `reading`: by the link that stands on paper, so that deciding takes the quote's e-mail address; `address_refused`: `address` if
    none was given that can be read, `other_address` if it is another than the quote's.
    """

    at: str
    token: str
    language: str
    seen: str
    once: str
    address: str | None
    may_decide: bool
    open: bool
    accepted: Yes | None
    questions: tuple[Asked, ...]
    left: int
    refused: str = ""
    typed: Typed = Typed()
    reading: bool = False
    address_refused: str = ""

    def address_of(self, what: str, **parameters: str) -> str:
        """An address of the quote by the same link, in the same language."""
        return f"{self.at}{what}?{urlencode({'token': self.token, 'lang': self.language, **parameters})}"

    def data(self) -> str:
        """The address of the quote's JSON by the same link."""
        return f"{self.at}?{urlencode({'token': self.token, 'format': 'json'})}"

    def drawing_of(self, tag: str) -> str:
        """The address of an assembly's drawing by the same link."""
        return self.address_of(f"/assemblies/{percent_encoded(tag, safe='')}/drawing")

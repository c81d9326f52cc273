"""What the form's pages are filled in for: a new request, or whatever else asks the same questions."""

from __future__ import annotations

from abc import ABC, abstractmethod
from typing import Any

from flask import Response
from werkzeug.datastructures import MultiDict

from service.web_form.answering import Described
from service.web_form.draft import Draft
from service.web_form.pages import Look, Told

Posted = MultiDict[str, str]


class Errand(ABC):
    """The pages ask, judge and remember; what they begin with and lead to is said here."""

    @abstractmethod
    def form(self, language: str) -> Described:
        """The questions, in a language."""

    @abstractmethod
    def look(self, form: Described, draft: Draft) -> Look:
        """What the pages look like."""

    @abstractmethod
    def tell(self, form: Described, draft: Draft, told: Told) -> dict[str, Any] | None:
        """Put beside the questions what there is to say; gives the current wire, if more is known of it than its answers."""

    @abstractmethod
    def looked_over(self, form: Described, draft: Draft) -> Told:
        """What there is to say of the whole, on the last page."""

    @abstractmethod
    def sent(self, form: Described, draft: Draft) -> Told | Response:
        """What the last page's button leads to; or what keeps it from it."""

    @abstractmethod
    def reply(self, form: Described, made: bytes, style: str) -> Response:
        """A page as a response."""

    def open(self, form: Described, draft: Draft) -> frozenset[str]:
        """Paths of questions of the current page that may stay unanswered."""
        return frozenset()

    def took(self, draft: Draft, posted: Posted) -> None:  # noqa: B027  # most pages post answers alone
        """Take over what was posted besides answers."""

    def chose(self, language: str) -> None:  # noqa: B027  # a page without a session has its language in itself
        """Remember the language that was chosen."""

    def did(self, action: str, form: Described, draft: Draft) -> Response | None:
        """What a button of its own does; None for any other."""
        return None

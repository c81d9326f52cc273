"""The purpose that the form's pages serve: a new request, or anything else that asks the same questions, such as a revision."""

from __future__ import annotations

from abc import ABC, abstractmethod
from typing import Any

from flask import Response
from werkzeug.datastructures import MultiDict

from service.web_form.answering import Described
from service.web_form.draft import Draft
from service.web_form.pages import Feedback, Look

Posted = MultiDict[str, str]


class Errand(ABC):
    """What differs between the purposes of the pages: where the answers begin, what is said about them, and what sending them does."""

    @abstractmethod
    def form(self, language: str) -> Described:
        """The description of the questions, in a language."""

    @abstractmethod
    def look(self, form: Described, draft: Draft) -> Look:
        """How the pages look."""

    @abstractmethod
    def annotate(self, form: Described, draft: Draft, feedback: Feedback) -> dict[str, Any] | None:
        """Add to the feedback on the current page; returns the current wire if more is known of it than its answers."""

    @abstractmethod
    def check(self, form: Described, draft: Draft) -> Feedback:
        """Feedback on all answers, for the last page."""

    @abstractmethod
    def submit(self, form: Described, draft: Draft) -> Feedback | Response:
        """Carry out the last page's button; returns the response, or the feedback that keeps it from being carried out."""

    @abstractmethod
    def reply(self, form: Described, page: bytes, style: str) -> Response:
        """The response for a page."""

    def optional(self, form: Described, draft: Draft) -> frozenset[str]:
        """Paths of the current page's questions that may stay unanswered."""
        return frozenset()

    def take_extras(self, draft: Draft, fields: Posted) -> None:  # noqa: B027  # most pages post answers alone
        """Put what was posted besides answers into the draft."""

    def remember_language(self, language: str) -> None:  # noqa: B027  # a page without a session carries its language itself
        """Remember the language that was chosen."""

    def own_action(self, action: str, form: Described, draft: Draft) -> Response | None:
        """Carry out a button that only this errand has; None for any other button."""
        return None

"""What the desk says when the API refuses: for people of the shop, in their language, with what to do now."""

from __future__ import annotations

from dataclasses import dataclass

from service.desk.calls import Answer
from service.desk.pages import language
from service.wording import translator


@dataclass(frozen=True, slots=True)
class Refusal:
    """What was refused: a title, what to do, and the API's own words for each fault, which are in English."""

    title: str
    advice: str
    details: tuple[str, ...] = ()


def refusal_of(answer: Answer) -> Refusal:
    """An answer that refused, in words."""
    say, said = translator(language()), answer.value
    title, advice = _WORDS.get(answer.code) or _USUAL.get(answer.status) or _ELSE
    faults = tuple(dict.fromkeys(each["detail"] for each in said["errors"])) or (said["detail"],)
    return Refusal(say(title), say(advice), faults)


def _(text: str) -> str:
    return text


_AGAIN = _("Nothing was changed, and nothing that you typed is lost.")
_WORDS = {
    "changed_since_read": (
        _("Someone else was quicker"),
        _("What you see below is how it stands now. Decide anew; nothing that you typed is lost."),
    ),
    "conflict": (_("That cannot be done as it stands now"), _AGAIN),
    "missing_scope": (_("Your role in the shop does not allow that"), _("Ask someone who may do it.")),
    "too_many_requests": (_("Too much at once"), _("Wait a minute, then send it again. Nothing that you typed is lost.")),
}
_USUAL = {
    409: (_("That cannot be done as it stands now"), _AGAIN),
    412: _WORDS["changed_since_read"],
    413: (_("That is too large"), _("Send less at once.")),
    422: (_("Something in it cannot be used"), _("Correct what is named below, then send it again.")),
    503: (_("The service cannot do that now"), _("Try again in a moment. Nothing that you typed is lost.")),
}
_ELSE = (_("That was not done"), _AGAIN)

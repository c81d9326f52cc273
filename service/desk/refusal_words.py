"""Words the API's refusals for people of the shop, in their language, with what to do now."""

from __future__ import annotations

from dataclasses import dataclass

from service.desk.calls import Answer
from service.desk.fault_words import Detail, details_of
from service.desk.pages import language
from service.wording import translator

SENT_BEFORE = "key_of_another_request"


@dataclass(frozen=True, slots=True)
class Refusal:
    """A refusal in words: a title, what to do, and each fault. `sent_before`: the form's idempotency key is used up, so it needs a new one."""

    title: str
    advice: str
    details: tuple[Detail, ...] = ()
    sent_before: bool = False


def refusal_of(answer: Answer) -> Refusal:
    """The words for an answer that is a refusal."""
    say, problem = translator(language()), answer.value
    codes = (answer.code, *(fault["code"] for fault in problem["errors"]))
    title, advice = next((_WORDS[code] for code in codes if code in _WORDS), None) or _BY_STATUS.get(answer.status) or _OTHERWISE
    if SENT_BEFORE in codes:  # the API's details speak of headers
        return Refusal(say(title), say(advice), sent_before=True)
    return Refusal(say(title), say(advice), details_of(problem))


def own_refusal(name: str, details: tuple[Detail, ...] = ()) -> Refusal:
    """A refusal by the desk itself, by its name in `_OWN`."""
    say = translator(language())
    title, advice = _OWN[name]
    return Refusal(say(title), say(advice), details)


def _(text: str) -> str:
    return text


_NOTHING_LOST = _("Nothing was changed, and nothing that you typed is lost.")
_WORDS = {
    SENT_BEFORE: (
        _("This form was sent before, and was filled in differently then"),
        _("What was sent then is done. If what you see below is to be done as well, send it once more."),
    ),
    "changed_since_read": (
        _("Someone else was quicker"),
        _("What you see below is how it stands now. Decide again; nothing that you typed is lost."),
    ),
    "faulty_tables": (
        _("Something in the files cannot be used"),
        _("Nothing was stored. Correct what is listed below, and send the files again."),
    ),
    "put_meanwhile": (
        _("Someone else put tables in force meanwhile"),
        _("Nothing was done. What you see below is how it stands now: decide again."),
    ),
    "open_doubts": (
        _("Something is doubted and not accepted yet"),
        _("Nothing was done. Correct it in the files, or tick what is right as it stands and say why."),
    ),
    "past_day": (_("That day is past"), _("Tables never count for days that are past. Choose today or a later day.")),
    "still_running": (
        _("It is being done already"),
        _("This was sent twice, and the first is still being worked on. Wait a moment, then open the page again."),
    ),
    "conflict": (_("That cannot be done as it stands now"), _NOTHING_LOST),
    "missing_scope": (_("Your role in the shop does not allow that"), _("Ask someone who may do it.")),
    "too_many_requests": (_("Too much at once"), _("Wait a minute, then send it again. Nothing that you typed is lost.")),
}
_BY_STATUS = {
    409: (_("That cannot be done as it stands now"), _NOTHING_LOST),
    412: _WORDS["changed_since_read"],
    413: (_("That is too large"), _("Send less at once.")),
    422: (_("Something in it cannot be used"), _("Correct what is named below, then send it again.")),
    503: (_("The service cannot do that now"), _("Try again in a moment. Nothing that you typed is lost.")),
}
_OTHERWISE = (_("That was not done"), _NOTHING_LOST)
_OWN = {
    "past_day": _WORDS["past_day"],
    "nothing_changed": (_("Nothing is changed"), _("Change a term, then store it.")),
    "other_tables": (
        _("Other tables were put in force meanwhile"),
        _("Nothing was stored, and nothing that you typed is lost. Look through the terms once more, then store them."),
    ),
    "not_to_be_revised": (
        _("This quote cannot be revised any more"),
        _("How it stands is said on top. If a later revision replaces it, revise that one; else make a new quote."),
    ),
    "of_long_ago": (
        _("The answers of this quote cannot be read any more"),
        _("It was made by a much earlier release. Make a new quote."),
    ),
    "no_file": (_("No file was chosen"), _("Choose one, then send it.")),
    "other_unit": (
        _("Is that the right unit?"),
        _(
            "The number is nowhere near the finished length in the unit chosen below, and near it in the other one. Choose the unit, then send it again. Nothing was recorded."
        ),
    ),
    "unreadable_file": (_("A file cannot be read"), _("Save it from the spreadsheet as CSV, then send it again. Nothing was stored.")),
    "why_accepted": (
        _("Say why it is right as it stands"),
        _("You ticked something that is doubted: write why, so that it can be read later."),
    ),
}

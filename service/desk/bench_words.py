"""Refusals of planning, taking and counting, worded for the bench: what is the case, and what to do now."""

from __future__ import annotations

from dataclasses import replace

from service.desk.calls import Answer
from service.desk.pages import language
from service.desk.refusal_words import Refusal, refusal_of
from service.wording import translator


def _(text: str) -> str:
    return text


_NOTHING = _("Nothing was moved.")
_PLAN_AGAIN = _("Nothing was moved. Go back to the cutting list, and plan again.")
_WORDS = {
    "already_taken": (_("This plan was taken already"), _("Nothing more was moved. See below who took it, and when.")),
    "not_on_the_shelf": (_("Someone else was quicker"), _("The shelf no longer holds what this plan cuts. Nothing was moved. Go back to the cutting list, and plan again.")),
    "already_cut": (_("Someone else was quicker"), _("A piece of this plan is cut already. Nothing was moved. Go back to the cutting list, and plan again.")),
    "not_ready": (_("Not everything in it may be cut now"), _PLAN_AGAIN),
    "not_accepted": (_("The customer has not accepted it"), _("Nothing was moved. Wire is taken for accepted quotes only.")),
    "quote_not_open": (_("A quote in it has ended"), _PLAN_AGAIN),
    "nothing_to_cut": (_("There is nothing to cut in this plan"), _NOTHING),
    "not_taken": (_("This plan is not taken"), _("There is nothing to put back.")),
    "already_built": (_("It is built already"), _("What was built of this wire cannot go back on the shelf. Nothing was moved.")),
    "moved_meanwhile": (_("The shelf has changed meanwhile"), _("Nothing was counted. What you typed is still there: compare it with the shelf as it is now, and send it again.")),
}  # fmt: skip


def refused_at_the_bench(answer: Answer, first: str = "") -> Refusal:
    """A refusal in the bench's own words if it has any for one of the codes, otherwise in the desk's. `first`: a code more telling than those
    in the answer.
    """
    refusal = refusal_of(answer)
    codes = [first] + [each.get("code", "") for each in answer.value["errors"]]
    title, advice = next((_WORDS[code] for code in codes if code in _WORDS), ("", ""))
    if not title:
        return refusal
    say = translator(language())
    return replace(refusal, title=say(title), advice=say(advice))

"""Faults of a request, in the language of the form.

The schemas' sentences name fields for programmers. One whose message has a translation is said with its values; any other is replaced by
a sentence for its code.
"""

from __future__ import annotations

from collections.abc import Callable

from service.schemas.failure import translated_detail
from service.web_form.asking import N_

_UNUSABLE = N_("This answer cannot be used: check it, or leave it out.")
_BY_CODE = {
    "required": N_("This answer is needed."),
    "duplicate_tag": N_("Each wire needs a name of its own."),
    "length": N_("This text is empty or too long."),
    "only_dots": N_("Write a letter or a figure too, not dots alone."),
    "not_printable": N_("Remove the control characters from this text."),
    "not_an_email": N_("Write an address such as owner@example.org."),
    "not_accepted": N_("This does not go with the other answers: choose another."),
    "not_a_count": N_("Write a whole number within what is accepted."),
    "list_size": N_("There are too few or too many of these."),
    "too_many_pieces": N_("There are more wires than one request can have."),
    "impossible_datum": N_("Nobody can measure to this point of this fitting: choose another."),
}


def fault_in_words(code: object, detail: object, say: Callable[[str], str]) -> str:
    """The sentence for a fault; `say` translates texts."""
    sentence = translated_detail(detail, say)
    english = say(_UNUSABLE) == _UNUSABLE
    return sentence if english or sentence != str(detail) else say(_BY_CODE.get(str(code), _UNUSABLE))

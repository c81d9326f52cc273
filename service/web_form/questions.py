"""All questions of the form, in the order in which they are asked: the boat; then, for each assembly, what to record before it is
taken off, the wire, its ends, the turnbuckle, links, the boat's own fittings, and finally the length.
"""

from __future__ import annotations

from service.web_form.ask_before import BEFORE
from service.web_form.ask_boat import BOAT, DETAILS, SEND
from service.web_form.ask_ends import ends
from service.web_form.ask_joins import joins
from service.web_form.ask_length import LENGTH
from service.web_form.ask_links import links
from service.web_form.ask_turnbuckle import TURNBUCKLE
from service.web_form.ask_wire import WIRE
from service.web_form.asking import Question

QUESTIONS: tuple[Question, ...] = (*BOAT, *BEFORE, *WIRE, *ends(), *TURNBUCKLE, *links(), *joins(), *LENGTH, *SEND, *DETAILS)

"""Every question of the form, in the order in which it is asked: what the boat is; then, for each assembly, what to record before it is
taken off, the wire, its ends, the turnbuckle, and at last the length."""

from __future__ import annotations

from service.form.ask_before import BEFORE
from service.form.ask_boat import BOAT, SEND
from service.form.ask_ends import ends
from service.form.ask_length import LENGTH
from service.form.ask_links import links
from service.form.ask_turnbuckle import TURNBUCKLE
from service.form.ask_wire import WIRE
from service.form.asking import Question

QUESTIONS: tuple[Question, ...] = (*BOAT, *BEFORE, *WIRE, *ends(), *TURNBUCKLE, *links(), *LENGTH, *SEND)

"""Which boat it is for; and at the end, once there is a price, who asks, and how it shall come."""

from __future__ import annotations

from service.form.asking import N_, Choice, Question

BOAT = (
    Question("boat.name", "boat", "text", N_("Boat's name")),
    Question(
        "boat.length_overall", "boat", "length", N_("Boat's length overall"),
        N_("Only to notice a wire that cannot belong to a boat of this size."), examples=("27 ft 6 in", "8.4 m"),
    ),
    Question(
        "display_units", "boat", "choice", N_("Units on the quotation"), N_("You may write lengths in either, whatever you choose here."),
        default="metric", choices=(Choice("metric", N_("Millimetres first")), Choice("imperial", N_("Feet and inches first"))),
    ),
)  # fmt: skip
SEND = (
    Question(
        "customer.name", "send", "text", N_("Your name"), N_("As it shall stand on the quotation."), required=True,
        lacking=N_("Write your name: the shop makes the quotation out to it."),
    ),
    Question(
        "customer.email", "send", "email", N_("E-mail address"), N_("Where the shop answers."), required=True, examples=("owner@example.org",),
        lacking=N_("Write your e-mail address: without it the shop cannot reach you."),
    ),
    Question("customer.reference", "send", "text", N_("Your own reference"), N_("A hull or order number, if you have one.")),
    Question(
        "delivery", "send", "choice", N_("How do you want to get it?"), default="collect",
        choices=(Choice("collect", N_("Collect it at the shop")), Choice("ship", N_("Have it shipped"))),
    ),
    Question("request.note", "send", "lines", N_("Anything else the shop should know")),
)  # fmt: skip

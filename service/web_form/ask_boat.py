"""The boat; and at the end, once there is a price, the customer and the delivery."""

from __future__ import annotations

from service.web_form.asking import N_, Choice, Question, is_

IMPERIAL = "(ft|in|feet|foot|inch|inches|Fuß|Zoll|['\"′″])[ 0-9/.,]*$"  # a length that ends so was written in feet and inches
BOAT = (
    Question("boat.name", "boat", "text", N_("Boat's name")),
    Question(
        "boat.length_overall", "boat", "length", N_("Boat's length overall"),
        N_("The hull, without a bowsprit. It helps to spot a wire that cannot be hers."), examples=("27 ft 6 in", "8.4 m"),
    ),
    Question(
        "display_units", "boat", "choice", N_("Units on the quotation"), N_("You may write lengths in either, whatever you choose here."),
        default="metric", follows=("boat.length_overall", IMPERIAL, "imperial"), choices=(Choice("metric", N_("Millimetres first")), Choice("imperial", N_("Feet and inches first"))),
    ),
)  # fmt: skip
_WHERE = N_("The shop needs it to ship the wires.")
SEND = (
    Question(
        "customer.name", "send", "text", N_("Your name"), N_("As it should appear on the quotation."), required=True, personal=True,
        lacking=N_("Write your name: the shop makes the quotation out to it."),
    ),
    Question(
        "customer.email", "send", "email", N_("E-mail address"), N_("The shop replies to it."), required=True, personal=True,
        examples=("owner@example.org",),
        lacking=N_("Write your e-mail address: without it the shop cannot reach you."),
    ),
    Question(
        "delivery", "send", "choice", N_("How do you want to get it?"), default="collect",
        choices=(Choice("collect", N_("Collect it at the shop")), Choice("ship", N_("Have it shipped"))),
    ),
    *(
        Question(f"customer.address.{name}", "send", "text", label, required=True, personal=True, when=is_("delivery", "ship"), lacking=_WHERE)
        for name, label in (("street", N_("Street and number")), ("postal_code", N_("Postal code")), ("city", N_("Town")))
    ),
    Question(
        "customer.telephone", "send", "text", N_("Telephone"), N_("For whoever brings the wires."), required=True, personal=True,
        when=is_("delivery", "ship"), lacking=N_("Write a telephone number: whoever brings the wires calls it."),
    ),
    Question("request.note", "send", "lines", N_("Anything else the shop should know")),
)  # fmt: skip

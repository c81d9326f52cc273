"""The boat; and at the end, once there is a price, the customer and the delivery, with details that only some deliveries and customers need."""

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
_WHOLE = N_("Write the whole address for delivery, or leave it out.")
SHIPPED = is_("delivery", "ship")
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
    Question("request.note", "send", "lines", N_("Anything else the shop should know")),
)  # fmt: skip


def _elsewhere(name: str, label: str, together: str, words: str = "") -> Question:
    """A line of a separate delivery address. All lines or none must be answered, so each one requires the next (`together`)."""
    path = "customer.delivery_address."
    return Question(
        f"{path}{name}", "details", "text", label, words, personal=True, when=SHIPPED, together=f"{path}{together}", lacking=_WHOLE
    )


DETAILS = (
    *(
        Question(f"customer.address.{name}", "details", "text", label, required_when=SHIPPED, personal=True, lacking=_WHERE)
        for name, label in (("street", N_("Street and number")), ("postal_code", N_("Postal code")), ("city", N_("Town")))
    ),
    Question(
        "customer.telephone", "details", "text", N_("Telephone"), N_("For whoever brings the wires."), required_when=SHIPPED, personal=True,
        lacking=N_("Write a telephone number: whoever brings the wires calls it."),
    ),
    _elsewhere("street", N_("Delivery address: street and number"), "postal_code", N_("Fill this in only if the wires go to another address.")),
    _elsewhere("postal_code", N_("Delivery address: postal code"), "city"),
    _elsewhere("city", N_("Delivery address: town"), "street"),
    Question("customer.tax_number", "details", "text", N_("VAT or tax number"), N_("If it is to stand on the quotation."), personal=True),
    Question(
        "customer.reference", "details", "text", N_("Your own reference"), N_("Such as the number of an order or a job. It stands on the quotation."), personal=True,
    ),
)  # fmt: skip

"""The shop's terms explained to its owner: what each is called and what it does. pricing/costing/terms.py defines their meaning."""

from __future__ import annotations

from typing import NamedTuple


class TermWords(NamedTuple):
    """A term: its key in terms.csv, its label, what it does, and the choices if it has a fixed set."""

    key: str
    label: str
    does: str = ""
    choices: tuple[tuple[str, str], ...] = ()


class Group(NamedTuple):
    """Terms that belong together, with a sentence about all of them."""

    title: str
    about: str
    terms: tuple[TermWords, ...]


def _(text: str) -> str:
    return text


T = TermWords
QUOTING = Group(_("Quotes and money"), "", (
    T("currency", _("Currency"), _("All prices are in it; a quote that is issued keeps its own.")),
    T("validity_days", _("How long a quote holds"), _("Calendar days from its issue, the last one included.")),
    T("lead_time_days", _("Lead time"), _("Business days from acceptance until the work is done, as the papers say.")),
    T("minimum_order", _("Least order, before tax"), _("A smaller quote is charged the difference.")),
    T("price_breaks", _("Quantity prices"), _("Whether a fleet’s quantities count for each boat or together."),
      (("per_boat", _("for each boat")), ("fleet", _("for the whole fleet")))),
    T("fittings_priced", _("Fittings on the quotation"), _("Whether they are priced together or with each wire."),
      (("together", _("together for the boat")), ("by_assembly", _("with each wire")))),
    T("payment_terms", _("When and how to pay"), _("Stands on every quotation as it is written here.")),
))  # fmt: skip
WASTE = Group(_("Waste and stock"), "", (
    T("waste_policy", _("How waste is charged"), _("Measured: an allowance for each cut and the wire’s own scrap rate. Flat: one share of the metres."),
      (("measured", _("measured")), ("flat", _("flat")))),
    T("waste_percent", _("Flat share"), _("Per cent of the metres, where waste is flat.")),
    T("scrap_cap_percent", _("Most scrap charged"), _("Per cent of the metres, where waste is measured.")),
    T("cut_allowance", _("Lost in each cut"), _("Charged and planned for every cut.")),
    T("minimum_remnant", _("Shortest remnant worth keeping"), _("What is shorter is scrap in a cutting plan.")),
    T("touch_cost", _("Cost of taking up a spool or offcut"), _("Money; the plan weighs it against waste.")),
    T("opening_cost", _("More for opening a new spool"), _("Money; so that an opened one is used up first.")),
    T("remnant_fee", _("Cost of keeping a remnant"), _("Money; measuring, tagging and putting it back.")),
))  # fmt: skip
LENGTHS = Group(_("Lengths and how exact they are"), _("What a finished wire may be off, and what a length may be in doubt before it is asked about."), (
    T("centred_share", _("Share of a screw left to take up"), _("Where a turnbuckle stands when the wire is cut; 0.5 is the middle.")),
    T("tolerance", _("A finished wire may be off by")),
    T("tolerance_turnbuckle", _("the same with a turnbuckle")),
    T("tolerance_pair", _("the same for one of a pair")),
    T("doubt_limit", _("Doubt that is still cut without asking")),
    T("doubt_limit_turnbuckle", _("the same doubt with a turnbuckle")),
    T("doubt_limit_pair", _("the same doubt for one of a pair")),
    T("pair_limit", _("Port and starboard may differ by"), _("More is asked about.")),
    T("repeatability", _("Spread of one reading"), _("Standard deviation of customers’ repeated readings.")),
    T("kept_within", _("Doubt of a kept part that was not measured")),
    T("stop_clearance_diameters", _("Clearance at a stop, in wire diameters")),
    T("bedding_in_percent", _("Bedding in of new wire"), _("Per cent of its length that it grows by under its first load.")),
    T("inch_resolution", _("Finest mark of a tape in inches"), _("Where the customer does not say.")),
    T("metric_resolution", _("Finest mark of a metric tape"), _("Where the customer does not say.")),
    T("temperature_within", _("Doubt of a temperature that was given")),
    T("temperature_unsaid_within", _("Doubt of a temperature that was not")),
    T("pull_within_percent", _("Doubt of a pull, per cent")),
    T("tension_within_percent", _("Doubt of a tension, per cent")),
    T("properties_within_percent", _("Doubt of weight and stiffness, per cent")),
))  # fmt: skip
ASKING = Group(_("What raises a question"), _("Beyond these the customer is asked whether it is meant. The shares are of the length of the hull."), (
    T("coldest", _("Coldest day of measuring")),
    T("warmest", _("Warmest day of measuring")),
    T("hand_pull", _("Strongest pull by hand")),
    T("tension_percent", _("Most tension, per cent of the breaking load")),
    T("cap_share_least", _("Cap shroud, shortest")),
    T("cap_share_most", _("Cap shroud, longest")),
    T("lower_share_least", _("Lower shroud, shortest")),
    T("lower_share_most", _("Lower shroud, longest")),
    T("stay_share_least", _("Stay, shortest")),
    T("stay_share_most", _("Stay, longest")),
    T("mizzen_cap_share_least", _("Mizzen cap shroud, shortest")),
    T("mizzen_lower_share_least", _("Mizzen lower shroud, shortest")),
    T("lifeline_share_most", _("Lifeline, longest")),
    T("wire_per_metre_least", _("Thinnest standing wire for a metre of hull")),
    T("wire_per_metre_most", _("Thickest standing wire for a metre of hull")),
    T("bare_end_most", _("Most wire left at a bare end")),
))  # fmt: skip
SELLER = Group(_("Head of the papers"), _("Stands on every quotation. What is blank is left out."), (
    T("seller", _("Name of the shop")), T("seller_street", _("Street")), T("seller_postal_code", _("Postal code")), T("seller_city", _("Town")),
    T("seller_region", _("Region")), T("seller_country", _("Country, two letters")), T("seller_phone", _("Telephone")), T("seller_email", _("E-mail")),
    T("seller_tax_number", _("Tax number")), T("seller_legal", _("Sentence that the law requires"), _("Register, legal form, liability.")),
    T("shop_timezone", _("Time zone"), _("It decides when a day begins, such as Europe/Lisbon.")),
))  # fmt: skip
GROUPS = (QUOTING, WASTE, LENGTHS, ASKING, SELLER)

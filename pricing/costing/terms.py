"""The shop's terms: dated rows of text converted to one typed, frozen object in force on a day.

To add a term, add a field to `Terms` and a reader of the same name to `READERS`. All values that cannot be read are reported at once as
faults of terms.csv.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import MISSING, dataclass, fields
from datetime import date
from decimal import Decimal
from typing import Any

from pricing.errors import TableFault
from pricing.money import MoneyError, exact_money, minor_unit
from pricing.rows import Term
from pricing.units import parse_force, parse_length, parse_temperature, parse_temperature_difference

FILE = "terms.csv"
WASTE_POLICIES = ("measured", "flat")
PRICE_BREAKS = ("per_boat", "fleet")
FITTINGS_PRICED = ("together", "by_assembly")
AMOUNTS = ("minimum_order", "touch_cost", "opening_cost", "remnant_fee")
_DECIMAL = re.compile(r"[0-9]{1,12}(?:\.[0-9]{1,12})?", re.ASCII)
_WHOLE = re.compile(r"[0-9]{1,4}", re.ASCII)
_COUNTRY = re.compile(r"[A-Z]{2}", re.ASCII)
_ZONE = re.compile(r"UTC|[A-Za-z_]+(?:/[A-Za-z0-9_+\-]+)+", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """Terms in force on one day. Lengths in mm; percentages as written (4 is 4 %); `minimum_order` in `currency`, before tax.

    `validity_days` are calendar days, `lead_time_days` business days; `centred_share` is the share of a screw's travel left to take up;
    the two resolutions are those of a tape if none is given; `shop_timezone` is an IANA time zone name.

    `waste_policy` is `measured` (an allowance per cut, and the wire's scrap rate up to `scrap_cap_percent`) or `flat` (`waste_percent` of
    the metres instead of both). For planning cuts: `minimum_remnant` is the shortest remnant worth keeping, `touch_cost` the cost of handling
    a spool or offcut, `opening_cost` the additional cost of opening a new spool (so that an open one is preferred), and `remnant_fee` the cost
    of returning a remnant to stock, all in `currency`. `price_breaks` says whether quantity breaks for a fleet apply to each boat separately
    (the default) or to the fleet as a whole.

    The `seller` terms appear in the head of every quotation: `seller_country` is ISO 3166-1 alpha-2, `seller_legal` a sentence that the
    shop's law requires there (register, legal form, liability). They are blank if the shop has no such row. `payment_terms` says when and how
    the shop wants to be paid, in its own words (blank if it has no such row); `fittings_priced` says whether quotations show the cost of
    fittings `together` for the boat (the default) or `by_assembly`.

    Accuracy of lengths: `repeatability` is the standard deviation of one reading, pooled over customers' repeated readings (JCGM 100,
    4.2.4). A `tolerance` limits the deviation of a finished length from its target, a `doubt_limit` the uncertainty of a length; each is
    given for a wire without a turnbuckle, with one (`_turnbuckle`) and for one of a pair (`_pair`, if tighter). Half-widths of the inputs
    to corrections, if the customer gave none: `temperature_within`, and `temperature_unsaid_within` if 20 degC was assumed (K);
    `pull_within_percent`, `tension_within_percent`, `properties_within_percent` (of a wire's or tape's weight and stiffness).
    `kept_within` is the least half-width of an unmeasured dimension of a kept part.

    Limits that raise a question: temperatures outside `coldest` to `warmest` (degC), a hand pull above `hand_pull` (N), a tension above
    `tension_percent` of the breaking load. Their defaults: common practice, no source. `reading_limit` is still read because older tables
    have it, but no longer used.

    Plausibility: each `..._share_...` is a ratio of wire length to hull length, `wire_per_metre_...` the diameter of standing wire in mm
    per metre of hull, `bare_end_most` the length of wire left at a bare end. Their defaults are from memory, tried on made-up boats, for
    want of a source.
    """

    currency: str
    validity_days: int
    lead_time_days: int
    centred_share: Decimal
    waste_policy: str
    waste_percent: Decimal
    scrap_cap_percent: Decimal
    cut_allowance: Decimal
    minimum_remnant: Decimal
    touch_cost: Decimal
    opening_cost: Decimal
    remnant_fee: Decimal
    tolerance: Decimal
    pair_limit: Decimal
    minimum_order: Decimal
    stop_clearance_diameters: Decimal
    bedding_in_percent: Decimal
    inch_resolution: Decimal
    metric_resolution: Decimal
    shop_timezone: str
    seller: str
    kept_within: Decimal = Decimal(5)
    price_breaks: str = PRICE_BREAKS[0]
    cap_share_least: Decimal = Decimal("0.5")
    cap_share_most: Decimal = Decimal("1.9")
    lower_share_least: Decimal = Decimal("0.25")
    lower_share_most: Decimal = Decimal("1.1")
    stay_share_least: Decimal = Decimal("0.5")
    stay_share_most: Decimal = Decimal("2.2")
    mizzen_cap_share_least: Decimal = Decimal("0.3")
    mizzen_lower_share_least: Decimal = Decimal("0.15")
    lifeline_share_most: Decimal = Decimal("1.1")
    wire_per_metre_least: Decimal = Decimal("0.25")
    wire_per_metre_most: Decimal = Decimal("1.5")
    bare_end_most: Decimal = Decimal(500)
    seller_street: str = ""
    seller_city: str = ""
    seller_postal_code: str = ""
    seller_region: str = ""
    seller_country: str = ""
    seller_phone: str = ""
    seller_email: str = ""
    seller_tax_number: str = ""
    seller_legal: str = ""
    payment_terms: str = ""
    fittings_priced: str = FITTINGS_PRICED[0]
    repeatability: Decimal = Decimal(1)
    tolerance_turnbuckle: Decimal = Decimal(3)
    tolerance_pair: Decimal = Decimal(3)
    doubt_limit: Decimal = Decimal(5)
    doubt_limit_turnbuckle: Decimal = Decimal(10)
    doubt_limit_pair: Decimal = Decimal(5)
    temperature_within: Decimal = Decimal(3)
    temperature_unsaid_within: Decimal = Decimal(10)
    pull_within_percent: Decimal = Decimal(15)
    tension_within_percent: Decimal = Decimal(20)
    properties_within_percent: Decimal = Decimal(5)
    coldest: Decimal = Decimal(-15)
    warmest: Decimal = Decimal(45)
    hand_pull: Decimal = Decimal(300)
    tension_percent: Decimal = Decimal(25)
    reading_limit: Decimal | None = None


@dataclass(frozen=True, slots=True)
class Reader:
    """`read` takes a row's value and unit, and raises ValueError if they are not `expected`."""

    read: Callable[[str, str], Any]
    expected: str


def _number(least: str, most: str | None, *units: str) -> Reader:
    """A plain decimal within a range; the unit is blank or one of `units`."""

    def read(value: str, unit: str) -> Decimal:
        if unit not in ("", *units) or _DECIMAL.fullmatch(value) is None:
            raise ValueError(value)
        number = Decimal(value)
        if number < Decimal(least) or (most is not None and number > Decimal(most)):
            raise ValueError(value)
        return number

    return Reader(read, f"a decimal from {least}{f' to {most}' if most else ' on'}, unit blank{''.join(f' or {unit}' for unit in units)}")


def _days(least: int) -> Reader:
    def read(value: str, unit: str) -> int:
        if unit not in ("", "day", "days") or _WHOLE.fullmatch(value) is None or int(value) < least:
            raise ValueError(value)
        return int(value)

    return Reader(read, f"a whole number of days from {least} on, unit blank, day or days")


def _length(*, zero: bool = False) -> Reader:
    return Reader(lambda value, unit: parse_length(f"{value} {unit}".strip(), zero), "a length with its unit, such as 25 mm")


def _measure(parse: Callable[[str], Decimal], expected: str) -> Reader:
    return Reader(lambda value, unit: parse(f"{value} {unit}".strip()), expected)


_TEMPERATURE = _measure(parse_temperature, "a temperature with its unit, such as 45 degC")
_KELVINS = _measure(parse_temperature_difference, "a temperature difference with its unit, such as 3 K")
_FORCE = _measure(parse_force, "a force with its unit, such as 300 N")


def _currency(value: str, unit: str) -> str:
    minor_unit(value)
    if unit:
        raise ValueError(unit)
    return value


def _text(pattern: re.Pattern[str] | None, expected: str) -> Reader:
    def read(value: str, unit: str) -> str:
        if unit or not value.strip() or not value.isprintable() or (pattern and not pattern.fullmatch(value)):
            raise ValueError(value)
        return value

    return Reader(read, expected)


def _text_if_any(pattern: re.Pattern[str] | None, expected: str) -> Reader:
    """Like `_text`, but may be blank: not every country has regions, and a shop need not have a telephone."""
    some = _text(pattern, expected)
    return Reader(lambda value, unit: some.read(value, unit) if value or unit else "", f"{expected}, or a blank cell")


READERS: Mapping[str, Reader] = {
    "currency": Reader(_currency, "a currency code of ISO 4217 that has a minor unit"),
    "validity_days": _days(1),
    "lead_time_days": _days(0),
    "centred_share": _number("0.5", "1", "share"),
    "waste_policy": _text(re.compile("|".join(WASTE_POLICIES)), f"one of {', '.join(WASTE_POLICIES)}, without a unit"),
    "waste_percent": _number("0", "100", "%"),
    "scrap_cap_percent": _number("0", "100", "%"),
    "cut_allowance": _length(zero=True),
    "minimum_remnant": _length(zero=True),
    "touch_cost": _number("0", None),
    "opening_cost": _number("0", None),
    "remnant_fee": _number("0", None),
    "tolerance": _length(),
    "reading_limit": _length(),
    "pair_limit": _length(),
    "minimum_order": _number("0", None),
    "stop_clearance_diameters": _number("0", None, "diameters"),
    "bedding_in_percent": _number("0", "100", "%"),
    "inch_resolution": _length(),
    "metric_resolution": _length(),
    "shop_timezone": _text(_ZONE, "a name of the IANA time zone database, such as Europe/Lisbon"),
    "seller": _text(None, "text, without a unit"),
    "seller_street": _text_if_any(None, "text, without a unit"),
    "seller_city": _text_if_any(None, "text, without a unit"),
    "seller_postal_code": _text_if_any(None, "text, without a unit"),
    "seller_region": _text_if_any(None, "text, without a unit"),
    "seller_country": _text_if_any(_COUNTRY, "a country's two capital letters by ISO 3166-1, without a unit"),
    "seller_phone": _text_if_any(None, "text, without a unit"),
    "seller_email": _text_if_any(None, "text, without a unit"),
    "seller_tax_number": _text_if_any(None, "text, without a unit"),
    "seller_legal": _text_if_any(None, "text, without a unit"),
    "payment_terms": _text(None, "text, without a unit"),
    "fittings_priced": _text(re.compile("|".join(FITTINGS_PRICED)), f"one of {', '.join(FITTINGS_PRICED)}, without a unit"),
    "repeatability": _length(),
    "tolerance_turnbuckle": _length(),
    "tolerance_pair": _length(),
    "doubt_limit": _length(),
    "doubt_limit_turnbuckle": _length(),
    "doubt_limit_pair": _length(),
    "temperature_within": _KELVINS,
    "temperature_unsaid_within": _KELVINS,
    "pull_within_percent": _number("0", "100", "%"),
    "tension_within_percent": _number("0", "100", "%"),
    "properties_within_percent": _number("0", "100", "%"),
    "coldest": _TEMPERATURE,
    "warmest": _TEMPERATURE,
    "hand_pull": _FORCE,
    "tension_percent": _number("0", "100", "%"),
    "kept_within": _length(),
    **dict.fromkeys(
        (
            "cap_share_least",
            "cap_share_most",
            "lower_share_least",
            "lower_share_most",
            "stay_share_least",
            "stay_share_most",
            "mizzen_cap_share_least",
            "mizzen_lower_share_least",
            "lifeline_share_most",
        ),
        _number("0", "10", "share"),
    ),
    "wire_per_metre_least": _length(zero=True),
    "wire_per_metre_most": _length(),
    "bare_end_most": _length(),
    "price_breaks": _text(re.compile("|".join(PRICE_BREAKS)), f"one of {', '.join(PRICE_BREAKS)}, without a unit"),
}


_NEEDED = tuple(field.name for field in fields(Terms) if field.default is MISSING)


def term_faults(rows: Iterable[Term]) -> list[TableFault]:
    """Faults for every unreadable row of any day, and for every term without any row."""
    rows = tuple(rows)
    faults = [fault for row in rows if isinstance(fault := _read(row), TableFault)]
    absent = [name for name in _NEEDED if name not in {row.key for row in rows}]
    return faults + [TableFault(FILE, 0, key, "no row", READERS[key].expected) for key in absent]


def terms_at(rows: Mapping[str, Term], day: date) -> Terms | tuple[TableFault, ...]:
    """Terms from the rows in force on `day`, or all faults: a term not yet in force, or an amount finer than the currency allows."""
    values = {key: _read(row) for key, row in rows.items()}
    faults = [value for value in values.values() if isinstance(value, TableFault)]
    absent = [name for name in _NEEDED if name not in values]
    faults += [TableFault(FILE, 0, key, "no row in force", f"a row with a from_day on or before {day.isoformat()}") for key in absent]
    if faults:
        return tuple(faults)
    for key in AMOUNTS:
        try:
            values[key] = exact_money(values[key], values["currency"])
        except MoneyError as error:
            faults.append(TableFault(FILE, 0, key, rows[key].value, str(error)))
    return tuple(faults) or Terms(**values)


def _read(row: Term) -> Any:
    reader = READERS.get(row.key)
    if reader is None:
        return TableFault(FILE, 0, row.key, row.key, "one of " + ", ".join(READERS))
    try:
        return reader.read(row.value, row.unit)
    except ValueError:
        return TableFault(FILE, 0, row.key, f"{row.value} {row.unit}".strip(), reader.expected)

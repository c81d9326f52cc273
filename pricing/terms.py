"""The shop's own decisions, typed: from dated rows of text to one frozen object in force on a day.

To add a term: a field in `Terms` and a reader in `READERS` under the same name. What cannot be read is a fault of terms.csv, all at once.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Mapping
from dataclasses import MISSING, dataclass, fields
from datetime import date
from decimal import Decimal
from typing import Any

from pricing.catalogue.rows import Term
from pricing.errors import TableFault
from pricing.money import MoneyError, exact_money, minor_unit
from pricing.units import parse_length

FILE = "terms.csv"
WASTE_POLICIES = ("measured", "flat")
PRICE_BREAKS = ("per_boat", "fleet")
AMOUNTS = ("minimum_order", "touch_cost", "opening_cost", "rest_fee")
_DECIMAL = re.compile(r"[0-9]{1,12}(?:\.[0-9]{1,12})?", re.ASCII)
_WHOLE = re.compile(r"[0-9]{1,4}", re.ASCII)
_COUNTRY = re.compile(r"[A-Z]{2}", re.ASCII)
_ZONE = re.compile(r"UTC|[A-Za-z_]+(?:/[A-Za-z0-9_+\-]+)+", re.ASCII)


@dataclass(frozen=True, slots=True, kw_only=True)
class Terms:
    """Terms in force on one day. Lengths in mm; percentages as written (4 is 4 %); `minimum_order` in `currency`, before tax.

    `validity_days` are calendar days, `lead_time_days` business days; `centred_share` is the share of a screw's travel left to take up;
    the two resolutions are those of a tape when none is declared; `shop_timezone` is a name of the IANA database.
    `waste_policy`: `measured` (an allowance per cut, and the wire's scrap rate up to `scrap_cap_percent`) or `flat` (`waste_percent` of the
    metres in place of both). For planning cuts: `least_rest` worth keeping, `touch_cost` of taking up a spool or offcut,
    `opening_cost` of opening a new spool besides (else a second one would be opened beside one already open), `rest_fee` of putting a
    rest back on the shelf, all in `currency`. `price_breaks` says whether the quantity breaks of a fleet are those of each boat by itself (also
    where the shop has no such row) or of the whole fleet. What begins with `seller` stands in the head of every quotation: `seller_country` is ISO 3166-1 alpha-2,
    `seller_legal` a sentence that the shop's law wants there (register, form, liability). Blank where the shop has no such row.
    """

    currency: str
    validity_days: int
    lead_time_days: int
    centred_share: Decimal
    waste_policy: str
    waste_percent: Decimal
    scrap_cap_percent: Decimal
    cut_allowance: Decimal
    least_rest: Decimal
    touch_cost: Decimal
    opening_cost: Decimal
    rest_fee: Decimal
    tolerance: Decimal
    reading_limit: Decimal
    pair_limit: Decimal
    minimum_order: Decimal
    stop_clearance_diameters: Decimal
    bedding_in_percent: Decimal
    inch_resolution: Decimal
    metric_resolution: Decimal
    shop_timezone: str
    seller: str
    price_breaks: str = PRICE_BREAKS[0]
    seller_street: str = ""
    seller_city: str = ""
    seller_postal_code: str = ""
    seller_region: str = ""
    seller_country: str = ""
    seller_phone: str = ""
    seller_email: str = ""
    seller_tax_number: str = ""
    seller_legal: str = ""


@dataclass(frozen=True, slots=True)
class Reader:
    """`read` takes a row's value and unit, and raises ValueError on what is not `expected`."""

    read: Callable[[str, str], Any]
    expected: str


def _number(least: str, most: str | None, *units: str) -> Reader:
    """A bare decimal in a range; the unit is blank or one of `units`."""

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


READERS: Mapping[str, Reader] = {
    "currency": Reader(_currency, "a currency code of ISO 4217 that has a minor unit"),
    "validity_days": _days(1),
    "lead_time_days": _days(0),
    "centred_share": _number("0.5", "1", "share"),
    "waste_policy": _text(re.compile("|".join(WASTE_POLICIES)), f"one of {', '.join(WASTE_POLICIES)}, without a unit"),
    "waste_percent": _number("0", "100", "%"),
    "scrap_cap_percent": _number("0", "100", "%"),
    "cut_allowance": _length(zero=True),
    "least_rest": _length(zero=True),
    "touch_cost": _number("0", None),
    "opening_cost": _number("0", None),
    "rest_fee": _number("0", None),
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
    "seller_street": _text(None, "text, without a unit"),
    "seller_city": _text(None, "text, without a unit"),
    "seller_postal_code": _text(None, "text, without a unit"),
    "seller_region": _text(None, "text, without a unit"),
    "seller_country": _text(_COUNTRY, "a country's two capital letters by ISO 3166-1, without a unit"),
    "seller_phone": _text(None, "text, without a unit"),
    "seller_email": _text(None, "text, without a unit"),
    "seller_tax_number": _text(None, "text, without a unit"),
    "seller_legal": _text(None, "text, without a unit"),
    "price_breaks": _text(re.compile("|".join(PRICE_BREAKS)), f"one of {', '.join(PRICE_BREAKS)}, without a unit"),
}


_NEEDED = tuple(field.name for field in fields(Terms) if field.default is MISSING)


def term_faults(rows: Iterable[Term]) -> list[TableFault]:
    """Every row of any day that cannot be read, and every term that has no row at all."""
    rows = tuple(rows)
    faults = [fault for row in rows if isinstance(fault := _read(row), TableFault)]
    absent = [name for name in _NEEDED if name not in {row.key for row in rows}]
    return faults + [TableFault(FILE, 0, key, "no row", READERS[key].expected) for key in absent]


def terms_at(rows: Mapping[str, Term], day: date) -> Terms | tuple[TableFault, ...]:
    """Terms from the row of each key in force on `day`, or every fault: a term not yet in force, an amount finer than the money."""
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

"""Money in Decimal, and the project's only rounding rule: half up, to the currency's minor unit.

Decimal digits follow ISO 4217 (list one, published 2026-01-01). The table is closed: an unlisted code is an error and never defaults to
two digits. Codes without a minor unit (precious metals, test codes, units of account) cannot price anything and are left out.
"""

from __future__ import annotations

from decimal import ROUND_HALF_UP, Context, Decimal, InvalidOperation
from functools import lru_cache

from pricing.errors import PricingError

_CODES: dict[int, str] = {
    0: "BIF CLP DJF GNF ISK JPY KMF KRW PYG RWF UGX UYI VND VUV XAF XOF XPF",
    2: """AED AFN ALL AMD AOA ARS AUD AWG AZN BAM BBD BDT BMD BND BOB BOV BRL BSD BTN BWP BYN BZD CAD CDF CHE CHF CHW CNY COP COU
        CRC CUP CVE CZK DKK DOP DZD EGP ERN ETB EUR FJD FKP GBP GEL GHS GIP GMD GTQ GYD HKD HNL HTG HUF IDR ILS INR IRR JMD KES KGS
        KHR KPW KYD KZT LAK LBP LKR LRD LSL MAD MDL MGA MKD MMK MNT MOP MRU MUR MVR MWK MXN MXV MYR MZN NAD NGN NIO NOK NPR NZD PAB
        PEN PGK PHP PKR PLN QAR RON RSD RUB SAR SBD SCR SDG SEK SGD SHP SLE SOS SRD SSP STN SVC SYP SZL THB TJS TMT TOP TRY TTD TWD
        TZS UAH USD USN UYU UZS VED VES WST XAD XCD XCG YER ZAR ZMW ZWG""",
    3: "BHD IQD JOD KWD LYD OMR TND",
    4: "CLF UYW",
}
MINOR_UNITS: dict[str, int] = {code: digits for digits, codes in _CODES.items() for code in codes.split()}
_QUANTA: dict[str, Decimal] = {code: Decimal(1).scaleb(-digits) for code, digits in MINOR_UNITS.items()}
_CONTEXT = Context(prec=60, rounding=ROUND_HALF_UP)


class MoneyError(PricingError):
    """An amount, rate or currency that cannot appear on a document: a stable `code` and a sentence."""

    def __init__(self, code: str, detail: str) -> None:
        super().__init__(detail)
        self.code = code


def minor_unit(currency: str) -> int:
    """Number of decimals of `currency` (ISO 4217 alphabetic code). Raises MoneyError for an unlisted code."""
    try:
        return MINOR_UNITS[currency]
    except KeyError:
        raise _unknown(currency) from None


def round_money(amount: Decimal, currency: str) -> Decimal:
    """`amount` rounded half up to the minor unit of `currency` (ties away from zero, so that a credit mirrors its charge).

    Never negative zero. Raises MoneyError for an unknown currency, NaN, infinity or more than 60 digits; TypeError for a float.
    """
    try:
        rounded = amount.quantize(_QUANTA[currency], ROUND_HALF_UP, _CONTEXT)
    except KeyError:
        raise _unknown(currency) from None
    except InvalidOperation:
        raise _no_amount(amount) from None
    except AttributeError:
        raise TypeError(f"money is Decimal, not {type(amount).__name__}") from None
    if rounded:
        if rounded.is_nan():
            raise _no_amount(amount)
        return rounded
    return rounded.copy_abs()


def extension(quantity: Decimal, price: Decimal, base_quantity: Decimal, currency: str) -> Decimal:
    """`quantity` at `price` per `base_quantity`, rounded once; intermediate results carry 60 digits."""
    exact = _CONTEXT.multiply(quantity, price)
    return round_money(exact if base_quantity == 1 else _CONTEXT.divide(exact, base_quantity), currency)


def percent_of(base: Decimal, percent: Decimal, currency: str) -> Decimal:
    """`percent` percent of `base`, rounded once to the minor unit of `currency`."""
    return round_money(_CONTEXT.multiply(base, percent).scaleb(-2, _CONTEXT), currency)


def exact_money(amount: Decimal, currency: str) -> Decimal:
    """`amount` with exactly the decimals of `currency`; raises MoneyError instead of rounding if it is finer than the minor unit."""
    rounded = round_money(amount, currency)
    if rounded != amount:
        raise MoneyError("unrounded_amount", f"{amount} {currency} carries a part of the minor unit: round it where it is computed")
    return rounded


def money_text(amount: Decimal, currency: str) -> str:
    """Text of an amount that is already rounded, with exactly the currency's decimals: no currency sign, no digit grouping.

    Never rounds: raises MoneyError if `amount` is finer than the minor unit.
    """
    return f"{exact_money(amount, currency):f}"


@lru_cache(maxsize=4096)
def price_text(price: Decimal, currency: str) -> str:
    """Text of a unit price with all its decimals, and at least the currency's (0.0125 stays, 3.5 USD is 3.50)."""
    digits = max(minor_unit(currency), -_exponent(price.normalize(_CONTEXT)))
    return f"{price:.{digits}f}"


def _exponent(number: Decimal) -> int:
    exponent = number.as_tuple().exponent
    if isinstance(exponent, str):
        raise _no_amount(number)
    return exponent


def _no_amount(amount: Decimal) -> MoneyError:
    return MoneyError("not_an_amount", f"{amount} is not an amount of money")


def _unknown(currency: str) -> MoneyError:
    return MoneyError("unknown_currency", f"{currency!r} is not a currency code of ISO 4217 that has a minor unit")

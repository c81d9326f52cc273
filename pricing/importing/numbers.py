"""Numbers as people and spreadsheets write them. Whether comma or point is the decimal separator is decided once per column, and reported."""

from __future__ import annotations

import re
from collections.abc import Iterable

COMMA, POINT, EACH, OPEN = "comma", "point", "each by itself", ""
_TOKEN = re.compile(r"[0-9](?:[0-9.,' \u00a0\u202f]*[0-9])?")
_EITHER = re.compile(r"[1-9][0-9]{0,2}([.,])[0-9]{3}")  # 1.234: a thousand and more, or one and a bit
_GROUPS = re.compile(r"[0-9]{1,3}(?:[.,][0-9]{3})+|[0-9]{1,3}", re.ASCII)
_SPACES = re.compile(r"(?<=[0-9])['’ \u00a0\u2009\u202f](?=[0-9]{3}(?![0-9]))")


class NoNumber(ValueError):
    """Text that is not a number, or could be more than one; the message says what to write."""


def decides(texts: Iterable[str]) -> str:
    """The decimal separator in a column's texts: COMMA, POINT, EACH (by cell) where both occur, OPEN where nothing shows it."""
    separators = {side for text in texts for token in _TOKEN.findall(text) if (side := _says(_SPACES.sub("", token)))}
    return EACH if len(separators) == 2 else next(iter(separators), OPEN)


def _says(token: str) -> str:
    comma, point = token.rfind(","), token.rfind(".")
    if comma < 0 and point < 0:
        return ""
    if comma >= 0 and point >= 0:
        return COMMA if comma > point else POINT
    mark = "," if comma >= 0 else "."
    if token.count(mark) > 1:  # thousands, so decimals have the other
        return POINT if mark == "," else COMMA
    if _EITHER.fullmatch(token):
        return ""
    return COMMA if mark == "," else POINT


def number(text: str, mode: str, *, thousands: bool = True) -> str:
    """A number as digits with a decimal point. `mode` is a result of `decides`; `thousands`: the column may group them. Raises NoNumber."""
    plain = _SPACES.sub("", text.strip())
    if plain.isascii() and plain.isdigit():
        return plain
    comma, point = plain.count(","), plain.count(".")
    if not re.fullmatch(r"[0-9]*(?:[.,][0-9]+)+|[0-9]+", plain, re.ASCII):
        raise NoNumber("is not a number")
    if comma and point:
        decimal = "," if plain.rfind(",") > plain.rfind(".") else "."
        _grouped(plain[: plain.rfind(decimal)])
    elif comma + point > 1:
        _grouped(plain)
        decimal = "." if comma else ","
    else:
        decimal = "," if comma else "."
        if _EITHER.fullmatch(plain):
            decimal = _of_three(plain, decimal, mode, thousands=thousands)
    figure = plain.replace("." if decimal == "," else ",", "").replace(decimal, ".")
    return f"0{figure}" if figure.startswith(".") else figure


def _grouped(whole: str) -> None:
    """Raises NoNumber unless the separators stand between groups of three digits."""
    if not _GROUPS.fullmatch(whole):
        raise NoNumber("has its separators in no order: write it with one decimal point")


def _of_three(plain: str, mark: str, mode: str, *, thousands: bool) -> str:
    """The decimal separator of an ambiguous number such as 1.234. Raises NoNumber if the column does not settle it."""
    whole, rest = re.split("[.,]", plain)
    if mode not in (COMMA, POINT):
        raise NoNumber(f"may be {whole}.{rest} or {whole}{rest}: write it without the separator, or say in the mapping what the column has")
    decimal = "," if mode == COMMA else "."
    if mark != decimal and not thousands:
        raise NoNumber(
            f"may be {whole}.{rest} or {whole}{rest}, in a column with a decimal {mode}: write it without a separator of thousands"
        )
    return decimal

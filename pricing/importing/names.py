"""Splits article names that hold several columns in one, such as 'Gabelterminal 6mm / 12er Bolzen', where only one reading is possible."""

from __future__ import annotations

import re
from functools import lru_cache
from itertools import pairwise
from typing import NamedTuple

from pricing.fittings import FAMILIES
from pricing.importing.convert import thread
from pricing.importing.vocabulary import code_of, plain

_SIZE = r"(?:[0-9]+ [0-9]+/[0-9]+|[0-9]+/[0-9]+|[0-9]+(?:[.,][0-9]+)?)"
_UNIT = r"(?:\s?(?:mm\b|in\b|inch\b|zoll\b|\"|″)|-?er\b)"
_THREAD = re.compile(
    r"(?<![\w/])(M ?[0-9]{1,2}(?: ?[x×] ?[0-9](?:[.,][0-9]{1,2})?)?|[0-9]{1,2}(?:/[0-9]{1,2})?(?:\"|″)? ?(?:- ?[0-9]{2} ?)?UN[FC])(?![\w.,/])",
    re.IGNORECASE,
)
_CONSTRUCTION = re.compile(r"(?<![\w])(?:(?:compacted|verdichtet) )?(?:1 ?[x×] ?19|7 ?[x×] ?7|7 ?[x×] ?19)(?![\w])", re.IGNORECASE)
_HAND = re.compile(r"(?<![\w])(LH|RH|links|rechts|Linksgewinde|Rechtsgewinde|left[- ]hand|right[- ]hand)(?![\w])", re.IGNORECASE)
_MEANT = (
    ("pin", r"(?:clevis[- ]?pin|bolzen|pin|bz\.?)"),
    ("wire_sizes", r"(?:draht|seil|wire|rope|für|fuer|for)(?:\s?ø|-ø)?"),
)  # fmt: skip
_SIZES = re.compile(rf"(?<![\w.,/])({_SIZE})({_UNIT})?(?![\w,/]|\.[0-9])", re.IGNORECASE)
_MOST = 300  # characters of a name, as in the tables
_WITHOUT_PIN = frozenset(name for name, family in FAMILIES.items() if family.listed and "pin" not in family.asks)


class Apart(NamedTuple):
    """The parts found in a name: texts by our column, as a list's own column would have them; `open` says in words what is ambiguous."""

    found: dict[str, str]
    open: str = ""


@lru_cache(maxsize=65536)
def taken_apart(name: str) -> Apart:
    """The parts of a name that can be read in only one way. Sizes keep their unit, or have none if the name gives none."""
    if len(name) > _MOST:
        return Apart({})
    values: dict[str, str] = {}
    if family := _family(name):
        values["family"] = family
    if attachment := _word(name, "attachment"):
        values["attachment"] = attachment
    rest = name
    for column, pattern in (("constructions", _CONSTRUCTION), ("thread", _THREAD), ("hand", _HAND)):
        matches = {match[0] for match in pattern.finditer(rest)}
        if len(matches) == 1 or (matches and column == "constructions"):
            values[column] = ";".join(sorted(matches)) if column == "constructions" else _spelled(column, next(iter(matches)))
        rest = pattern.sub(" ", rest)
    return _sizes(rest, values)


def _spelled(column: str, text: str) -> str:
    return thread(text).text if column == "thread" else text


def _family(name: str) -> str | None:
    """The only family that the name's words mean, if any; a toggle with a fork is a toggle."""
    plain_name = plain(name)
    words = plain_name.split()
    pairs = {*words, *(" ".join(two) for two in pairwise(words))}
    codes = {code for word in pairs if len(word) > 2 and (code := code_of("family", word))}
    codes |= {
        code
        for code, begins in (("fork", "gabel"), ("eye", "aug"), ("stud", "gewindeterminal"), ("ball", "kugel"))
        if any(word.startswith(begins) for word in words)
    }
    codes |= {"tee"} & {"tee" for pair in pairs if pair in ("t terminal", "t stuck")}
    if codes == {"toggle", "fork"}:
        return "toggle"
    return next(iter(codes)) if len(codes) == 1 else None


def _word(name: str, column: str) -> str | None:
    words = plain(name).split()
    codes = {code for word in words if (code := code_of(column, word))}
    codes |= {code for code, begins in (("swage", "walz"), ("compression", "schraub")) if any(word.startswith(begins) for word in words)}
    return next(iter(codes)) if len(codes) == 1 else None


def _sizes(rest: str, values: dict[str, str]) -> Apart:
    """Assign sizes to wire and pin by the words next to them; a size without such a word is the wire's if the pin's is known."""
    given, loose = _given(rest)
    for column, sizes in given.items():
        if len(sizes) > 1:
            return Apart(values, f"has {' and '.join(sorted(sizes))} for the {'pin' if column == 'pin' else 'wire'}")
        if sizes:
            values[column] = next(iter(sizes))
    united = [size for size in loose if re.search(_UNIT + "$", size, re.IGNORECASE) or "/" in size]
    if not united or ("pin" in values and "wire_sizes" in values):
        return Apart(values)
    if len(united) == 1 and "wire_sizes" not in values and ("pin" in values or values.get("family") in _WITHOUT_PIN):
        return Apart({**values, "wire_sizes": united[0]})
    return Apart(values, f"has {' and '.join(united)}, and does not say whether that is the wire's size or the pin's")


def _given(rest: str) -> tuple[dict[str, set[str]], list[str]]:
    """The sizes that a neighbouring word assigns to pin or wire, and the remaining ones."""
    given: dict[str, set[str]] = {"pin": set(), "wire_sizes": set()}
    taken: set[tuple[int, int]] = set()
    for column, words in _MEANT:
        before = rf"(?<![\w.,/])({_SIZE})({_UNIT})?[\s-]?{words}(?![a-z])"
        behind = rf"(?<![a-z]){words}[\s:=ø]*({_SIZE})({_UNIT})?(?![\w,/]|\.[0-9])"
        for match in (*re.finditer(before, rest, re.IGNORECASE), *re.finditer(behind, rest, re.IGNORECASE)):
            if match.span(1) not in taken:
                taken.add(match.span(1))
                given[column].add(f"{match[1]}{match[2] or ''}".strip())
    return given, [match[0].strip() for match in _SIZES.finditer(rest) if match.span(1) not in taken]

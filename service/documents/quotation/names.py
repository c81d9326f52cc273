"""Names that are put together from known words, in another language: those of articles, of work, and what a line of prices says of itself.

A name is a shop's own text. It is translated only where all of it is one of these patterns, with nothing but sizes in it; else it stays.
"""

from __future__ import annotations

import re
from functools import cache, lru_cache
from gettext import NullTranslations

_SIZE = r"\d[\d /.]*? (?:in|mm)"
_PLACES = {
    "wire": rf"{_SIZE}(?: or {_SIZE})?",
    "size": _SIZE,
    "pin": _SIZE,
    "ball": _SIZE,
    "grip": _SIZE,
    "thread": r"(?:\d+|\d+/\d+|\d+ \d+/\d+)-\d+ UN[A-Z]+|M\d+(?: x \d+(?:\.\d+)?)?",
    "laid": r"\d+x\d+",
    "material": r"\d[\dA-Za-z]*",
    "over": r"\d+(?:\.\d+)?",
    "up_to": r"\d+(?:\.\d+)?",
    "list": r"\S+",
    "weight": r"\d+(?:\.\d+)? kg",
    "coil": r"\d+(?:\.\d+)? mm",
    "cuts": r"\d+",
    "percent": r"\d+(?:\.\d+)?",
    "length": r"\d+(?:\.\d+)? m",
    "all": r"\d+(?:\.\d+)? m",
    "amount": r"\d+(?:\.\d+)?",
    "currency": r"[A-Z]{3}",
    "name": r".+",
}
_UNTOUCHED = ("thread", "laid", "material", "list", "currency")  # no lengths: a point in them is part of a designation

_TERMINALS = (
    *(f"{family}, {way}, for %(wire)s wire, %(pin)s pin" for family in ("Fork", "Eye", "Toggle") for way in ("swage", "compression")),
    *(f"{family}, swage, for %(wire)s wire" for family in ("Ball", "Tee")),
    *(f"Stud, {way}, for %(wire)s wire, %(thread)s {hand}-hand" for way in ("swage", "compression") for hand in ("right", "left")),
)
_HARDWARE = (
    *(f"Turnbuckle body, {kind}, %(thread)s" for kind in ("open", "tubular")),
    *(f"Turnbuckle screw with {end}, %(thread)s, {hand}-hand" for end in ("toggle", "fork", "eye") for hand in ("right", "left")),
    "Toggle, %(pin)s pin", "Shackle, %(pin)s pin", "Clevis pin %(pin)s, grip %(grip)s", "Cotter pin %(size)s",
    "Thimble for %(wire)s wire", "Sleeve for %(wire)s wire", "Ball stop for %(wire)s wire, %(ball)s ball",
    "Wire %(laid)s, %(material)s, %(size)s", "Wire compacted %(laid)s, %(material)s, %(size)s", "Wire %(laid)s, composition B, %(size)s",
)  # fmt: skip
_WORK = tuple(
    f"{work}, wire over %(over)s up to %(up_to)s mm"
    for work in (
        "Swage a terminal", "Fit a compression terminal", "Press an oval sleeve", "Fit a ball stop", "Cut and assemble", "Proof pull",
        "Tag an assembly",
    )
)  # fmt: skip
_LINES = (
    "Cut allowance, %(name)s", "Scrap, %(name)s", "Rest, %(name)s", "1 cut of %(size)s: %(length)s", "%(cuts)s cuts of %(size)s: %(length)s",
    "%(percent)s %% of %(all)s: %(length)s",
    "bought for this job in fixed lengths and not returnable: %(length)s are left, and are yours",
    "Price list %(list)s", "Freight, %(weight)s, coil of %(coil)s", "Minimum order of %(amount)s %(currency)s",
)  # fmt: skip
OR = "or"
PATTERNS = (*_TERMINALS, *_HARDWARE, *_WORK, *_LINES)


@lru_cache(maxsize=4096)
def translated(name: str, messages: NullTranslations, decimal: str) -> str | None:
    """The name in the language of the messages, its sizes with that decimal sign; None where it is not one of the patterns."""
    for pattern in PATTERNS:
        found = _expression(pattern).fullmatch(name)
        said = messages.pgettext("name", pattern) if found else pattern
        if found and said != pattern:
            values = {place: _value(place, text, messages, decimal) for place, text in found.groupdict().items()}
            return said % values
    return None


def _value(place: str, text: str, messages: NullTranslations, decimal: str) -> str:
    if place == "name":
        return translated(text, messages, decimal) or text
    if place in _UNTOUCHED:
        return text
    return text.replace(".", decimal).replace(" or ", f" {messages.pgettext('name', OR)} ")


@cache
def _expression(pattern: str) -> re.Pattern[str]:
    parts = re.split(r"%\((\w+)\)s", pattern.replace("%%", "%"))
    return re.compile("".join(f"(?P<{part}>{_PLACES[part]})" if place % 2 else re.escape(part) for place, part in enumerate(parts)))

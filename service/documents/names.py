"""Translates names composed of known words: those of articles and work, and the remarks on price lines.

A name is the shop's own text. It is translated only if all of it matches one of these patterns, with nothing but sizes in it;
otherwise it is left unchanged.
"""

from __future__ import annotations

import re
from collections.abc import Callable, Iterator
from functools import cache, lru_cache
from gettext import NullTranslations

from pricing.costing.rules import WRITTEN
from pricing.fittings import FAMILIES

_SIZE = r"\d[\d /.]*? (?:in|mm)"
_PLACES = {
    "wire": rf"{_SIZE}(?: or {_SIZE})?",
    "size": _SIZE,
    "pin": _SIZE,
    "above": _SIZE,
    "ball": _SIZE,
    "grip": _SIZE,
    "cover": _SIZE,
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
_UNTOUCHED = ("thread", "laid", "material", "list", "currency")  # not lengths: a point in them is part of a designation


def _terminals() -> Iterator[str]:
    """The names of the demo tables' terminals."""
    for family in FAMILIES.values():
        for way in family.attachments if family.listed else ():
            name = f"{family.words.capitalize()}, {way}, for %(wire)s wire"
            if "thread" in family.asks:
                yield from (f"{name}, %(thread)s {hand}-hand" for hand in ("right", "left"))
            else:
                yield f"{name}, %(pin)s pin" if "pin" in family.asks else name


_HARDWARE = (
    *(f"Turnbuckle body, {kind}, %(thread)s" for kind in ("open", "tubular")),
    *(f"Turnbuckle screw with {end}, %(thread)s, {hand}-hand" for end in ("toggle", "fork", "eye") for hand in ("right", "left")),
    *(f"Locknut, %(thread)s, {hand}-hand" for hand in ("right", "left")),
    "Cone for a compression terminal, %(laid)s, %(wire)s wire", "Backing plate for a tee on %(wire)s wire",
    "Toggle, %(pin)s pin", "Shackle, %(pin)s pin", "Insulator, %(pin)s pins", "Bridle plate, %(above)s pin above, %(pin)s pins below", "Gate hook, %(pin)s pin",
    "Clevis pin %(pin)s, grip %(grip)s", "Cotter pin %(size)s",
    "Thimble for %(wire)s wire", "Thimble, galvanised, for %(wire)s wire", "Sleeve for %(wire)s wire", "Sleeve, zinc-plated copper, for %(wire)s wire",
    "Ball stop for %(wire)s wire, %(ball)s ball",
    "Wire %(laid)s, %(material)s, %(size)s", "Wire %(laid)s, %(material)s, %(size)s, vinyl-coated to %(cover)s", "Wire compacted %(laid)s, %(material)s, %(size)s", "Wire %(laid)s, composition B, %(size)s",
    "Wire %(laid)s, galvanised, %(size)s",
)  # fmt: skip
_OWN = (
    *(f"Customer's own {family.words}" for family in FAMILIES.values() if family.own),
    "Customer's own turnbuckle body", *(f"Customer's own turnbuckle screw with {end}" for end in ("toggle", "fork", "eye")),
)  # fmt: skip
_WORK = tuple(
    f"{work}, wire over %(over)s up to %(up_to)s mm"
    for work in (
        "Swage a terminal", "Fit a compression terminal", "Press an oval sleeve", "Fit a ball stop", "Cut and assemble", "Proof pull",
        "Tag an assembly", "Strip the cover off an end",
    )
)  # fmt: skip
_OWN_WORK = (  # of the demo shop; another shop's stands as it wrote it
    "Call-out to the boat", "Mast off and on", "Inspection of the rig aloft", "Measure an old wire in the loft", "Wire-to-rope tail splice",
)  # fmt: skip
OR = "or"
PATTERNS = (*_terminals(), *_HARDWARE, *_OWN, *_WORK, *_OWN_WORK, *WRITTEN)


@lru_cache(maxsize=4096)
def translated(name: str, messages: NullTranslations, local: Callable[[str], str]) -> str | None:
    """The name in the language of the messages, its sizes as `local` writes them; None if it does not match a pattern."""
    for pattern in PATTERNS:
        found = _expression(pattern).fullmatch(name)
        said = messages.pgettext("name", pattern) if found else pattern
        if found and said != pattern:
            values = {place: _value(place, text, messages, local) for place, text in found.groupdict().items()}
            return said % values
    return None


def _value(place: str, text: str, messages: NullTranslations, local: Callable[[str], str]) -> str:
    if place == "name":
        return translated(text, messages, local) or text
    if place in _UNTOUCHED:
        return text
    return local(text).replace(" or ", f" {messages.pgettext('name', OR)} ")


@cache
def _expression(pattern: str) -> re.Pattern[str]:
    parts = re.split(r"%\((\w+)\)s", pattern.replace("%%", "%"))
    return re.compile("".join(f"(?P<{part}>{_PLACES[part]})" if place % 2 else re.escape(part) for place, part in enumerate(parts)))

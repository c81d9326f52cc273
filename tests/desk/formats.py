"""The ways in which the desk writes days, moments, money and figures, and how another way is found.

They are CLDR's for British English and for German: "25 December 2026", "US$1,415.54", "12.5 m"; "25. Dezember 2026", "1.415,54 $", "12,5 m".
"""

from __future__ import annotations

import re
from collections.abc import Iterator

from tests.desk.colleague import XHTML, Colleague

MONTHS = {
    "en": "January|February|March|April|May|June|July|August|September|October|November|December",
    "de": "Januar|Februar|März|April|Mai|Juni|Juli|August|September|Oktober|November|Dezember",
}
WRITTEN = {"en": rf"\b\d{{1,2}} (?:{MONTHS['en']}) \d{{4}}\b", "de": rf"\b\d{{1,2}}\. (?:{MONTHS['de']}) \d{{4}}\b"}
AMOUNT = {"en": r"US\$[\d,]+\.\d\d(?!\d)", "de": r"[\d.]+,\d\d\xa0\$"}
ANYWHERE = (
    r"(?<![-\w])\d{4}-\d\d(?!\d)",  # 2026-12-25, 2026-12
    r"\b\d{1,2}/\d{1,2}/\d{2,4}\b",
    r"\b\d{1,2}\.\d{1,2}\.\d{2,4}\b",
    r"\b(?:Jan|Feb|Mar|Mär|Apr|Jun|Jul|Aug|Sep|Sept|Oct|Okt|Nov|Dec|Dez)\b",
    r"\b(?:January|February|March|April|June|July|August|September|October|November|December) \d{1,2}\b(?! \d{4})",
    r"\d ?(?:AM|PM)\b", r"\bUTC\b", r"\d:\d\d:\d\d",
)  # fmt: skip
NOT_IN = {
    "en": (r"(?<!US)\$ ?\d", r"\d ?\$", r"\d,\d{1,2}(?!\d)", r"\b(?:Januar|Februar|März|Juni|Juli|Oktober|Dezember)\b"),
    "de": (
        r"\$ ?\d",
        r"\d\.\d{1,2}(?!\d)",
        r"\d%",
        r"\b(?:January|February|March|June|July|October|December)\b",
        r"\d ft\b",
        r"\d/\d+ in\b",
    ),
}


def other_ways(text: str, language: str) -> Iterator[str]:
    """What is written in another way than its language's, with what stands around it."""
    for way in (*ANYWHERE, *NOT_IN[language]):
        for each in re.finditer(way, text):
            yield text[max(0, each.start() - 30) : each.end() + 20]


def read_on(person: Colleague) -> str:
    """What is read, without what stands in a file of the shop (`code`) and without a choice's value as it is typed."""
    (body,) = person.page.findall(f"{XHTML}body")
    for parent in list(body.iter()):
        for each in list(parent):
            if each.tag in (f"{XHTML}code", f"{XHTML}textarea", f"{XHTML}option"):
                each.text, each[:] = "", []
    return " ".join(" ".join(body.itertext()).split(" "))

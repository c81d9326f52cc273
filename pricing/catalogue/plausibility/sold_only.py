"""Articles that are only sold: distinct names, one spelling per kind, prices of a plausible order of magnitude, known missing columns."""

from __future__ import annotations

import re
from collections import Counter, defaultdict
from collections.abc import Iterator

from pricing.catalogue.plausibility.examined import Examined
from pricing.errors import Doubt

FAR = 100  # factor from the median price of its kind, as when cents are read as whole units: common practice, no source
MANY = 8  # articles of a kind before one's price is compared with theirs
_LETTER = re.compile(r"[^\W\d_]")
_APART = re.compile(r"[\W_]+")
KIND = "sold_only"


def names(examined: Examined) -> Iterator[Doubt]:
    """A meaningless name, and several articles of a kind under one name (one doubt for all of them)."""
    sheet = examined.sheets[KIND]
    alike: dict[tuple[str, str], list[int]] = defaultdict(list)
    for at, (_, (sku, name, family)) in enumerate(sheet.rows(("sku", "name", "family"))):
        if name == sku or not _LETTER.search(name):
            yield examined.doubt(KIND, at, "name", "a name that says what it is", f"{sku} is called '{name}'")
        else:
            alike[_plain(family), _plain(name)].append(at)
    for rows in alike.values():
        if len(rows) > 1:
            first, at = rows[:2]
            skus = sheet.text["sku"]
            more = f" and {len(rows) - 2} more" if len(rows) > 2 else ""
            yield examined.doubt(
                KIND, at, "name", "a name that tells it from the other", f"{skus[at]}, {skus[first]}{more} have all but the same name"
            )


def families(examined: Examined) -> Iterator[Doubt]:
    """A kind spelt in two ways that differ in capitals, spaces or punctuation: the rarer spelling is doubted once."""
    sheet = examined.sheets[KIND]
    count = Counter(sheet.text.get("family", ()))
    spellings: dict[str, list[str]] = defaultdict(list)
    for family, _ in count.most_common():
        spellings[_plain(family)].append(family)
    first = {family: at for at, family in reversed(list(enumerate(sheet.text.get("family", ()))))}
    for usual, *others in spellings.values():
        for family in others:
            reason = f"{count[family]} article(s) are of '{family}' and {count[usual]} of '{usual}'"
            yield examined.doubt(KIND, first[family], "family", usual, reason)


def prices(examined: Examined) -> Iterator[Doubt]:
    """A price of a very different order of magnitude from its kind's."""
    sheet, priced = examined.frame(KIND), examined.frame("prices")
    if sheet.empty:
        return
    positive = priced[priced["unit_price"] > 0]
    usual = positive.groupby("sku")["unit_price"].median()
    line_of = {sku: at for at, sku in reversed(list(enumerate(priced["sku"])))}
    own = sheet.assign(usual=sheet["sku"].map(usual)).dropna(subset=["usual"])
    for (family, _), group in own.groupby(["family", "unit"], sort=False):
        if len(group) < MANY:
            continue
        middle = float(group["usual"].median())
        far = group[(group["usual"] > FAR * middle) | (group["usual"] * FAR < middle)]
        for sku, price in zip(far["sku"], far["usual"], strict=True):
            reason = f"{sku} costs {price:g} where '{family}' costs about {middle:g}"
            yield examined.doubt("prices", line_of[sku], "unit_price", f"about {middle:g}, as the rest of its kind", reason)


def lacking(examined: Examined) -> Iterator[Doubt]:
    """A name in `lacks` that is not a column of any table."""
    columns = {column.name for sheet in examined.sheets.values() for column in sheet.table.columns}
    for at, (_, (lacks,)) in enumerate(examined.sheets[KIND].rows(("lacks",))):
        strange = [each for each in lacks or () if each not in columns]
        if strange:
            yield examined.doubt(KIND, at, "lacks", "names of columns", f"no table has a column {', '.join(strange)}")


def _plain(text: str) -> str:
    return _APART.sub(" ", text.casefold()).strip()

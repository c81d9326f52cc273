"""Names and duplicates: sizes in a name that its row does not have, one article under two SKUs, names that are nearly equal."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from pricing.catalogue.plausibility import sold_only
from pricing.catalogue.plausibility.examined import Examined
from pricing.catalogue.reading import Sheet
from pricing.errors import Doubt

SPOKEN = ("diameter", "wire_sizes", "pin", "thread", "grip", "ball", "up_to", "over")
MOST = 0.9  # of a table's rows that have the size in their name, before the others are doubted
FEW = 4
_OF_WIRES = ("construction", "constructions", "wire_sizes")
_LAY = re.compile(r"(?<![\w./])(?:1|6|7|19)\s?[x×]\s?(?:7|19|36|37)(?![0-9./])")
# a size as names write one: of at most two digits before the point, so that no grade of steel (316, 1.4401) is one
_SIZE = re.compile(r"(?<![\w./])(?:[0-9]{1,2}(?: [0-9]+/[0-9]+|/[0-9]+|\.[0-9]{1,3})?)(?![0-9./])")
_APART = re.compile(r"[^a-z0-9]+")
_WITHOUT_SIZES = frozenset({"labour", sold_only.KIND})
_LEFT_OUT = frozenset({"sku", "name", "source"})


def sizes_in_names(examined: Examined) -> Iterator[Doubt]:
    """A name with a different size from its row's, in a table where nearly every name contains its row's size."""
    for kind, sheet in examined.sheets.items():
        if sheet.table.article and "name" in sheet.text:
            for column in SPOKEN:
                if column in sheet.text:
                    yield from _spoken(examined, kind, sheet, column)


def _spoken(examined: Examined, kind: str, sheet: Sheet, column: str) -> Iterator[Doubt]:
    names = [_without_lays(sheet, name) for name in sheet.text["name"]]
    says = [
        all(_in(part.strip(), name) for part in text.split(";")) if text else None
        for text, name in zip(sheet.text[column], names, strict=True)
    ]
    judged = [each for each in says if each is not None]
    if len(judged) < FEW or sum(judged) < MOST * len(judged):
        return
    others = [sheet.text[other] for other in SPOKEN if other != column and other in sheet.text]
    for at, agrees in enumerate(says):
        if agrees is False and _says_another(names[at], [part.strip() for texts in others for part in texts[at].split(";")]):
            reason = f"{sheet.text[column][at]} where the name says '{sheet.text['name'][at]}'"
            yield examined.doubt(kind, at, column, "the size that the name says", reason)


def _without_lays(sheet: Sheet, name: str) -> str:
    """A name without wire constructions: the 19 of `1x19` is not a size."""
    return _LAY.sub(" ", name) if any(column in sheet.text for column in _OF_WIRES) else name


def _says_another(name: str, others: Sequence[str]) -> bool:
    """Whether a name contains a size other than those of the row's other columns; a name without sizes contradicts nothing."""
    for text in others:
        if text:
            name = _spelt(text).sub(" ", name, count=1)
    return _SIZE.search(name) is not None


def _in(text: str, name: str) -> bool:
    """Whether a name contains a size, with or without its unit: `3.2 mm` in `over 3.2 up to 5 mm`."""
    return _spelt(text).search(name) is not None


def _spelt(text: str) -> re.Pattern[str]:
    number = text.split(" in")[0].split(" mm")[0]
    return re.compile(rf"(?<![0-9./]){re.escape(number)}(?![0-9./])")


def doubles(examined: Examined) -> Iterator[Doubt]:
    """Doubts for articles with the same dimensions and wires under two SKUs."""
    for kind, sheet in examined.sheets.items():
        if not sheet.table.article or kind in _WITHOUT_SIZES:
            continue
        columns = [column.name for column in sheet.table.columns if column.name not in _LEFT_OUT]
        seen: dict[tuple[object, ...], str] = {}
        for at, (_, values) in enumerate(sheet.rows(columns)):
            sku = sheet.text["sku"][at]
            if values in seen:
                yield examined.doubt(
                    kind, at, "sku", f"one row for what {seen[values]} is as well", f"{sku} and {seen[values]} are alike in every dimension"
                )
            seen.setdefault(values, sku)


def alike_names(examined: Examined) -> Iterator[Doubt]:
    """Names that differ only in spaces, punctuation or capitals, of rows with the same sizes and last day."""
    for kind, sheet in examined.sheets.items():
        if not sheet.table.article or kind == sold_only.KIND:  # told apart by their kind, there
            continue
        sizes = [sheet.values[column] for column in (*SPOKEN, "hand", "operation", "constructions", "until") if column in sheet.values]
        seen: dict[tuple[object, ...], str] = {}
        for at, (sku, name) in enumerate(zip(sheet.text["sku"], sheet.text["name"], strict=True)):
            key = _APART.sub(" ", name.casefold()).strip(), *(values[at] for values in sizes)
            if key in seen:
                yield examined.doubt(
                    kind, at, "name", "a name that tells it from the other", f"{sku} and {seen[key]} have all but the same name"
                )
            seen.setdefault(key, sku)

"""What changed from one issue of a quote to the next: assemblies, lengths, parts and totals, as data and in words.

Pure: two quote documents (document.py) in, plain dictionaries out.
"""

from __future__ import annotations

from collections.abc import Iterator
from typing import Any

Json = dict[str, Any]
LENGTHS = {"measured_length": "measured length", "target_length": "finished length", "cut_length": "cut length"}
PLAIN = {"role": "role", "side": "side", "mast": "mast", "quantity": "quantity", "readiness": "readiness"}
TOTALS = {"tax_exclusive": "before tax", "tax_amount": "tax", "payable": "payable"}
NOTHING = "Nothing changed in assemblies, lengths, parts or totals."


def difference(before: Json, after: Json) -> Json:
    """The difference between two quote documents. Lengths in mm with the text of each issue, money in each issue's currency."""
    assemblies = list(_assemblies(_by_tag(before), _by_tag(after)))
    parts = list(_parts(before, after))
    totals = list(_totals(before, after))
    words = [*_words_of(assemblies), *map(_words_of_part, parts), *map(_words_of_total, totals)]
    return {"words": words or [NOTHING], "assemblies": assemblies, "parts": parts, "totals": totals}


def _by_tag(document: Json) -> dict[str, Json]:
    return {each["tag"]: each for each in document["assemblies"]}


def _assemblies(before: dict[str, Json], after: dict[str, Json]) -> Iterator[Json]:
    for tag in [*before, *(tag for tag in after if tag not in before)]:
        if tag not in after:
            yield {"tag": tag, "change": "removed", "fields": []}
        elif tag not in before:
            yield {"tag": tag, "change": "added", "fields": []}
        elif fields := list(_fields(before[tag], after[tag])):
            yield {"tag": tag, "change": "changed", "fields": fields}


def _fields(before: Json, after: Json) -> Iterator[Json]:
    """The shown fields of an assembly that differ."""
    shown = [(name, word, _plain(before[name]), _plain(after[name])) for name, word in PLAIN.items()]
    shown.append(("wire", "wire", _name(before["wire"]), _name(after["wire"])))
    shown += [(name, word, _length(before[name]), _length(after[name])) for name, word in LENGTHS.items()]
    shown.append(("parts", "parts", _list_of(before), _list_of(after)))
    for name, word, one, other in shown:
        if one != other:
            yield {"name": name, "called": word, "before": one, "after": other}


def _plain(value: Any) -> str | None:
    return None if value is None else str(value)


def _name(wire: Json | None) -> str | None:
    return None if wire is None else str(wire["name"])


def _length(length: Json | None) -> str | None:
    return None if length is None else f"{length['mm']} mm ({length['text']})"


def _list_of(assembly: Json) -> str | None:
    return ", ".join(f"{part['quantity']} x {part['sku']} at {part['at']}" for part in assembly["parts"]) or None


def _parts(before: Json, after: Json) -> Iterator[Json]:
    """Articles of the bill whose quantity differs; a customer's own and a bought one are two."""
    one, other = ({(line["sku"], line["kept"]): line for line in document["bill_of_materials"]} for document in (before, after))
    for key in [*one, *(key for key in other if key not in one)]:
        left, right = one.get(key), other.get(key)
        quantities = [None if line is None else line["quantity"] for line in (left, right)]
        if quantities[0] != quantities[1]:
            line = right or left or {}
            yield {**{name: line[name] for name in ("sku", "name", "unit", "kept")}, "before": quantities[0], "after": quantities[1]}


def _totals(before: Json, after: Json) -> Iterator[Json]:
    for name, word in TOTALS.items():
        one, other = (f"{document['totals'][name]} {document['currency']}" for document in (before, after))
        if one != other:
            yield {"name": name, "called": word, "before": one, "after": other}


def _words_of(assemblies: list[Json]) -> Iterator[str]:
    for each in assemblies:
        if each["change"] != "changed":
            yield f"{each['tag']} is {each['change']}."
        for field in each["fields"]:
            yield f"{each['tag']}: {field['called']} was {field['before'] or 'none'}, is {field['after'] or 'none'}."


def _words_of_part(part: Json) -> str:
    unit = "m" if part["unit"] == "m" else "pieces"
    own = ", the customer's own" if part["kept"] else ""
    return f"{part['name']}{own}: was {part['before'] or 'none'}, is {part['after'] or 'none'} ({unit})."


def _words_of_total(total: Json) -> str:
    return f"{total['called'].capitalize()}: was {total['before']}, is {total['after']}."

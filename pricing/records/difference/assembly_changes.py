"""Changes in the results of an assembly: readiness, lengths, wire, parts, price, findings, and how it is built."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from decimal import Decimal
from typing import Any

from pricing.checks.customer_input import NOTE
from pricing.records.difference.changes import Change, both, choice, code_of, money, what
from pricing.records.difference.figures import differ
from pricing.values import Count, FineLength, Text, Value, compared, phrase
from pricing.values import Length as LengthValue

Json = dict[str, Any]
REPEATED = ("role", "side", "mast", "number", "quantity")
LENGTHS = ("measured_length", "target_length", "cut_length", "free_wire")
FINE = ("uncertainty", "tolerance")
PERSONAL = ("note",)
BUILT = ("identified", "ends", "turnbuckle", "stops", "derivation", "strength", "work")
KNOWN = frozenset({"tag", "readiness", "wire", "parts", "price", "findings", *REPEATED, *LENGTHS, *FINE, *PERSONAL, *BUILT})


def assemblies(before: Json, after: Json) -> Iterator[Change]:
    """Assemblies with the same tag, compared; others were added or removed."""
    old, new = ({each["tag"]: (place, each) for place, each in enumerate(document["assemblies"])} for document in (before, after))
    for tag, (place, _) in old.items():
        if tag not in new:
            yield Change("removed", f"/assemblies/{place}", what("asked.wire"), tag, weighs=True, echo=True)
    for tag, (place, each) in new.items():
        at = f"/assemblies/{place}"
        if tag in old:
            yield from _assembly(*old[tag], each, at, (before["currency"], after["currency"]))
        else:
            yield Change("added", at, what("asked.wire"), tag, weighs=True, echo=True)


def _assembly(place: int, before: Json, after: Json, at: str, currencies: tuple[str, str]) -> Iterator[Change]:
    tag = after["tag"]
    yield from _repeated_request(before, after, at)
    one, other = before["readiness"], after["readiness"]
    if one != other:
        values = both(choice("readiness", one), choice("readiness", other))
        yield Change("other", f"{at}/readiness", what("outcome.readiness"), tag, values, weighs=True)
    yield from _wire(before["wire"], after["wire"], f"{at}/wire", tag)
    for name in (*LENGTHS, *FINE):
        yield from _length(name, before.get(name), after.get(name), f"{at}/{name}", tag, known_before=name in before)
    yield from _parts(before["parts"], after["parts"], f"{at}/parts", tag)
    yield from _price(before, after, f"{at}/price", tag, currencies)
    yield from findings(before["findings"], after["findings"], f"/assemblies/{place}", at, tag)
    for name in after:
        if name in before and (name in BUILT or name not in KNOWN) and differ(before[name], after[name]):
            yield Change("changed", f"{at}/{name}", what(f"outcome.{name}" if name in BUILT else "outcome.else"), tag, quiet=True)


def _price(before: Json, after: Json, at: str, tag: str, currencies: tuple[str, str]) -> Iterator[Change]:
    """A changed price; if the price is the same, a changed share of it for fittings, where both documents give that share."""
    shares = [each.get("price") or {} for each in (before, after)]
    prices = [each.get("net") for each in shares]
    if "price" in before and (prices[0], currencies[0]) != (prices[1], currencies[1]) and prices != [None, None]:
        values = both(*(money(net, currency) for net, currency in zip(prices, currencies, strict=True)))
        yield Change(code_of(*prices, given=False), at, what("outcome.price"), tag, values)
    elif differ(*shares):
        yield Change("changed", f"{at}/fittings", what("outcome.fittings"), tag, quiet=True)


def _repeated_request(before: Json, after: Json, at: str) -> Iterator[Change]:
    """Changes in the parts of the request that the document repeats."""
    tag = after["tag"]
    for name in REPEATED:
        one, other = before.get(name), after.get(name)
        if one != other and name in before:
            values = both(*(_repeated_value(name, each) for each in (one, other)))
            yield Change(code_of(one, other, given=True), f"{at}/{name}", what(f"asked.{name}"), tag, values, weighs=True, echo=True)
    if before.get("note") != after.get("note") and "note" in before:
        yield Change("changed", f"{at}/note", what("asked.note"), tag, echo=True)


def _repeated_value(name: str, value: Any) -> Value | None:
    if value is None:
        return None
    return Count(value) if isinstance(value, int) else choice(name, value)


def _wire(before: Json | None, after: Json | None, at: str, tag: str) -> Iterator[Change]:
    one, other = (None if each is None else each["name"] for each in (before, after))
    if one != other:
        values = both(*(None if each is None else Text(each) for each in (one, other)))
        yield Change(code_of(one, other, given=False), at, what("outcome.wire"), tag, values, weighs=True)
    elif differ(before, after):
        yield Change("changed", at, what("outcome.wire"), tag, quiet=True)


def _length(name: str, before: Json | None, after: Json | None, at: str, tag: str, *, known_before: bool) -> Iterator[Change]:
    """A changed length, compared to its last digit. `known_before`: the earlier document has this member."""
    if not known_before or not differ(before, after):
        return
    one, other = (None if each is None else Decimal(each["mm"]) for each in (before, after))
    quiet, weighs = name == "free_wire" or name in FINE, name in LENGTHS[:3]
    named, code = what(f"outcome.{name}"), code_of(one, other, given=False)
    if one == other:  # the length is the same, but something it is made of changed
        yield Change("changed", at, named, tag, quiet=True)
    elif one is None or other is None:
        values = both(*(None if each is None else LengthValue(each) for each in (one, other)))
        yield Change(code, at, named, tag, values, quiet=quiet, weighs=weighs)
    else:
        values = both(FineLength(one), FineLength(other)) if name in FINE else both(*compared(one, other))
        yield Change(code, at, named, tag, values, quiet=quiet, weighs=weighs)


def _parts(before: list[Json], after: list[Json], at: str, tag: str) -> Iterator[Change]:
    """At each place: parts exchanged one for another, then parts added, removed, or present in a different number."""
    if not differ(before, after):
        return
    any_named = False
    for place in dict.fromkeys(each["at"] for each in (*before, *after)):
        one, other = (_counted(rows, place) for rows in (before, after))
        gone, fresh = ([key for key in these if key not in those] for these, those in ((one, other), (other, one)))
        for old, new in zip(gone, fresh, strict=False):
            any_named = True
            yield Change("exchanged", at, what(*_place(place)), tag, both(Text(old[1]), Text(new[1])), weighs=True)
        rest = [*(("removed", key) for key in gone[len(fresh) :]), *(("added", key) for key in fresh[len(gone) :])]
        for code, key in rest:
            any_named = True
            yield Change(code, at, what(*_place(place), Text(key[1])), tag, weighs=True)
        for key in one:
            if key in other and one[key] != other[key]:
                any_named = True
                values = both(Count(one[key]), Count(other[key]))
                yield Change("other", at, what(*_place(place), Text(key[1])), tag, values, weighs=True)
    if not any_named:
        yield Change("changed", at, what("outcome.parts"), tag, quiet=True)


def _counted(rows: list[Json], place: str) -> Counter[tuple[str, str, bool]]:
    quantities: Counter[tuple[str, str, bool]] = Counter()
    for each in rows:
        if each["at"] == place:
            quantities[each["sku"], each["name"], each["kept"]] += each["quantity"]
    return quantities


def _place(at: str) -> tuple[str | Value, ...]:
    """Where a part is, in words."""
    kind, _, number = at.partition(" ")
    if number.isdecimal():
        return (phrase("asked.stops", n=Count(int(number))),)
    return (choice("part_at", kind),)


def findings(before: list[Json], after: list[Json], below: str, now_below: str, tag: str | None) -> Iterator[Change]:
    """Findings that are new, gone, or have other values. `below` and `now_below` are the pointers under which each document has them."""
    one, other = (_by_place(rows, root) for rows, root in ((before, below), (after, now_below)))
    at = f"{now_below}/findings"
    for key, each in other.items():
        if key[0] == NOTE:
            if key not in one or differ(one[key].get("values"), each.get("values")):
                yield Change("changed", at, what("asked.note"), tag, quiet=True)  # a person's words are not repeated
        elif key not in one:
            yield Change("found", at, what("outcome.new_finding"), tag, _finding(each))
        elif differ(one[key].get("values"), each.get("values")) or differ(one[key]["severity"], each["severity"]):
            yield Change("found", at, what("outcome.other_finding"), tag, _finding(each), quiet=True)
    for key, each in one.items():
        if key not in other and key[0] == NOTE:
            yield Change("changed", at, what("asked.note"), tag, quiet=True)
        elif key not in other:
            yield Change("found", at, what("outcome.gone_finding"), tag, _finding(each))
    if list(one) != list(other) and set(one) == set(other):
        yield Change("changed", at, what("outcome.order_of_findings"), tag, quiet=True)


def _by_place(rows: list[Json], root: str) -> dict[tuple[str, str, str, int], Json]:
    by_key: dict[tuple[str, str, str, int], Json] = {}
    for each in rows:
        key, again = (each["code"], each.get("wording") or "", each["pointer"].removeprefix(root)), 0
        while (*key, again) in by_key:
            again += 1
        by_key[(*key, again)] = each
    return by_key


def _finding(each: Json) -> tuple[tuple[str, Value], ...]:
    return (("finding", Text(each["code"])), ("message", Text(each["message"])))

"""Changes in the results: assemblies, bill, lines, charges, totals and findings of two quote documents."""

from __future__ import annotations

from collections.abc import Callable, Hashable, Iterator, Mapping
from decimal import Decimal
from typing import Any

from pricing.records.difference.assembly_changes import assemblies, findings
from pricing.records.difference.changes import Change, amount_of, both, choice, code_of, money, what
from pricing.records.difference.figures import differ
from pricing.values import Percent, Text, Value, texts

Json = dict[str, Any]
COMPARED_ELSEWHERE = frozenset(
    {
        *("issued_on", "valid_until", "currency", "price_list", "lead_time_days", "seller", "provenance"),  # of another day
        *("id", "number", "revision", "status", "checksum", "supersedes", "difference", "erased_on"),  # of each issue
        "cutting_plan",  # depends on the stock of its day
    }
)
PERSONAL = ("customer", "boat", "note")  # not repeated
REPEATED = ("display_units", "language", "delivery")
TOTALS = ("tax_exclusive", "tax_amount", "payable")  # for people; the others follow from lines and charges


def result_changes(before: Json, after: Json) -> list[Change]:
    """Every changed result; pointers lead into the later document, or into the earlier one for what is gone."""
    changes = [*_repeated_request(before, after), *assemblies(before, after)]
    for compare in PARTS.values():
        changes += compare(before, after)
    known = {*COMPARED_ELSEWHERE, *PERSONAL, *REPEATED, *PARTS, "assemblies"}
    changes += [
        Change("changed", f"/{name}", what("outcome.else"), quiet=True)
        for name in after
        if name not in known and name in before and differ(before[name], after[name])
    ]
    return changes


def _repeated_request(before: Json, after: Json) -> Iterator[Change]:
    """Changes in what a document repeats of its request; used only where the requests themselves cannot be compared."""
    for name in PERSONAL:
        if _given(before[name]) != _given(after[name]):
            yield Change("changed", f"/{name}", what(f"outcome.{name}"), echo=True)
    for name in REPEATED:
        one, other = before.get(name, "en"), after.get(name, "en")  # the first release had one language, and did not say so
        if one != other:
            yield Change("other", f"/{name}", what(f"asked.{name}"), values=both(choice(name, one), choice(name, other)), echo=True)


def _given(members: Any) -> Any:
    """The members that are not null: an earlier release may lack a member that a later one writes as null."""
    return {name: value for name, value in members.items() if value is not None} if isinstance(members, dict) else members


def _left_out(before: Json, after: Json) -> Iterator[Change]:
    one, other = before["left_out"], after["left_out"]
    if one != other:
        values = both(texts(one, "comma") if one else None, texts(other, "comma") if other else None)
        code = code_of(one or None, other or None, given=False)
        yield Change(code, "/left_out", what("outcome.left_out"), values=values, quiet=True)


def _bill(before: Json, after: Json) -> Iterator[Change]:
    """Articles whose quantity differs; the customer's own and a bought one are counted separately."""
    for at, one, other in _pairs(before, after, "bill_of_materials", lambda line: (line["sku"], line["kept"])):
        line = other or one or {}
        values = both(*(None if each is None else amount_of(each["quantity"], each["unit"]) for each in (one, other)))
        named = what(Text(line["name"]), *(["outcome.own"] if line["kept"] else []))
        if one is None or other is None:
            yield Change("joins" if one is None else "leaves", at, named, values=values, weighs=True)
        elif one["quantity"] != other["quantity"]:
            yield Change("other", at, named, values=values, weighs=True)
        elif differ(one, other):
            yield Change("changed", at, named, quiet=True)


def _lines(before: Json, after: Json) -> Iterator[Change]:
    """Changed lines: the net amount, and unit price and discount where they changed. Quantities are compared in the bill."""
    old, new = before["currency"], after["currency"]
    for at, one, other in _pairs(before, after, "lines", lambda line: (line["sku"] or line["name"], line["group"], line["rule"])):
        line = other or one or {}
        named = what("outcome.line", Text(line["name"]))
        values = both(None if one is None else money(one["net"], old), None if other is None else money(other["net"], new))
        if one is None or other is None:
            yield Change("joins" if one is None else "leaves", at, named, values=values, quiet=line["group"] in ("wire", "fitting"))
            continue
        if (one["unit_price"], old) != (other["unit_price"], new):
            prices = both(money(one["unit_price"], old), money(other["unit_price"], new))
            yield Change("other", f"{at}/unit_price", what("outcome.unit_price", Text(line["name"])), values=prices)
        rates = [_discount(each) for each in (one, other)]
        if rates[0] != rates[1]:
            yield Change(
                code_of(*rates, given=False), f"{at}/allowances", what("outcome.discount", Text(line["name"])), values=both(*rates)
            )
        if differ({**one, "id": None}, {**other, "id": None}):  # an added line renumbers those after it
            same = (one["net"], old) == (other["net"], new)
            yield Change("changed" if same else "other", at, named, values=() if same else values, quiet=True)


def _discount(line: Json) -> Value | None:
    percents = [Decimal(each["percent"]) for each in line["allowances"] if each["percent"] is not None]
    return Percent(sum(percents, Decimal(0))) if percents else None


def _charges(before: Json, after: Json) -> Iterator[Change]:
    """Freight and the like."""
    currencies = before["currency"], after["currency"]
    for at, one, other in _pairs(before, after, "charges", lambda charge: charge["rule"]):
        yield from _amount_change(at, one, other, currencies)


def _allowances(before: Json, after: Json) -> Iterator[Change]:
    """Changed document-level allowances; documents of earlier releases have none."""
    currencies = before["currency"], after["currency"]
    both_of = [{"allowances": each.get("allowances", [])} for each in (before, after)]
    for at, one, other in _pairs(
        both_of[0], both_of[1], "allowances", lambda each: (each["rule"], each["tax"]["category"], each["tax"]["rate"])
    ):
        yield from _amount_change(at, one, other, currencies)


def _amount_change(at: str, one: Json | None, other: Json | None, currencies: tuple[str, str]) -> Iterator[Change]:
    """The change of one charge or allowance; of equal amounts in two currencies too."""
    old, new = currencies
    named = what(_charge(other or one or {}))
    values = both(None if one is None else money(one["amount"], old), None if other is None else money(other["amount"], new))
    if one is None or other is None:
        yield Change("joins" if one is None else "leaves", at, named, values=values, weighs=True)
    elif (one["amount"], old) != (other["amount"], new):
        yield Change("other", at, named, values=values, weighs=True)
    elif differ(one, other):
        yield Change("changed", at, named)


def _charge(charge: Json) -> Value:
    name = choice("charge", charge["rule"])
    return Text(charge["reason"]) if isinstance(name, Text) else name


def _totals(before: Json, after: Json) -> Iterator[Change]:
    old, new = before["currency"], after["currency"]
    for name in after["totals"]:
        one, other = before["totals"].get(name), after["totals"][name]
        if (one, old) == (other, new) or name not in before["totals"]:
            continue
        at, named, quiet = f"/totals/{name}", what(f"total.{name}"), name not in TOTALS
        if isinstance(other, list):
            yield Change("changed", at, named, quiet=True)
        elif (one, other) != (None, None):
            values = both(money(one, old), money(other, new))
            yield Change(code_of(one, other, given=False), at, named, values=values, quiet=quiet, weighs=True)


def _findings(before: Json, after: Json) -> Iterator[Change]:
    yield from findings(before["findings"], after["findings"], "", "", None)


def _cautions(before: Json, after: Json) -> Iterator[Change]:
    """Changed cautions; not compared across languages."""
    if before.get("language", "en") == after.get("language", "en") and before.get("cautions") != after.get("cautions"):
        yield Change("changed", "/cautions", what("outcome.cautions"))


def _pairs(before: Json, after: Json, name: str, key: Callable[[Json], Hashable]) -> Iterator[tuple[str, Json | None, Json | None]]:
    """(pointer, earlier row, later row) for rows with the same key; None where one document lacks the row.

    Repeated keys are paired in order. Rows that only the earlier document has come last.
    """
    one, other = (_by_key(document[name], key) for document in (before, after))
    for known, (place, row) in other.items():
        yield f"/{name}/{place}", one[known][1] if known in one else None, row
    for known, (place, row) in one.items():
        if known not in other:
            yield f"/{name}/{place}", row, None


def _by_key(rows: list[Json], key: Callable[[Json], Hashable]) -> Mapping[Hashable, tuple[int, Json]]:
    by_key: dict[Hashable, tuple[int, Json]] = {}
    for place, row in enumerate(rows):
        again = 0
        while (key(row), again) in by_key:
            again += 1
        by_key[key(row), again] = place, row
    return by_key


PARTS: Mapping[str, Callable[[Json, Json], Iterator[Change]]] = {
    "left_out": _left_out,
    "bill_of_materials": _bill,
    "lines": _lines,
    "allowances": _allowances,
    "charges": _charges,
    "totals": _totals,
    "findings": _findings,
    "cautions": _cautions,
}

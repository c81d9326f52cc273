"""Recomputes a stored quote from its request, tables and date, and lists each place where the result differs."""

from __future__ import annotations

from collections.abc import Iterator
from datetime import date
from typing import Any

from pricing.checks.assumptions import ASSUMED
from pricing.document import rendered
from pricing.findings import CODES
from pricing.model.former_names import in_present_names
from service.engine.catalogues import Catalogues
from service.http.bodies import decoded
from service.schemas import read_request
from service.storage import Edition
from service.storage.stored_quotes import StoredIssue

# Fields about the previous issue, the shelf of the day, or an erasure: none of them concerns the assemblies or their price.
NOT_COMPARED = frozenset({"supersedes", "difference", "cutting_plan", "erased_on"})

# Findings of earlier releases about the cutting plan that a quote was issued with.
PLAN_FINDINGS = frozenset({"not-on-the-shelf", "cutting-not-planned"})

# Fields that quotes of earlier releases lack; their absence does not count as a difference.
LATER_FIELDS = frozenset(
    {
        "price",
        "family",
        "attachment",
        "body",
        "note",
        "number",
        "ends",
        "free_wire",
        "code",
        "at",
        "old",
        "values",
        "reader",
        "wording",
        "language",
        "address",
        "telephone",
        "tax_number",
        "delivery_address",
        "external_id",
        "allowances",
        "payment_terms",
        "fittings_priced",
        "fittings",
    }
)

# Text for people, which a release may reword; the codes and figures beside it are compared. So is the `text` of a length, beside its mm.
WORDS = frozenset(
    {"message", "remedy", "step", "formula", "source", "inputs", "largest", "to_shrink", "contributor", "weakest", "cautions"}
)


def recomputed(kept: StoredIssue, catalogues: Catalogues) -> dict[str, Any]:
    """The engine's document for that request, tables and date. Raises NotKept; Problem if the request can no longer be read."""
    day = date.fromisoformat(kept.document["provenance"]["priced_on"])
    engine = catalogues.of(Edition(kept.catalogue_version, kept.price_version))
    return rendered(engine.quote(read_request(decoded(kept.request), engine.price_lists(day)), day))


def differences(stored: dict[str, Any], again: dict[str, Any]) -> Iterator[str]:
    """One line, starting with a JSON Pointer, for each place where the documents differ."""
    yield from _differ(_of_the_tables(in_present_names(stored)), _of_the_tables(again), "")


def _of_the_tables(document: dict[str, Any]) -> dict[str, Any]:
    kept = {name: value for name, value in document.items() if name not in NOT_COMPARED}
    if "provenance" in kept:
        kept["provenance"] = {name: value for name, value in kept["provenance"].items() if name != "engine"}
    if "lines" in kept:
        kept["lines"] = [_line(each) for each in kept["lines"]]
    if "findings" in kept:
        kept["findings"] = [each for each in kept["findings"] if each["code"] not in PLAN_FINDINGS and each["code"] != ASSUMED]
    if "assemblies" in kept:
        kept["assemblies"] = [{**each, "findings": _without_assumptions(each["findings"])} for each in kept["assemblies"]]
    return kept


def _line(line: dict[str, Any]) -> dict[str, Any]:
    """The line, with the current name for a remnant, which earlier releases called a rest."""
    return {**line, "name": line["name"].replace("Rest, ", "Remnant, ", 1)} if line.get("rule") == "remnant" else line


def _without_assumptions(findings: list[dict[str, Any]]) -> list[dict[str, Any]]:
    """Leave out assumptions: earlier releases reported them on each wire, now they are reported once for the boat."""
    return [each for each in findings if each["code"] not in CODES or not CODES[each["code"]].assumption]


def _differ(one: Any, other: Any, at: str) -> Iterator[str]:
    if isinstance(one, dict) and isinstance(other, dict):
        for name in [*one, *(name for name in other if name not in one and name not in LATER_FIELDS)]:
            if name in WORDS or (name == "text" and "mm" in one):
                continue
            yield from _differ(one.get(name), other.get(name), f"{at}/{name}")
    elif isinstance(one, list) and isinstance(other, list) and len(one) == len(other):
        for place, (left, right) in enumerate(zip(one, other, strict=True)):
            yield from _differ(left, right, f"{at}/{place}")
    elif one != other:
        yield f"{at}: was {_short(one)}, comes out {_short(other)}"


def _short(value: Any) -> str:
    text = repr(value)
    return text if len(text) <= 80 else f"{text[:77]}..."

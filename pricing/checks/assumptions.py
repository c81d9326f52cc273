"""Gathers the assumptions shared by all wires of a boat into one note, instead of repeating them at each wire."""

from __future__ import annotations

from functools import cache
from string import Formatter

from pricing.findings import CODES, Finding, code, finding
from pricing.values import Listing, Phrase, Values
from pricing.wording.catalogue import entries

ASSUMED = code("assumed", "note", "The assumptions made alike for every wire, listed by code in its values.")
Found = list[tuple[Finding, ...]]
Assumption = tuple[str, Values]


def gathered(found: Found) -> tuple[Found, list[Finding]]:
    """Each assembly's findings without the assumptions common to all, and one finding that lists the common ones (none if there are none).

    An assembly on hold may stop before an assumption is reached, so it need not share it, unless all are on hold.
    """
    assumptions = [{_assumption(each) for each in findings if CODES[each.code].assumption} for findings in found]
    reached = [each for each, findings in zip(assumptions, found, strict=True) if not any(one.severity == "stop" for one in findings)]
    shared = set.intersection(*(reached or assumptions)) if assumptions else set()
    if not shared:
        return found, []
    left = [tuple([each for each in findings if not (CODES[each.code].assumption and _assumption(each) in shared)]) for findings in found]
    listed = Listing(tuple([Phrase(f"assumption.{key}", values) for key, values in sorted(shared, key=lambda each: each[0])]), "comma")
    return left, [finding(ASSUMED, "/assemblies", assumed=listed)]


def _assumption(found: Finding) -> Assumption:
    """Identifies an assumption by its code, its wording and the values assumed, ignoring how much it matters to a single wire."""
    key = f"{found.code}.{found.wording}" if found.wording else found.code
    names = _short(key)
    return key, tuple([(name, each) for name, each in found.values if name in names])


@cache
def _short(key: str) -> frozenset[str]:
    """The values that the short form of an assumption names."""
    return frozenset([name for _, name, _, _ in Formatter().parse(entries("en")[key]["short"]) if name is not None])

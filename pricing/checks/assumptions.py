"""Gathers the assumptions shared by all wires of a boat into one note, instead of repeating them at each wire."""

from __future__ import annotations

from functools import cache
from string import Formatter

from pricing.findings import CODES, Finding, code, finding
from pricing.values import Listing, Phrase, Values
from pricing.wording.catalogue import entries

ASSUMED = code("assumed", "note", "The assumptions made alike for every wire, listed by code in its values.")
FindingsByAssembly = list[tuple[Finding, ...]]
Assumption = tuple[str, Values]


def gathered(findings_by_assembly: FindingsByAssembly) -> tuple[FindingsByAssembly, list[Finding]]:
    """Each assembly's findings without the assumptions common to all, and one finding that lists the common ones (none if there are none).

    An assembly on hold may stop before an assumption is reached, so it need not share it, unless all are on hold.
    """
    assumptions = [{_assumption(each) for each in findings if CODES[each.code].assumption} for findings in findings_by_assembly]
    reached = [
        each
        for each, findings in zip(assumptions, findings_by_assembly, strict=True)
        if not any(one.severity == "stop" for one in findings)
    ]
    shared = set.intersection(*(reached or assumptions)) if assumptions else set()
    if not shared:
        return findings_by_assembly, []
    left = [
        tuple([each for each in findings if not (CODES[each.code].assumption and _assumption(each) in shared)])
        for findings in findings_by_assembly
    ]
    listed = Listing(tuple([Phrase(f"assumption.{key}", values) for key, values in sorted(shared, key=lambda each: each[0])]), "comma")
    return left, [finding(ASSUMED, "/assemblies", assumed=listed)]


def _assumption(finding: Finding) -> Assumption:
    """Identifies an assumption by its code, its wording and the values assumed, ignoring how much it matters to a single wire."""
    key = f"{finding.code}.{finding.wording}" if finding.wording else finding.code
    names = _short(key)
    return key, tuple([(name, each) for name, each in finding.values if name in names])


@cache
def _short(key: str) -> frozenset[str]:
    """The values that the short form of an assumption names."""
    return frozenset([name for _, name, _, _ in Formatter().parse(entries("en")[key]["short"]) if name is not None])

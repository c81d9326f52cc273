"""How far the reading ran at each end: which of the old turnbuckle and links it included, and the questions that arise.

A reading ends at one point: members inside it are included, members beyond it are not. So the included links are always the innermost ones.
"""

from __future__ import annotations

from typing import TYPE_CHECKING, NamedTuple

from pricing.findings import Finding, code, finding
from pricing.values import Phrase, phrase

if TYPE_CHECKING:
    from pricing.measurement.assembly import Assembly, Link

INCLUDED_MISSING = code("includes-turnbuckle-missing", "stop", "It was not stated whether the reading included the turnbuckle.")
LINKS_MISSING = code("includes-links-missing", "stop", "It was not stated whether the reading included the links.")
TURNBUCKLE_UNKNOWN = code("turnbuckle-not-described", "stop", "The reading included a turnbuckle that was not described.")
LINKS_UNKNOWN = code("links-not-described", "ask", "The reading is stated to include links, but none was described.")
LINK_NOT_THERE = code("link-not-in-reading", "ask", "The reading is stated to include a link that it cannot have included.")
LINK_ASSUMED = code(
    "link-change-assumed",
    "note",
    "It was not stated what happens to an old link; it was assumed to be replaced, like for like.",
    assumption=True,
)
OLD_LENGTH_MISSING = code(
    "old-link-length-missing", "ask", "A link outside the reading is replaced, and the old one's length was not given."
)


class ReadingExtent(NamedTuple):
    """How far the reading ran at one end: whether past the turnbuckle (True if there is none), and over how many of the old links."""

    turnbuckle: bool
    links: int


FULL_EXTENT = ReadingExtent(True, 0)  # an end without links, with any turnbuckle included


def old_links(assembly: Assembly, end: str) -> tuple[tuple[int, Link], ...]:
    """The links of the old rig at this end, each with its index in the request."""
    links = assembly.upper.links if end == "upper" else assembly.lower.links
    return tuple((place, link) for place, link in enumerate(links) if link.change != "added")


def reading_extent(assembly: Assembly, end: str) -> ReadingExtent:
    """How far the reading ran at this end. What was not stated counts as not included; `questions_on_what_was_included` asks about it."""
    measured, turnbuckle = assembly.measurement, assembly.turnbuckle
    if turnbuckle is not None and turnbuckle.at == end and measured.includes_turnbuckle is False:
        return ReadingExtent(False, 0)
    if not (assembly.upper if end == "upper" else assembly.lower).links:
        return FULL_EXTENT
    in_reading = [_is_in_reading(assembly, link) for _, link in old_links(assembly, end)]
    return ReadingExtent(True, max((place + 1 for place, taken in enumerate(in_reading) if taken), default=0))


def _is_in_reading(assembly: Assembly, link: Link) -> bool | None:
    return assembly.measurement.includes_links if link.in_reading is None else link.in_reading


def questions_on_what_was_included(assembly: Assembly) -> tuple[Finding, ...]:
    """Findings for missing or contradictory statements on whether the reading included the turnbuckle and the links."""
    if not (assembly.upper.links or assembly.lower.links or assembly.measurement.includes_links):
        return _turnbuckle(assembly)
    return (*_turnbuckle(assembly), *_links(assembly), *(each for end in ("upper", "lower") for each in _impossible_links(assembly, end)))


def _turnbuckle(assembly: Assembly) -> tuple[Finding, ...]:
    included = assembly.measurement.includes_turnbuckle
    if assembly.turnbuckle is not None and included is None:
        return (finding(INCLUDED_MISSING, "measurement"),)
    if assembly.turnbuckle is None and included:
        return (finding(TURNBUCKLE_UNKNOWN, "measurement/includes_turnbuckle"),)
    return ()


def _links(assembly: Assembly) -> tuple[Finding, ...]:
    old = [link for end in ("upper", "lower") for _, link in old_links(assembly, end)]
    if assembly.measurement.includes_links and not old:
        return (finding(LINKS_UNKNOWN, "measurement/includes_links"),)
    if any(extent_unknown(assembly, end) for end in ("upper", "lower")):
        return (finding(LINKS_MISSING, "measurement"),)
    return _contradictions(assembly.measurement.includes_links, [link.in_reading for link in old])


def _contradictions(all_in: bool | None, each_in: list[bool | None]) -> tuple[Finding, ...]:
    """Contradictions between `includes_links` and the links' own `in_reading`, which takes precedence."""
    if all_in is False and True in each_in:
        return (finding(LINK_NOT_THERE, "measurement/includes_links", "none_yet_one"),)
    if all_in and each_in and all(taken_in is False for taken_in in each_in):
        return (finding(LINK_NOT_THERE, "measurement/includes_links", "all_yet_none"),)
    return ()


def extent_unknown(assembly: Assembly, end: str) -> bool:
    """Whether it is unknown how far the reading ran. Members beyond an excluded one are excluded as well, stated or not."""
    if not reading_extent(assembly, end).turnbuckle:
        return False
    in_reading = [_is_in_reading(assembly, link) for _, link in old_links(assembly, end)]
    return None in in_reading[: in_reading.index(False)] if False in in_reading else None in in_reading


def _impossible_links(assembly: Assembly, end: str) -> list[Finding]:
    links = assembly.upper.links if end == "upper" else assembly.lower.links
    not_there = [_not_there(f"{end}/links/{place}", link, assembly, end) for place, link in enumerate(links)]
    return [each for each in (*not_there, *_gaps(assembly, end)) if each is not None]


def _not_there(at: str, link: Link, assembly: Assembly, end: str) -> Finding | None:
    if not link.in_reading:
        return None
    if link.change == "added":
        return finding(LINK_NOT_THERE, f"{at}/in_reading", "added", link=_named(link))
    if not reading_extent(assembly, end).turnbuckle:
        return finding(LINK_NOT_THERE, f"{at}/in_reading", "beyond", link=_named(link))
    return None


def _gaps(assembly: Assembly, end: str) -> list[Finding]:
    """Findings for inner links stated to be outside a reading that includes a link beyond them."""
    links_read = reading_extent(assembly, end).links
    out = [(place, link) for place, link in old_links(assembly, end)[:links_read] if _is_in_reading(assembly, link) is False]
    return [finding(LINK_NOT_THERE, f"{end}/links/{place}/in_reading", "gap", link=_named(link)) for place, link in out]


def replaced_unmeasured(assembly: Assembly, end: str) -> list[Finding]:
    """Findings for replaced old links: inside the reading their length cancels (a note if assumed); outside it counts in full, so it is asked for."""
    links_read = reading_extent(assembly, end).links
    findings = []
    for count, (place, link) in enumerate(old_links(assembly, end)):
        assumed = link.change is None and not link.reuse
        at = f"{end}/links/{place}"
        if count < links_read and assumed:
            findings.append(finding(LINK_ASSUMED, at, link=_named(link)))
        elif count >= links_read and (assumed or link.change in ("replaced", "left_away")) and link.old_length is None:
            findings.append(finding(OLD_LENGTH_MISSING, at, "left_away" if link.change == "left_away" else "replaced", link=_named(link)))
    return findings


def _named(link: Link) -> Phrase:
    return phrase(f"link.{link.kind}")

"""What of the drawing is asked for now, by a place in the request: the whole length, a length on a part, or a part."""

from __future__ import annotations

from collections.abc import Sequence
from typing import TypeAlias

from .parts import Chain, Part

Span: TypeAlias = tuple[float, float]  # mm from the end's outermost bearing
_TOTAL = tuple(f"/measurement/{each}" for each in ("readings", "upper_datum", "lower_datum", "includes_turnbuckle", "includes_links"))


def total_asked(asked: str) -> bool:
    """Whether it is about the length from end to end."""
    return asked == "/measurement" or asked.endswith("/in_reading") or any(_within(asked, each) for each in _TOTAL)


def asked_parts(asked: str, parts: Sequence[Part]) -> list[int]:
    """The parts asked about: all that stand for the place or for one within it, else the nearest one around it."""
    if not asked or total_asked(asked):
        return []
    inside = [place for place, part in enumerate(parts) if any(_within(each, asked) for each in part.about)]
    around = [(max(len(each) for each in near), place) for place, part in enumerate(parts) if (near := _around(asked, part))]
    return inside or ([max(around)[1]] if around else [])


def span_asked(asked: str, chain: Chain) -> list[Span]:
    """The lengths of this end's parts that are asked for."""
    found = []
    for part in chain.parts:
        member = part.member
        if member is None:
            continue
        if member.kind == "thread" and asked and any(_within(each, asked) for each in part.about) and asked != "/turnbuckle":
            found.append((member.start, member.end))
        elif asked in (f"{part.about[0]}/dimensions/length", f"{part.about[0]}/old_length"):
            found.append((member.start, member.start + member.sizes.get("whole", member.length)))
        elif asked.startswith(("/turnbuckle/dimensions/", "/turnbuckle/old/")) and asked in part.about:
            found.append((chain.last_thread, member.start) if member.sizes.get("neck") else (member.start, member.end))
    return found


def _around(asked: str, part: Part) -> list[str]:
    return [each for each in part.about if _within(asked, each)]


def _within(inner: str, outer: str) -> bool:
    return inner == outer or inner.startswith(f"{outer}/")

"""Which parts are shipped with an assembly: all new ones, and those kept parts that were sent in to the shop."""

from __future__ import annotations

from typing import TYPE_CHECKING

from pricing.fittings.own import OWN

if TYPE_CHECKING:
    from pricing.catalogue import Catalogue
    from pricing.fittings.base import Part
    from pricing.measurement.assembly import Assembly, End


def travels(parts: tuple[Part, ...], assembly: Assembly, catalogue: Catalogue) -> tuple[Part, ...]:
    """The parts that count towards the weight.

    A kept pin is shipped if anything kept at its end was sent in; of several links at an end, each counts on its own.
    """
    if not any(part.kept for part in parts):
        return parts
    link_skus = {row.sku for row in catalogue.with_discontinued.tables.links}
    ends = {"upper": assembly.upper, "lower": assembly.lower}
    links = {name: iter([link for link in end.links if link.reuse]) for name, end in ends.items()}
    missing: list[Part] = []
    for part in parts:
        if not part.kept:
            sent = True
        elif part.at == "turnbuckle":
            sent = _turnbuckle_sent(assembly)
        elif part.at not in ends:
            sent = False
        elif part.family is not None:
            sent = ends[part.at].sent_in is True
        elif part.sku.removeprefix(f"{OWN}-") in link_skus and (link := next(links[part.at], None)) is not None:
            sent = link.sent_in is True
        else:
            sent = _anything_sent(part.at, ends[part.at], assembly)
        if sent:
            missing.append(part)
    return tuple(missing)


def _turnbuckle_sent(assembly: Assembly) -> bool:
    return assembly.turnbuckle is not None and assembly.turnbuckle.sent_in is True


def _anything_sent(name: str, end: End, assembly: Assembly) -> bool:
    there = assembly.turnbuckle is not None and assembly.turnbuckle.at == name
    return end.sent_in is True or any(link.sent_in for link in end.links) or (there and _turnbuckle_sent(assembly))

"""Groups assemblies by role and mast, comparing port with starboard if there is exactly one of each."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

import msgspec

from pricing.model import Length, QuotedAssembly
from service.documents.rig import words
from service.documents.speech import Speech

NOT_PAIRED = "%(port)s to port and %(starboard)s to starboard: not compared, since it is not known which belong together."


@dataclass(frozen=True, slots=True)
class Group:
    """One role (for verticals and diagonals, one number) on one mast, port before starboard, otherwise in the order of the request."""

    name: str
    rows: tuple[QuotedAssembly, ...]

    @property
    def pair(self) -> tuple[QuotedAssembly, QuotedAssembly] | None:
        """Port and starboard, if there is exactly one of each."""
        port, starboard = (self.on(side) for side in ("port", "starboard"))
        return (port[0], starboard[0]) if len(port) == len(starboard) == 1 else None

    def on(self, side: str) -> list[QuotedAssembly]:
        """The assemblies on one side."""
        return [row for row in self.rows if row.side == side]


def groups(assemblies: Sequence[QuotedAssembly], speech: Speech) -> list[Group]:
    """All groups, ordered by their first assembly in the request."""
    found: dict[tuple[str, str, int | None], list[QuotedAssembly]] = {}
    for assembly in assemblies:
        found.setdefault((assembly.role, assembly.mast, assembly.number), []).append(assembly)
    order = {"port": 0, "starboard": 1}
    return [
        Group(
            words.role(msgspec.structs.replace(rows[0], side=None), speech),
            tuple(sorted(rows, key=lambda row: order.get(row.side or "", 2))),
        )
        for rows in found.values()
    ]


def difference(group: Group, speech: Speech) -> str:
    """Port compared with starboard, as text; empty if the group has no sides."""
    port, starboard = group.on("port"), group.on("starboard")
    if not port and not starboard:
        return ""
    if group.pair is None:
        if port and starboard:
            return speech.say(NOT_PAIRED, port=len(port), starboard=len(starboard))
        return speech.say("The starboard one is not in this quote." if port else "The port one is not in this quote.")
    compared = [
        _compared(name, one, other, speech) for (name, one), (_, other) in zip(*(_lengths(each) for each in group.pair), strict=True)
    ]
    words_of_all = "; ".join(part for part in compared if part)
    return speech.say("Port against starboard: %(said)s.", said=words_of_all or speech.say("not known, since one has no lengths"))


def _lengths(assembly: QuotedAssembly) -> tuple[tuple[str, Length | None], ...]:
    return ("finished", assembly.target_length), ("cut", assembly.cut_length), ("measured", assembly.measured_length)


def _compared(name: str, port: Length | None, starboard: Length | None, speech: Speech) -> str:
    if not port or not starboard:
        return ""
    named, more = speech.say(name), port.mm - starboard.mm
    if not more:
        return speech.say("%(name)s equal", name=named)
    inches = words.figure(abs(more), speech, "imperial")
    mm = words.figure(abs(more), speech, "metric")
    figure = f"{inches} ({mm})" if speech.units == "imperial" and not inches.startswith("0 ") else mm
    message = "%(name)s, port longer by %(length)s" if more > 0 else "%(name)s, starboard longer by %(length)s"
    return speech.say(message, name=named, length=figure)


def shown_length(assembly: QuotedAssembly) -> tuple[str, Length] | None:
    """The length to which a bar is drawn, with its name: finished, otherwise cut, otherwise measured."""
    return next(((name, length) for name, length in _lengths(assembly) if length), None)


def lengths(assembly: QuotedAssembly, speech: Speech) -> list[tuple[str, str]]:
    """Every known length, with its name (English) and its text."""
    return [(name, speech.local(length.text)) for name, length in _lengths(assembly) if length]

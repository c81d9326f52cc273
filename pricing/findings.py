"""Findings: what the engine assumed, questions or cannot build. Each code is listed once in CODES with its severity and explanation.

A finding is data: a code, a place and named values. Its text is in the catalogue of `pricing/wording`, by language and reader.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import TYPE_CHECKING, Literal, NamedTuple

from pricing.model import QuotedFinding
from pricing.values import Value, Values, values_document, values_read

if TYPE_CHECKING:
    from pricing.wording import Voice, WordedFinding

Severity = Literal["stop", "ask", "note"]
Reader = Literal["owner", "shop"]


@dataclass(frozen=True, slots=True)
class Code:
    """A stable code, its severity, and an explanation for programmers who look it up.

    `reader` is who can act on it: the owner (and the shop too), or only the shop. `assumption` means that findings with this code are
    gathered into one note if all wires share them.
    """

    code: str
    severity: Severity
    meaning: str
    reader: Reader = "owner"
    assumption: bool = False


class Finding(NamedTuple):
    """One finding at one place: a JSON Pointer to its cause in the request, and the values that fill its text.

    `wording` selects one of several texts for the same code.
    """

    code: str
    severity: Severity
    pointer: str
    values: Values = ()
    wording: str = ""

    def under(self, root: str) -> Finding:
        """The same finding with an absolute pointer; one that begins with a slash is already absolute."""
        return self if self.pointer.startswith("/") else self._replace(pointer=root + self.pointer)

    def quoted(self, voice: Voice) -> QuotedFinding:
        """The finding as it appears in the quote, worded by `voice`."""
        worded = voice.finding(self)
        return QuotedFinding(
            code=self.code,
            severity=self.severity,
            reader=CODES[self.code].reader,
            pointer=self.pointer,
            wording=self.wording or None,
            values=values_document(self.values),
            message=worded.message,
            remedy=worded.remedy,
        )


def retold(quoted: QuotedFinding, voice: Voice) -> WordedFinding | None:
    """A stored finding reworded by `voice`; None if it was stored before findings were data, or if its text no longer exists."""
    if quoted.values is None:
        return None
    try:
        return voice.finding(Finding(quoted.code, quoted.severity, quoted.pointer, values_read(quoted.values), quoted.wording or ""))
    except KeyError:
        return None


CODES: dict[str, Code] = {}


def code(name: str, severity: Severity, meaning: str, reader: Reader = "owner", *, assumption: bool = False) -> str:
    """Register a code; registering it twice is a programming error."""
    if name in CODES:
        raise RuntimeError(f"finding code {name!r} is registered twice")
    CODES[name] = Code(name, severity, meaning, reader, assumption)
    return name


def finding(name: str, pointer: str, wording: str = "", /, **values: Value) -> Finding:
    """A finding with its code's severity; `values` fill its text."""
    return Finding(name, CODES[name].severity, pointer, tuple(values.items()), wording)

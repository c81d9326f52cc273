"""Findings: what the engine assumed, doubts or cannot build. Each code stands once in CODES with its severity and explanation."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal, NamedTuple

Severity = Literal["stop", "ask", "note"]


@dataclass(frozen=True, slots=True)
class Code:
    """A stable code, how severe it is, and what it means for someone who looks it up."""

    code: str
    severity: Severity
    meaning: str


class Finding(NamedTuple):
    """One finding at one place: JSON Pointer of its cause, what was seen, and the remedy in one sentence."""

    code: str
    severity: Severity
    pointer: str
    message: str
    remedy: str

    def under(self, root: str) -> Finding:
        """The same finding with its relative pointer made whole."""
        return Finding(self.code, self.severity, root + self.pointer, self.message, self.remedy)

    def document(self) -> dict[str, str]:
        """As it stands in the quote."""
        return {
            "code": self.code,
            "severity": self.severity,
            "pointer": self.pointer,
            "message": self.message,
            "remedy": self.remedy,
        }


CODES: dict[str, Code] = {}


def code(name: str, severity: Severity, meaning: str) -> str:
    """Register a code once; a second registration is a mistake in the program."""
    if name in CODES:
        raise RuntimeError(f"finding code {name!r} is registered twice")
    CODES[name] = Code(name, severity, meaning)
    return name


def finding(name: str, pointer: str, message: str, remedy: str) -> Finding:
    """A finding with the severity its code has."""
    return Finding(name, CODES[name].severity, pointer, message, remedy)

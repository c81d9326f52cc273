"""What each finding means, in the languages that the engine does not speak: its own sentences, with the figures, are English."""

from __future__ import annotations

from functools import cache

from pricing.findings import CODES
from service.documents.quotation.speech import Speech


@cache
def explained(language: str) -> dict[str, dict[str, str]]:
    """`meaning` and `remedy` by code, as the quotation says them; empty in English. Not to be changed."""
    speech = Speech(language, "metric")
    return {code: {"meaning": said[0], "remedy": said[1]} for code in sorted(CODES) if (said := speech.finding(code))}

"""What changed between two issues of a quote: the causes, asked otherwise or of another day, and what comes out otherwise.

Pure: two quote documents and what was asked for each in, plain dictionaries out. Each change is data, a code with a place and values, and
a sentence in the language and units of the later issue. Nothing that differs is left out but the cutting plan, which depends on the stock
of its day. What a person wrote about themselves is not repeated: that it changed is said, and both issues have it.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from pricing.measurement.assembly import QuoteRequest
from pricing.records.difference.asked import asked_otherwise
from pricing.records.difference.changes import Change, what
from pricing.records.difference.given import Given, given
from pricing.records.difference.head import of_another_day
from pricing.records.difference.outcome import comes_out_otherwise
from pricing.values import Phrase
from pricing.wording import Voice, voice_for

__all__ = ["SAME_REQUEST", "Given", "Requests", "difference", "given", "same_result"]

Json = dict[str, Any]
NOTHING = "change.nothing"


class Requests(NamedTuple):
    """What was asked for two issues; `before` is None if it can no longer be read."""

    before: QuoteRequest | None
    after: QuoteRequest | None


SAME_REQUEST = Requests(None, None)


def difference(before: Json, after: Json, requests: Requests = SAME_REQUEST, voice: Voice | None = None) -> Json:
    """The difference between two quote documents, and between the requests they were made from; said by `voice`, else as the later issue
    speaks to its owner.
    """
    voice = voice or voice_for(after.get("language", "en"), after["display_units"], "owner")
    causes = [*_asked(requests), *of_another_day(before, after)]
    effects = _not_said(comes_out_otherwise(before, after), {each.pointer for each in causes})
    words = [each.sentence(voice) for each in (*causes, *effects) if not each.quiet]
    return {
        "words": words or [voice.phrase(Phrase(NOTHING))],
        "causes": [each.document(voice) for each in causes],
        "effects": [each.document(voice) for each in effects],
    }


def same_result(before: Json, after: Json) -> bool:
    """Whether assemblies, lengths, parts and totals are alike, whatever else changed: then nobody needs another issue."""
    return not any(each.weighs for each in comes_out_otherwise(before, after))


def _asked(requests: Requests) -> list[Change]:
    before, after = requests
    if after is None:
        return []
    if before is None:
        return [Change("unreadable", "", what("asked.request"))]
    return list(asked_otherwise(before, after))


def _not_said(effects: list[Change], causes: set[str]) -> list[Change]:
    """Without what a cause says at the same place: a role that is asked otherwise comes out otherwise."""
    return [each for each in effects if not (each.echo and each.pointer in causes)]

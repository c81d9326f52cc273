"""What changed between two issues of a quote: the causes (a changed request, another day) and their effects on the result.

Pure: takes two quote documents and their requests, returns plain dictionaries. Each change is data (a code, a JSON Pointer and values) with
a sentence in the language and units of the later issue. Every difference is listed except in the cutting plan, which depends on the day's
stock. Personal data is not repeated: the change is named, and the values stay in the two issues.
"""

from __future__ import annotations

from typing import Any, NamedTuple

from pricing.measurement.assembly import QuoteRequest
from pricing.records.difference.changes import Change, what
from pricing.records.difference.dated_changes import dated_changes
from pricing.records.difference.request_changes import request_changes
from pricing.records.difference.request_fields import Given, given
from pricing.records.difference.result_changes import result_changes
from pricing.values import Phrase
from pricing.wording import Voice, voice_for

__all__ = ["SAME_REQUEST", "Given", "Requests", "difference", "given", "same_result"]

Json = dict[str, Any]
NOTHING = "change.nothing"


class Requests(NamedTuple):
    """The requests of two issues; None for one that cannot be parsed any more, or is not to be compared."""

    before: QuoteRequest | None
    after: QuoteRequest | None


SAME_REQUEST = Requests(None, None)


def difference(before: Json, after: Json, requests: Requests = SAME_REQUEST, voice: Voice | None = None) -> Json:
    """The difference between two quote documents and between the requests behind them, worded by `voice`.

    Returns `words` (sentences for people), `causes` and `effects`. Without a `voice`, words are in the later issue's language and units, for
    its owner.
    """
    voice = voice or voice_for(after.get("language", "en"), after["display_units"], "owner")
    causes = [*_request_changes(requests), *dated_changes(before, after)]
    effects = _not_caused(result_changes(before, after), {each.pointer for each in causes})
    words = [each.sentence(voice) for each in (*causes, *effects) if not each.quiet]
    return {
        "words": words or [voice.phrase(Phrase(NOTHING))],
        "causes": [each.document(voice) for each in causes],
        "effects": [each.document(voice) for each in effects],
    }


def same_result(before: Json, after: Json) -> bool:
    """Whether assemblies, lengths, parts and totals are unchanged, so that no new issue is needed."""
    return not any(each.weighs for each in result_changes(before, after))


def _request_changes(requests: Requests) -> list[Change]:
    before, after = requests
    if after is None:
        return []
    if before is None:
        return [Change("unreadable", "", what("asked.request"))]
    return list(request_changes(before, after))


def _not_caused(effects: list[Change], causes: set[str]) -> list[Change]:
    """The effects, less those that only echo a cause at the same place, such as a role changed in the request."""
    return [each for each in effects if not (each.echo and each.pointer in causes)]

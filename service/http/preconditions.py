"""`If-Match`: a step is only taken if the quote is still in the state that the caller has read (RFC 9110, 13.1.1; 428 from RFC 6585)."""

from __future__ import annotations

import re

from flask import request

from service.credentials.keys import LINKS
from service.encoding.languages import LANGUAGES
from service.http.caller import caller
from service.http.entity_tags import tags_in
from service.http.problems import Problem, header_fault
from service.http.responses import CODED, SUMMARISED
from service.storage import Stored


def require_match() -> None:
    """Raises Problem: 428 if If-Match is missing, or is `*` from a customer's link; 400 if it contains no entity tags.

    `*` matches any state (RFC 9110, 13.1.1). A shop's program may have its reasons for that, but a customer accepts one particular
    state of the quote, and `*` does not show that they have read it.
    """
    _judge_written()
    who = caller()
    names_none = request.if_match.star_tag and who is not None and who.kind in LINKS
    if names_none or not request.headers.get("If-Match", "").strip():
        words = "Read the quote, then send its ETag in If-Match: only a state that has been read can be accepted."
        raise Problem(428, words, [header_fault("If-Match", "precondition_required", words)])


def judge_match(stored: Stored) -> None:
    """Raises Problem: 412 if If-Match is present and names another state of the quote, 400 if it contains no entity tags."""
    _judge_written()
    seen = request.if_match
    if request.headers.get("If-Match", "").strip() and not (seen.star_tag or any(is_of(each, stored) for each in seen)):
        code, words = _why(list(seen), stored)
        raise Problem(412, words, [header_fault("If-Match", code, words)], {"ETag": f'"{stored.etag}"'})


def _judge_written() -> None:
    """Raises Problem (400) unless the header is `*` or entity tags with commas between them, each in quotation marks (RFC 9110, 8.8.3)."""
    written = request.headers.get("If-Match", "").strip()
    if written in ("", "*") or tags_in(written) is not None:
        return
    bare = written.strip('"')
    example = f'"{bare}"' if _OPAQUE.fullmatch(bare) else '"0f3a-1"'
    words = f"If-Match takes an ETag exactly as it was received, with its quotation marks, or * for any state: write If-Match: {example}"
    raise Problem(400, words, [header_fault("If-Match", "not_an_etag", words)])


_OPAQUE = re.compile(r"[\x21\x23-\x2B\x2D-\x7E]{1,200}")


def _why(seen: list[str], stored: Stored) -> tuple[str, str]:
    if any(each.startswith(stored.etag) for each in seen):
        return _another_document()
    checksum = stored.etag.partition("-")[0]  # the same in all states of the quote (`Stored.etag`)
    return _changed(stored) if any(each.startswith(checksum) for each in seen) else _another_quote()


def _another_quote() -> tuple[str, str]:
    words = "The ETag in If-Match is not one of this quote's: it belongs to another quote, is truncated, or dates from before the customer was erased. Read this quote, and send the ETag you receive with it."
    return "etag_of_another_quote", words


def _changed(stored: Stored) -> tuple[str, str]:
    words = f"The quote has changed since you read it: it is now {stored.status}. Read it again, and send its current ETag in If-Match."
    return "changed_since_read", words


def _another_document() -> tuple[str, str]:
    words = "The ETag in If-Match belongs to another document of this quote, such as its bench sheet or a drawing: send the ETag of the quote's JSON, or of its quotation as a page or PDF."
    return "etag_of_another_document", words


def is_of(tag: str, stored: Stored) -> bool:
    """Whether an entity tag belongs to the quote's current state, in one of the forms that a customer reads: the full or summarised JSON, the
    page, or the PDF. Pages and PDFs made by another release, or with other settings, count as showing the same state.
    """
    rest = tag.removeprefix(stored.etag)
    return tag.startswith(stored.etag) and (rest.removesuffix(CODED) in ("", SUMMARISED) or _OF_QUOTATION.fullmatch(rest) is not None)


# what `state_of_quotation` (service/formats/quote.py) appends to the quote's own tag: language, form and release. The language comes first, so
# that the tag of another state, which may begin with this one, does not match
_OF_QUOTATION = re.compile(rf"-(?:{'|'.join(LANGUAGES)})-[A-Za-z0-9-]+-(?:html|pdf)-[0-9a-f]{{16}}(?:{CODED})?", re.ASCII)

"""The formats of a cutting plan: JSON, a drawing, the bench list, and the paper to be ticked off."""

from __future__ import annotations

from collections.abc import Callable, Mapping

from flask import Response

from service.computing.asking import made_of
from service.documents.cutting_plan.bench_list import bench_list
from service.documents.cutting_plan.paper import paper
from service.documents.cutting_plan.svg import drawing
from service.formats.release import made_by
from service.formats.replies import PDF, disposition
from service.http.current import shelves
from service.http.languages import requested_language
from service.http.responses import JSON, chosen, reply_tagged, unchanged
from service.storage import StoredPlan
from service.storage.shelves import Movement

FORMATS = {"json": JSON, "svg": "image/svg+xml", "csv": "text/csv", "pdf": PDF.media}


def plan_language(usual: Callable[[], str] | None = None) -> str:
    """The language of a plan's papers: the requested one, otherwise the usual one. Raises Problem (422)."""
    return requested_language("the cutting plan", usual)


def in_form(
    stored: StoredPlan,
    answer: Callable[[bytes, str, Mapping[str, str]], Response] | None = None,
    usual: Callable[[], str] | None = None,
) -> Response:
    """The plan in the format the request prefers; 304 if the client already has it. `answer` builds a response other than 200.

    `usual`: the language of a paper if the request names none. The JSON is the plan as it was stored, in every language.
    """
    media = chosen(FORMATS)
    if media == JSON:
        etag, headers, make = f"{stored.etag}-json", {"Vary": "Accept"}, stored.body
    else:
        language, taken = plan_language(usual), shelves().take_of(stored.id)
        kind = media.rpartition("/")[2].partition("+")[0]
        etag = "-".join([stored.etag, kind, language, made_by(), *([taken.id[-12:]] if taken else [])])
        headers = {"Vary": "Accept, Accept-Language", "Content-Language": language}
        if media == PDF.media:
            headers["Content-Disposition"] = disposition(PDF, f"cutting-plan-{stored.parsed()['day']}-{language}")

        def make() -> bytes:
            return _made(stored, media, language, tags_of(taken))

    if answer is not None:
        return answer(make(), media, {**headers, "ETag": f'"{etag}"'})
    return unchanged(etag) or reply_tagged(make(), etag, media, headers)


def _made(stored: StoredPlan, media: str, language: str, tags: Mapping[str, str]) -> bytes:
    """A paper of the plan. The bench list has no tags: programs match it with the plan."""
    if media == "text/csv":
        return made_of(stored, bench_list, stored.parsed(), language)
    return made_of(stored, paper if media == PDF.media else drawing, stored.parsed(), language, tags)


def tags_of(taken: Movement | None) -> dict[str, str]:
    """The tag of each remnant that was kept when the plan was taken."""
    return {each["remnant_id"]: each["tag"] for each in taken.parsed()["kept_as"]} if taken else {}

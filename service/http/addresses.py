"""Suggestions for a URL that matches no route: the endpoint that was probably meant, or the part of the path that is not an id."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from pricing.nearest import nearest

MOST_PARTS, MOST_LENGTH = 8, 200  # no path of this service is longer
_VARIABLE = re.compile(r"<(?:(\w+):)?(\w+)>")
_ID = re.compile(r"[0-9A-Fa-f]{8}(?:-[0-9A-Fa-f]{4}){3}-[0-9A-Fa-f]{12}", re.ASCII)
_EXAMPLE = "01a21202-0dfc-7812-9843-0e6a6544d0d4"
# for each id in a path: the parameter's name in openapi.yaml, the problem type, and which endpoint lists the ids
_IDS = {
    "quote_id": ("id", "unknown_quote", "`GET /v1/quotes` lists them"),
    "batch_id": ("id", "unknown_batch", "`GET /v1/batches` lists them"),
    "plan_id": ("id", "unknown_plan", "`GET /v1/cutting-plans` lists them"),
    "settlement_id": ("settlement", "unknown_settlement", "`GET /v1/quotes/{id}/settlements` lists the quote's settlements"),
    "question_id": ("question", "unknown_question", "`GET /v1/quotes/{id}/questions` lists the quote's questions"),
}


class NoId(NamedTuple):
    """A path segment that should be an id but is not: the parameter's name, the problem type, and the problem's detail."""

    parameter: str
    code: str
    detail: str


def no_id(path: str, rules: Iterable[str]) -> NoId | None:
    """The first segment that keeps `path` from matching one of `rules` because it is not an id; None if there is no such segment."""
    for parts, rule in _of_equal_length(path, rules):
        kinds = [_VARIABLE.fullmatch(each) for each in rule]
        if not all(kind or given == known for given, known, kind in zip(parts, rule, kinds, strict=True)):
            continue
        wrong = ((given, kind) for given, kind in zip(parts, kinds, strict=True) if kind and kind[1] == "uuid" and not _ID.fullmatch(given))
        given, kind = next(wrong, ("", None))
        if kind and kind[2] in _IDS:
            parameter, code, where = _IDS[kind[2]]
            return NoId(parameter, code, f"{given[:60]!r} is not an id. An id is a UUID, such as {_EXAMPLE}: {where}.")
    return None


def alike(path: str, rules: Sequence[str]) -> str | None:
    """The path that matches one of `rules` and resembles `path` most; None if none does. Corrects a trailing slash, a missing `/v1` and
    misspelt words; variable segments stay as given.
    """
    if len(path) > MOST_LENGTH:
        return None
    stem = "/" + path.strip("/")
    found = [made for given in (stem, f"/v1{stem}") for made in _mended(given, rules)]
    return min(found)[1] if found else None


def below(path: str, rules: Iterable[str]) -> list[str]:
    """The last segments of the rules directly below `path`, sorted."""
    parts = path.strip("/").split("/")
    found = (each.strip("/").split("/") for each in rules)
    steps = (each for each in found if len(each) == len(parts) + 1 and "<" not in each[-1])
    return sorted({each[-1] for each in steps if all("<" in known or given == known for given, known in zip(parts, each, strict=False))})


def _mended(path: str, rules: Iterable[str]) -> Iterable[tuple[int, str]]:
    """The corrected paths for `path`, each with the number of segments that were changed."""
    for parts, rule in _of_equal_length(path, rules):
        meant = [_meant(given, known) for given, known in zip(parts, rule, strict=True)]
        words = [each for each in meant if each is not None]
        if len(words) == len(parts):
            yield sum(given != word for given, word in zip(parts, words, strict=True)), "/" + "/".join(words)


def _meant(given: str, known: str) -> str | None:
    variable = _VARIABLE.fullmatch(known)
    if variable is None:
        return known if given == known else nearest(given, [known])
    return given if given and (variable[1] != "uuid" or _ID.fullmatch(given)) and variable[1] != "number" else None


def _of_equal_length(path: str, rules: Iterable[str]) -> Iterable[tuple[list[str], list[str]]]:
    parts = path.split("/")[1:]
    if len(parts) <= MOST_PARTS:
        yield from ((parts, known) for known in (rule.split("/")[1:] for rule in rules) if len(known) == len(parts))

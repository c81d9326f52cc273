"""What an address that leads nowhere was probably meant to be, for whoever mistyped it."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import NamedTuple

from pricing.nearest import nearest

MOST_PARTS, MOST_LENGTH = 8, 200  # longer than any address of this service
_VARIABLE = re.compile(r"<(?:(\w+):)?(\w+)>")
_ID = re.compile(r"[0-9A-Fa-f]{8}(?:-[0-9A-Fa-f]{4}){3}-[0-9A-Fa-f]{12}", re.ASCII)
_EXAMPLE = "01a21202-0dfc-7812-9843-0e6a6544d0d4"
# what an id in an address is of: the parameter's name in openapi.yaml, the kind of problem, and where ids are listed
_IDS = {
    "quote_id": ("id", "unknown_quote", "`GET /v1/quotes` lists them"),
    "batch_id": ("id", "unknown_batch", "`GET /v1/batches` lists them"),
    "plan_id": ("id", "unknown_plan", "`GET /v1/cutting-plans` lists them"),
    "settlement_id": ("settlement", "unknown_settlement", "`GET /v1/quotes/{id}/settlements` lists the quote's settlements"),
    "question_id": ("question", "unknown_question", "`GET /v1/quotes/{id}/questions` lists the quote's questions"),
}


class NoId(NamedTuple):
    """A part of an address that should be an id and is none: the parameter's name, the kind of problem, the remedy."""

    parameter: str
    code: str
    detail: str


def no_id(path: str, rules: Iterable[str]) -> NoId | None:
    """The first part of `path` that would have to be an id for the path to be one of `rules`."""
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
    """The address of `rules` that resembles `path` most; None if none does. A slash too many at the end, `/v1` left out and misspelt
    words are mended; variable parts stay as given.
    """
    if len(path) > MOST_LENGTH:
        return None
    stem = "/" + path.strip("/")
    found = [made for given in (stem, f"/v1{stem}") for made in _mended(given, rules)]
    return min(found)[1] if found else None


def below(path: str, rules: Iterable[str]) -> list[str]:
    """The last parts of those of `rules` that stand directly below `path`, in order."""
    parts = path.strip("/").split("/")
    found = (each.strip("/").split("/") for each in rules)
    steps = (each for each in found if len(each) == len(parts) + 1 and "<" not in each[-1])
    return sorted({each[-1] for each in steps if all("<" in known or given == known for given, known in zip(parts, each, strict=False))})


def _mended(path: str, rules: Iterable[str]) -> Iterable[tuple[int, str]]:
    """Each rule that `path` can be mended to, as number of words changed and address."""
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

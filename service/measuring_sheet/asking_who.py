"""What a quote needs of its customer that a sheet leaves open: asked below what was read, by the form's own rules, and put into the request."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Any

from service.web_form.answering import Answers, Described, Shown, visible
from service.web_form.navigation import LAST

REQUEST = "request"


def lacking(form: Described, request: Mapping[str, Any]) -> tuple[Shown, ...]:
    """The questions of the last page that want an answer, given what the request says."""
    return tuple(each for each in visible(form, REQUEST, _answers(form, request)) if each.missing and each.question["section"] in LAST)


def completed(form: Described, request: dict[str, Any], written: Mapping[str, str]) -> str:
    """Add what was written for the questions that the request leaves open; returns what to say of the first that is still open, or ""."""
    for each in lacking(form, request):
        if text := written.get(each.path, "").strip():
            _put(request, _steps(each.question), text)
    left = lacking(form, request)
    return str(left[0].question["lacking"]) if left else ""


def _answers(form: Described, request: Mapping[str, Any]) -> Answers:
    """The request's own texts by the paths of their questions."""
    asked = (each for each in form["questions"] if each["scope"] == REQUEST and "pointer" in each)
    found = {each["path"]: _at(request, _steps(each)) for each in asked}
    return {path: value for path, value in found.items() if isinstance(value, str)}


def _steps(question: Described) -> list[str]:
    return str(question["pointer"]).removeprefix("/").split("/")


def _at(request: Any, steps: list[str]) -> Any:
    for step in steps:
        request = request.get(step) if isinstance(request, Mapping) else None
    return request


def _put(request: dict[str, Any], steps: list[str], text: str) -> None:
    """Where something else than an object is in the way, reading the request says so."""
    *way, last = steps
    for step in way:
        inner = request.setdefault(step, {})
        if not isinstance(inner, dict):
            return
        request = inner
    request.setdefault(last, text)

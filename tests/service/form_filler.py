"""Fills in the form by its published description alone, as a shop's own page would, following the rules in openapi.yaml."""

from __future__ import annotations

from typing import Any

Answers = dict[str, Any]


def holds(when: list[list[dict[str, Any]]] | None, answers: Answers) -> bool:
    if not when:
        return True
    return any(all(_condition(each, answers) for each in together) for together in when)


def _condition(asked: dict[str, Any], answers: Answers) -> bool:
    found = answers.get(asked["path"])
    if "in" in asked:
        return found in asked["in"]
    if "not_in" in asked:
        return found not in asked["not_in"]
    return (found is not None) == asked["answered"]


def choices(form: dict[str, Any], question: dict[str, Any], answers: Answers) -> list[Any]:
    """The values that the question offers after these answers."""
    if "from" not in question:
        return [each["value"] for each in question.get("choices", []) if holds(each.get("when"), answers)]
    source = next((each for each in question["from"] if holds(each.get("when"), answers)), None)
    if source is None:
        return []
    table = next(each for each in form["tables"] if each["name"] == source["table"])
    wanted = [
        (table["columns"].index(each["column"]), answers[each["path"]])
        for each in source.get("match", [])
        if holds(each.get("when"), answers) and each["path"] in answers
    ]
    rows = [row for row in table["rows"] if all(answer in row[place] for place, answer in wanted)]
    found = list(dict.fromkeys(value for row in rows for value in row[table["columns"].index(source["column"])]))
    named = [each["value"] for each in question.get("choices", [])]
    apart = [each["value"] for each in question.get("choices", []) if not each.get("sent", True)] if found else []
    return [each for each in named if each in found] + [each for each in found if each not in named] + apart


def is_sent(question: dict[str, Any], value: Any) -> bool:
    """Whether a choice's value is one for the request, not that somebody does not know."""
    return all(each.get("sent", True) for each in question.get("choices", []) if each["value"] == value)


def amounts_to(form: dict[str, Any], question: dict[str, Any], offered: list[Any], given: Answers) -> Any:
    """The choice of a short question that is meant by answers to others; the first that contradicts none where there is no such."""
    choices = [each for each in question["choices"] if each["value"] in offered]
    for each in choices:
        if any(path in given for path in each.get("opens", [])):
            return each["value"]
    said = {each["value"]: [given[path] == value for path, value in each.get("answers", {}).items() if path in given] for each in choices}
    agreeing = [value for value, told in said.items() if told and all(told)]
    if len(agreeing) == 1:
        return agreeing[0]
    named = any(path in given for each in choices for path in each.get("answers", {}))
    plain = [each["value"] for each in choices if each.get("sent", True) and not each.get("answers")]
    fitting = [each["value"] for each in choices if all(given.get(path, value) == value for path, value in each.get("answers", {}).items())]
    return (plain if named and plain else fitting or [None])[0]


LENGTHS = {
    "boat.length_overall": "9 m",
    "measurement.readings": ["9.5 m", "9.5 m"],
    "turnbuckle.setting.upper_exposed": "15 mm",
    "turnbuckle.setting.lower_exposed": "15 mm",
}
WRITTEN = {"text": "Kittiwake", "email": "owner@example.org", "lines": "none", "count": 1, "temperature": "18 degC", "force": "70 N"}


def filled(form: dict[str, Any], given: Answers, *, optional: bool = False) -> Answers:
    """Answers to everything that is required (with `optional`: to all), the first choice where none is given."""
    answers: Answers = {}
    told: Answers = {}
    for question in form["questions"]:
        path = question["path"]
        if not holds(question.get("when"), answers) or path == form["other_side"]["mark"]:
            continue
        offered = choices(form, question, answers)
        told_here = path in told and (not offered or told[path] in offered)
        answer = told[path] if told_here else _answer(form, question, offered, given, optional=optional)
        if answer is not None:
            answers[path] = answer
            told |= next((each.get("answers", {}) for each in question.get("choices", []) if each["value"] == answer), {})
    return answers


def _answer(form: dict[str, Any], question: dict[str, Any], offered: list[Any], given: Answers, *, optional: bool) -> Any:
    path, chosen = question["path"], question["kind"] in ("choice", "flag", "presence")
    if path in given:
        assert not chosen or given[path] in offered, (path, given[path], offered)
        return given[path]
    if "default" in question:
        return question["default"]
    if not (question["required"] or optional):
        return None
    if question.get("short"):
        return amounts_to(form, question, offered, given)
    if chosen:
        return offered[0] if offered else None
    return LENGTHS.get(path) or WRITTEN.get(question["kind"]) or question["examples"][0]


def request_of(form: dict[str, Any], answers: Answers) -> dict[str, Any]:
    """The request: each answer at its pointer."""
    request: dict[str, Any] = {"assemblies": [{}]}
    for question in form["questions"]:
        answer = answers.get(question["path"])
        if (
            answer is None
            or "pointer" not in question
            or not is_sent(question, answer)
            or (question["kind"] == "presence" and answer is False)
        ):
            continue
        within: Any = request if question["scope"] == "request" else request["assemblies"][0]
        _put(within, question["pointer"].removeprefix("/").split("/"), {} if question["kind"] == "presence" else answer)
    return request


def _put(within: Any, steps: list[str], value: Any) -> None:
    for step, following in zip(steps, [*steps[1:], None], strict=True):
        empty: Any = value if following is None else [] if following.isdigit() else {}
        if isinstance(within, list):
            if int(step) == len(within):
                within.append(empty)
            within = within[int(step)]
        elif following is None:
            within[step] = value
        else:
            within = within.setdefault(step, empty)

"""Fills in the form by its published description alone, as a shop's own page would, following the rules told in openapi.yaml."""

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
    return [each for each in named if each in found] + [each for each in found if each not in named]


LENGTHS = {
    "boat.length_overall": "9 m",
    "measurement.readings": ["9.5 m"],
    "turnbuckle.setting.upper_exposed": "15 mm",
    "turnbuckle.setting.lower_exposed": "15 mm",
}
WRITTEN = {"text": "Kittiwake", "email": "owner@example.org", "lines": "none", "count": 1, "temperature": "18 degC"}


def filled(form: dict[str, Any], given: Answers, *, optional: bool = False) -> Answers:
    """Answers to everything that is required (with `optional`: to all), the first choice where none is given."""
    answers: Answers = {}
    for question in form["questions"]:
        path = question["path"]
        if not holds(question.get("when"), answers):
            continue
        offered = choices(form, question, answers)
        if path in given:
            assert question["kind"] not in ("choice", "flag", "presence") or given[path] in offered, (path, given[path], offered)
            answers[path] = given[path]
        elif "default" in question:
            answers[path] = question["default"]
        elif not (question["required"] or optional):
            continue
        elif question["kind"] in ("choice", "flag", "presence"):
            if offered:
                answers[path] = offered[0]
        else:
            answers[path] = LENGTHS.get(path) or WRITTEN.get(question["kind"]) or question["examples"][0]
    return answers


def request_of(form: dict[str, Any], answers: Answers) -> dict[str, Any]:
    """The request: each answer at its pointer."""
    request: dict[str, Any] = {"assemblies": [{}]}
    for question in form["questions"]:
        answer = answers.get(question["path"])
        if answer is None or (question["kind"] == "presence" and answer is False):
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

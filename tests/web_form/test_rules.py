"""The form's rules, stated once in openapi.yaml and implemented twice: by the plain form in Python, and by the element in JavaScript.

Both are tested with the same cases (cases.json). The element's run in Node; without it they are skipped, and the tests in a browser still
use them.
"""

from __future__ import annotations

import json
import os
import random
import shutil
import subprocess
from functools import cache
from pathlib import Path
from typing import Any

import pytest

from service.web_form.answering import (
    asking_sections,
    beyond_limits,
    illustration_of,
    on_other_side,
    question_at,
    request_of,
    shown,
    titled,
    wrong_words,
)
from service.web_form.description import describe
from service.web_form.module import FOLDER
from service.web_form.reading import posted
from tests.counts import some
from tests.engine.shop import demo
from tests.service.form_filler import choices

HERE = Path(__file__).parent
CASES: dict[str, Any] = json.loads((HERE / "cases.json").read_text(encoding="utf-8"))
Found = dict[str, list[Any]]


def read(form: dict[str, Any], typed: dict[str, Any]) -> dict[str, Any]:
    """Answers as the plain form reads them from a page's fields; what a press gives (true, false) is no text."""
    kinds = {each["path"]: each["kind"] for each in form["questions"]}
    found = {
        path: value if isinstance(value, bool) else posted(kinds[path], [value] if isinstance(value, str) else value)
        for path, value in typed.items()
    }
    return {path: answer for path, answer in found.items() if answer is not None}


def python_of(cases: dict[str, Any]) -> Found:
    form = cases["form"]
    return {
        "asked": [_asked(form, each) for each in cases["asked"]],
        "requests": [
            request_of(form, read(form, each["whole"]), [read(form, one) for one in each["assemblies"]], personal=each["personal"])
            for each in cases["requests"]
        ],
        "pointers": [question_at(shown(form, "assembly", read(form, each["typed"])), each["pointer"]) for each in cases["pointers"]],
        "other_sides": [on_other_side(form, each["given"]) for each in cases["other_sides"]],
    }


def _asked(form: dict[str, Any], case: dict[str, Any]) -> dict[str, Any]:
    answers = read(form, case["typed"])
    entries = shown(form, case["scope"], answers)
    known = {each.path: each.answer for each in entries if each.answer is not None}
    return {
        "questions": {each.path: each.answer for each in entries},
        "choices": {each.path: [one.value for one in each.choices] for each in entries if each.choices},
        "missing": [each.path for each in entries if each.missing],
        "wrong": [each.path for each in entries if each.answer is not None and beyond_limits(each.question, each.answer)],
        "said": {
            each.path: wrong_words(each.question, each.answer)
            for each in entries
            if each.answer is not None and beyond_limits(each.question, each.answer)
        },
        "sections": asking_sections(form, case["scope"], answers),
        "titles": [titled(form, each, known) for each in asking_sections(form, case["scope"], answers)],
        "shown": [each.path for each in entries if not each.hidden],
        "pictures": {each.path: illustration_of(each.question, known) for each in entries},
        "labels": {each.path: [each.question.get("label", ""), *(one.label for one in each.choices)] for each in entries},
    }


def node() -> str:
    """The program that runs the element's rules; skips where there is none."""
    found = shutil.which("node")
    if found is None:
        if os.environ.get("TEST_SERVICES_REQUIRED"):
            pytest.fail("no `node` here: `apt-get install nodejs` brings it")
        # on a newcomer's machine without one; .ci/run installs it, and then it is a failure
        pytest.skip("the element's rules are run in Node, and there is no `node` here")
    return found


def javascript_of(cases: dict[str, Any]) -> Found:
    script = "".join(each.read_text(encoding="utf-8") for each in (FOLDER / "answers.js", HERE / "run_cases.js"))
    run = subprocess.run([node(), "--eval", script], input=json.dumps(cases), capture_output=True, encoding="utf-8", check=False)
    assert run.returncode == 0, run.stderr
    found: Found = json.loads(run.stdout)
    return found


@cache
def in_python() -> Found:
    return python_of(CASES)


@cache
def in_javascript() -> Found:
    return javascript_of(CASES)


def every(kind: str) -> pytest.MarkDecorator:
    return pytest.mark.parametrize("at", range(len(CASES[kind])), ids=[each["name"] for each in CASES[kind]])


by_both = pytest.mark.parametrize("found", [in_python, in_javascript], ids=["python", "javascript"])


@by_both
@every("asked")
def test_what_is_asked_offered_missing_and_wrong(found: Any, at: int) -> None:
    expected = {name: value for name, value in CASES["asked"][at].items() if name not in ("name", "scope", "typed")}
    made = found()["asked"][at]
    in_part = ("choices", "pictures", "labels")  # a case tells of those questions alone that it is about
    told = {name: {path: made[name][path] for path in expected[name]} if name in in_part else made[name] for name in expected}
    assert told == expected
    assert "questions" not in expected or list(made["questions"]) == list(expected["questions"])  # in the order of asking


@by_both
@every("requests")
def test_what_is_sent(found: Any, at: int) -> None:
    assert found()["requests"][at] == CASES["requests"][at]["request"]


@by_both
@every("pointers")
def test_which_question_a_finding_stands_at(found: Any, at: int) -> None:
    assert found()["pointers"][at] == CASES["pointers"][at]["question"]


@by_both
@every("other_sides")
def test_what_the_other_sides_wire_starts_from(found: Any, at: int) -> None:
    assert found()["other_sides"][at] == CASES["other_sides"][at]["copy"]


def test_both_make_the_same_of_the_form_that_is_served() -> None:
    """The whole description of the demo shop, under answers by chance: offered ones, some that are not, and some that are missing."""
    node()  # before the long way of the other
    form = describe(demo()[0], "en")
    chance = random.Random(11)
    typed = [_by_chance(form, chance) for _ in range(some(300, 40))]
    placed = {each["pointer"] for each in form["questions"] if "pointer" in each}
    pointers = sorted({each.rpartition("/")[0] for each in placed} | placed)
    cases = {
        "form": form,
        "asked": [{"scope": scope, "typed": each} for each in typed for scope in ("request", "assembly")],
        "requests": [{"whole": each, "assemblies": [each], "personal": chance.random() < 0.5} for each in typed],
        "pointers": [{"typed": chance.choice(typed), "pointer": each} for each in pointers],
        "other_sides": [{"given": read(form, each)} for each in typed],
    }
    python = python_of(cases)
    assert len({json.dumps(each) for each in python["asked"]}) > len(typed)  # the answers lead to different forms
    assert python == javascript_of(cases)


def _by_chance(form: dict[str, Any], chance: random.Random) -> dict[str, Any]:
    """Answers one after another: mostly what the question offers after the earlier ones."""
    found: dict[str, Any] = {}
    for question in form["questions"]:
        offered = choices(form, question, found)
        if chance.random() < 0.15:
            continue
        if offered:
            found[question["path"]] = chance.choice(offered) if chance.random() < 0.95 else "none of these"
        elif question["kind"] not in ("choice", "flag", "presence"):
            text = chance.choice(("9 m", " 15 mm ", "x", "7", "007", "", "a@b", "CAP-P", "1" * 200))
            found[question["path"]] = [text, "9.1 m"] if question["kind"] == "lengths" else text
    return found

"""The shop's tables, for its owner: sent, looked at, tried, and put in force from a day on."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any
from urllib.parse import quote

from flask import Blueprint, Response, request

from pricing.importing.grid import Unreadable
from service.auth.sessions import the_session
from service.desk import calls
from service.desk.fault_words import cell_in, details_of, note_said
from service.desk.numbers import spoken
from service.desk.pages import HTML, go, shown
from service.desk.uploads import chosen, texts, with_commas
from service.desk.words import Refusal, refusal_of, said
from service.http.problems import unknown
from service.http.responses import produces, reply

tables = Blueprint("desk_tables", __name__)
CSV = "text/csv"


@tables.get("/desk/tables")
@produces(HTML)
def listed() -> Response:
    """The stored editions, what counts from when on, and the form to send another."""
    return _list()


@tables.post("/desk/tables")
@produces(HTML)
def send() -> Response:
    """Have files checked and stored as a draft. It needs no mark: the same files are the same edition."""
    try:
        files = {name: with_commas(text, name) for name, text in texts("files").items()}
    except Unreadable as error:
        return _list(Refusal(*said("unreadable_file"), tuple(map(note_said, error.notes))), status=422)
    if not files:
        return _list(Refusal(*said("no_file")), status=422)
    base = request.form.get("base", "")
    answer = calls.post("/v1/tables", {"files": files, **({"base": base} if base else {})})
    if answer.ok:
        return go(f"/desk/tables/{answer.value['edition']['id']}", "tables_stored")
    refusal, faults = refusal_of(answer), faults_in(answer)
    cells = {each["detail"] for each in answer.value["errors"] if each["code"] == "faulty_tables" and cell_in(each["detail"])}
    others = details_of({"errors": [each for each in answer.value["errors"] if each["detail"] not in cells]})
    return _list(replace(refusal, details=others), faults, answer.status)


@tables.get("/desk/tables/<edition>")
@produces(HTML)
def one(edition: str) -> Response:
    """An edition, and with a day what it would do from then on."""
    return _one(edition, request.args.get("from", ""))


@tables.post("/desk/tables/<edition>/in-force")
@produces(HTML)
def put(edition: str) -> Response:
    """Put an edition in force from a day on, as it was seen."""
    form, day = request.form, request.form.get("from", "")
    order = {
        "from_day": day,
        "by": the_session().person.name,
        "seen": int(form["seen"]) if re.fullmatch(r"[0-9]{1,9}", form.get("seen", ""), re.ASCII) else None,
        **({"words": form["words"]} if form.get("words", "").strip() else {}),
        **({"accept": form.getlist("accept")} if form.getlist("accept") else {}),
    }
    if "accept" in order and "words" not in order:
        return _one(edition, day, Refusal(*said("why_accepted")), 422)
    answer = calls.post(f"/v1/tables/{quote(edition, safe='')}/in-force", order, once=form.get("once", ""))
    if answer.ok:
        return go("/desk/tables", "tables_put")
    return _one(edition, day, refusal_of(answer), answer.status)


@tables.get("/desk/tables/<edition>/files/<name>")
@produces(CSV)
def file(edition: str, name: str) -> Response:
    """One file of an edition, to be changed and sent again."""
    files = calls.read(f"/v1/tables/{quote(edition, safe='')}/files")["files"]
    if name not in files:
        raise unknown("name", "unknown_file", "The edition has no such file.")
    headers = {"Content-Disposition": f'attachment; filename="{name}"', "Cache-Control": "no-store"}
    return reply(files[name].encode("utf-8", "replace"), headers=headers, media=CSV)


def faults_in(answer: calls.Answer) -> list[dict[str, Any]]:
    """The faults of tables: file, row and column, and what is expected there."""
    found = [each for each in answer.value["errors"] if each["code"] == "faulty_tables"]
    return [
        {"row": each.get("line"), "column": each.get("column_name", ""), **cell._asdict()}
        for each in found
        if (cell := cell_in(each["detail"])) is not None
    ]


def _list(refusal: Refusal | None = None, faults: list[dict[str, Any]] | None = None, status: int = 200) -> Response:
    found = calls.read("/v1/tables")
    names = {each["id"]: each["name"] for each in found["editions"] if each["name"]}
    return shown(
        "tables.html",
        status,
        found=found,
        names=names,
        faults=faults or [],
        refusal=refusal,
        chosen=chosen("files") if refusal else [],
        typed=request.form,
        speech=spoken(),
    )


def _one(edition: str, day: str, refusal: Refusal | None = None, status: int = 200) -> Response:
    at = f"/v1/tables/{quote(edition, safe='')}"
    stored, today, trial = calls.read(f"{at}/files"), calls.read("/v1/tables")["today"], None
    try:
        trial = _trial(at, day, stored["edition"]["status"]) if day else None
    except _Refused as error:
        refusal, status = refusal or refusal_of(error.answer), error.answer.status if status < 400 else status
    return shown(
        "tables_one.html", status, edition=stored["edition"], files=stored["files"], seen=stored["last_change"], today=today, day=day or today,
        trial=trial, refusal=refusal, typed=request.form, ticked=request.form.getlist("accept"), speech=spoken(),
    )  # fmt: skip


class _Refused(Exception):
    def __init__(self, answer: calls.Answer) -> None:
        self.answer = answer


def _trial(at: str, day: str, status: str) -> dict[str, Any]:
    """What an edition does from a day on, and what of it is doubted. Raises _Refused."""
    effect = _value(calls.post(f"{at}/effect", {"from_day": day}))
    difference = _value(calls.call("GET", f"{at}/difference", {"against": effect["against"]}))
    doubts = _value(calls.call("GET", f"{at}/doubts"))["doubts"] if status == "draft" else []
    return {"effect": effect, "difference": difference["tables"], "doubts": doubts}


def _value(answer: calls.Answer) -> Any:
    if not answer.ok:
        raise _Refused(answer)
    return answer.value

"""The shop's tables, for its owner: to send, inspect and try out an edition, and put it in force from a given day."""

from __future__ import annotations

import re
from dataclasses import replace
from typing import Any
from urllib.parse import quote

from flask import Blueprint, Response, request

from pricing.importing.grid import Unreadable
from service.auth.sessions import the_session
from service.desk import calls
from service.desk.fault_words import cell_in, details_of, unreadable_file
from service.desk.numbers import page_speech
from service.desk.pages import HTML, redirect, render_page
from service.desk.refusal_words import Refusal, own_refusal, refusal_of
from service.desk.uploads import chosen, texts, with_commas
from service.http.problems import unknown
from service.http.responses import produces, reply

tables = Blueprint("desk_tables", __name__)
CSV = "text/csv"


@tables.get("/desk/tables")
@produces(HTML)
def listed() -> Response:
    """The stored editions, the days from which they apply, and the form to send another."""
    return _list()


@tables.post("/desk/tables")
@produces(HTML)
def send() -> Response:
    """Check files and store them as a draft. No idempotency key is needed: the same files are the same edition."""
    try:
        files = {name: with_commas(text, name) for name, text in texts("files").items()}
    except Unreadable as error:
        return _list(own_refusal("unreadable_file", tuple(map(unreadable_file, error.notes))), status=422)
    if not files:
        return _list(own_refusal("no_file"), status=422)
    base = request.form.get("base", "")
    answer = calls.post("/v1/tables", {"files": files, **({"base": base} if base else {})})
    if answer.ok:
        return redirect(f"/desk/tables/{answer.value['edition']['id']}", "tables_stored")
    refusal, cell_faults = refusal_of(answer), faults_in(answer)
    listed_apart = {fault["detail"] for fault in answer.value["errors"] if fault["code"] == "faulty_tables" and cell_in(fault["detail"])}
    details = details_of({"errors": [fault for fault in answer.value["errors"] if fault["detail"] not in listed_apart]})
    return _list(replace(refusal, details=details), cell_faults, answer.status)


@tables.get("/desk/tables/<edition>")
@produces(HTML)
def one(edition: str) -> Response:
    """An edition; with a day, also what it would change from that day on."""
    return _one(edition, request.args.get("from", ""))


@tables.post("/desk/tables/<edition>/in-force")
@produces(HTML)
def put(edition: str) -> Response:
    """Put an edition in force from a day on, provided no other was since the page was shown."""
    form, day = request.form, request.form.get("from", "")
    order = {
        "from_day": day,
        "by": the_session().person.name,
        "seen": int(form["seen"]) if re.fullmatch(r"[0-9]{1,9}", form.get("seen", ""), re.ASCII) else None,
        **({"words": form["words"]} if form.get("words", "").strip() else {}),
        **({"accept": form.getlist("accept")} if form.getlist("accept") else {}),
    }
    if "accept" in order and "words" not in order:
        return _one(edition, day, own_refusal("why_accepted"), 422)
    answer = calls.post(f"/v1/tables/{quote(edition, safe='')}/in-force", order, once=form.get("once", ""))
    if answer.ok:
        return redirect("/desk/tables", "tables_put")
    return _one(edition, day, refusal_of(answer), answer.status)


@tables.get("/desk/tables/<edition>/files/<name>")
@produces(CSV)
def file(edition: str, name: str) -> Response:
    """One file of an edition, to change and send again."""
    files = calls.read(f"/v1/tables/{quote(edition, safe='')}/files")["files"]
    if name not in files:
        raise unknown("name", "unknown_file", "The edition has no such file.")
    headers = {"Content-Disposition": f'attachment; filename="{name}"', "Cache-Control": "no-store"}
    return reply(files[name].encode("utf-8", "replace"), headers=headers, media=CSV)


def faults_in(answer: calls.Answer) -> list[dict[str, Any]]:
    """The faults of the tables' cells: file, row and column, what was found and what is expected."""
    faults = [fault for fault in answer.value["errors"] if fault["code"] == "faulty_tables"]
    return [
        {"row": fault.get("line"), "column": fault.get("column_name", ""), **cell._asdict()}
        for fault in faults
        if (cell := cell_in(fault["detail"])) is not None
    ]


def _list(refusal: Refusal | None = None, faults: list[dict[str, Any]] | None = None, status: int = 200) -> Response:
    found = calls.read("/v1/tables")
    names = {each["id"]: each["name"] for each in found["editions"] if each["name"]}
    return render_page(
        "tables.html",
        status,
        found=found,
        names=names,
        faults=faults or [],
        refusal=refusal,
        chosen=chosen("files") if refusal else [],
        typed=request.form,
        speech=page_speech(),
    )


def _one(edition: str, day: str, refusal: Refusal | None = None, status: int = 200) -> Response:
    at = f"/v1/tables/{quote(edition, safe='')}"
    stored, today, trial = calls.read(f"{at}/files"), calls.read("/v1/tables")["today"], None
    try:
        trial = _trial(at, day, stored["edition"]["status"]) if day else None
    except _Refused as error:
        refusal, status = refusal or refusal_of(error.answer), error.answer.status if status < 400 else status
    return render_page(
        "tables_one.html", status, edition=stored["edition"], files=stored["files"], seen=stored["last_change"], today=today, day=day or today,
        trial=trial, refusal=refusal, typed=request.form, ticked=request.form.getlist("accept"), speech=page_speech(),
    )  # fmt: skip


class _Refused(Exception):
    def __init__(self, answer: calls.Answer) -> None:
        self.answer = answer


def _trial(at: str, day: str, status: str) -> dict[str, Any]:
    """What an edition would change from a day on, and which of its cells are doubted. Raises _Refused."""
    effect = _value(calls.post(f"{at}/effect", {"from_day": day}))
    difference = _value(calls.call("GET", f"{at}/difference", {"against": effect["against"]}))
    doubts = _value(calls.call("GET", f"{at}/doubts"))["doubts"] if status == "draft" else []
    return {"effect": effect, "difference": difference["tables"], "doubts": doubts}


def _value(answer: calls.Answer) -> Any:
    if not answer.ok:
        raise _Refused(answer)
    return answer.value

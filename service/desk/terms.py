"""The shop's terms, for its owner: those in force and what each does. Changes are stored as a new edition of the tables, to be put in force there."""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping
from datetime import date
from io import StringIO
from typing import Any, NamedTuple

from flask import Blueprint, Response, request

from service.desk import calls
from service.desk.numbers import page_speech, with_point
from service.desk.pages import HTML, redirect, render_page
from service.desk.refusal_words import Refusal, own_refusal, refusal_of
from service.desk.term_words import GROUPS
from service.http.responses import produces

terms = Blueprint("desk_terms", __name__)
FILE, COLUMNS = "terms.csv", ("key", "value", "unit", "from_day", "source")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", re.ASCII)
Row = dict[str, str]


class Terms(NamedTuple):
    """The terms of the edition in force: its id, all rows of its file, and by key the row that applies today."""

    edition: str
    rows: list[Row]
    now: Mapping[str, Row]
    today: str


@terms.get("/desk/terms")
@produces(HTML)
def page() -> Response:
    """The terms in force."""
    return _page(_in_force())


@terms.post("/desk/terms")
@produces(HTML)
def change() -> Response:
    """Store the changes as a new edition, which does not apply until it is put in force."""
    current, form = _in_force(), request.form
    if form.get("base") != current.edition:
        return _page(current, own_refusal("other_tables"), status=409)
    day = form.get("from", "")
    if not _is_day(day) or day < current.today:
        return _page(current, own_refusal("past_day"), status=422)
    changed = _changed(current, form, day)
    if not changed:
        return _page(current, own_refusal("nothing_changed"), status=422)
    answer = calls.post("/v1/tables", {"files": {FILE: _written(current.rows, changed)}, "base": current.edition})
    if answer.ok:
        return redirect(f"/desk/tables/{answer.value['edition']['id']}?from={day}", "tables_stored")
    refusal = refusal_of(answer)
    return _page(current, refusal, answer.status)


def _is_day(text: str) -> bool:
    try:
        return _DAY.fullmatch(text) is not None and bool(date.fromisoformat(text))
    except ValueError:
        return False


def _in_force() -> Terms:
    listed = calls.read("/v1/tables")
    edition = next((each["id"] for each in listed["editions"] if each["status"] == "in_force"), None)
    if edition is None:
        return Terms("", [], {}, listed["today"])
    rows = _read(calls.read(f"/v1/tables/{edition}/files")["files"][FILE])
    return Terms(edition, rows, _applying(rows, listed["today"]), listed["today"])


def _read(text: str) -> list[Row]:
    """The rows of terms.csv, by column; blank lines are left out."""
    lines = csv.reader(StringIO(text.lstrip("\ufeff"), newline=""))
    header = [each.strip() for each in next(lines, [])]
    return [dict(zip(header, (cell.strip() for cell in line), strict=False)) for line in lines if any(cell.strip() for cell in line)]


def _applying(rows: list[Row], day: str) -> dict[str, Row]:
    """The row of each term that applies on a day: the latest whose day has come."""
    applying: dict[str, Row] = {}
    for row in sorted(rows, key=lambda row: row.get("from_day", "")):
        if row.get("from_day", "") <= day:
            applying[row.get("key", "")] = row
    return applying


def _changed(current: Terms, form: Mapping[str, str], day: str) -> list[Row]:
    """A row from that day on for each term whose value or unit was changed. It names nobody, since an edition is kept as long as its quotes;
    who put it in force is stored apart from it, where it can be erased.
    """
    why = " ".join(form.get("words", "").split())
    source = f"decided by the owner{f': {why}' if why else ''}"
    changed = []
    for key in (each.key for group in GROUPS for each in group.terms):
        before = current.now.get(key, {})
        value, unit = (with_point(form.get(f"{part}-{key}", before.get(part, ""))) for part in ("value", "unit"))
        if (value, unit) != (before.get("value", ""), before.get("unit", "")):
            changed.append({"key": key, "value": value, "unit": unit, "from_day": day, "source": source})
    return changed


def _written(rows: list[Row], changed: list[Row]) -> str:
    """The file's text with the changed rows at its end; they replace rows of the same term and day."""
    new = {(each["key"], each["from_day"]) for each in changed}
    out = StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for row in [*(row for row in rows if (row.get("key"), row.get("from_day")) not in new), *changed]:
        writer.writerow([row.get(name, "") for name in COLUMNS])
    return out.getvalue()


def _page(current: Terms, refusal: Refusal | None = None, status: int = 200) -> Response:
    coming: dict[str, Any] = {}
    for each in current.rows:
        if each.get("from_day", "") > current.today:
            coming.setdefault(each.get("key", ""), []).append(each)
    return render_page(
        "terms.html", status, groups=GROUPS, now=current.now, coming=coming, base=current.edition, today=current.today, refusal=refusal, typed=request.form,
        speech=page_speech(),
    )  # fmt: skip

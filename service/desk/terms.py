"""The shop's terms for its owner: what is in force with what it does, changed into a new edition of the tables, which is put in force at theirs."""

from __future__ import annotations

import csv
import re
from collections.abc import Mapping
from datetime import date
from io import StringIO
from typing import Any, NamedTuple

from flask import Blueprint, Response, request

from service.desk import calls
from service.desk.numbers import spoken, with_point
from service.desk.pages import HTML, go, shown
from service.desk.term_words import GROUPS
from service.desk.words import Refusal, refusal_of, said
from service.http.responses import produces

terms = Blueprint("desk_terms", __name__)
FILE, COLUMNS = "terms.csv", ("key", "value", "unit", "from_day", "source")
_DAY = re.compile(r"[0-9]{4}-[0-9]{2}-[0-9]{2}", re.ASCII)
Row = dict[str, str]


class Terms(NamedTuple):
    """The terms of the edition in force: its id, all rows of its file, and by name the row that counts today."""

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
    """Store an edition with what was changed; nothing counts before it is put in force."""
    kept, form = _in_force(), request.form
    if form.get("base") != kept.edition:
        return _page(kept, Refusal(*said("other_tables")), status=409)
    day = form.get("from", "")
    if not _is_day(day) or day < kept.today:
        return _page(kept, Refusal(*said("past_day")), status=422)
    changed = _changed(kept, form, day)
    if not changed:
        return _page(kept, Refusal(*said("nothing_changed")), status=422)
    answer = calls.post("/v1/tables", {"files": {FILE: _written(kept.rows, changed)}, "base": kept.edition})
    if answer.ok:
        return go(f"/desk/tables/{answer.value['edition']['id']}?from={day}", "tables_stored")
    refusal = refusal_of(answer)
    return _page(kept, refusal, answer.status)


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
    return Terms(edition, rows, _counting(rows, listed["today"]), listed["today"])


def _read(text: str) -> list[Row]:
    lines = csv.reader(StringIO(text.lstrip("\ufeff"), newline=""))
    header = [each.strip() for each in next(lines, [])]
    return [dict(zip(header, (cell.strip() for cell in line), strict=False)) for line in lines if any(cell.strip() for cell in line)]


def _counting(rows: list[Row], day: str) -> dict[str, Row]:
    """The row of each term that counts on a day: the latest that has begun."""
    found: dict[str, Row] = {}
    for each in sorted(rows, key=lambda row: row.get("from_day", "")):
        if each.get("from_day", "") <= day:
            found[each.get("key", "")] = each
    return found


def _changed(kept: Terms, form: Mapping[str, str], day: str) -> list[Row]:
    """A dated row for each term of which another value or unit was typed. Nobody is named in it: what an edition says stays for as long as its
    quotes; who put it in force stands beside it, and can be erased.
    """
    why = " ".join(form.get("words", "").split())
    source = f"decided by the owner{f': {why}' if why else ''}"
    found = []
    for key in (each.key for group in GROUPS for each in group.terms):
        was = kept.now.get(key, {})
        value, unit = (with_point(form.get(f"{part}-{key}", was.get(part, ""))) for part in ("value", "unit"))
        if (value, unit) != (was.get("value", ""), was.get("unit", "")):
            found.append({"key": key, "value": value, "unit": unit, "from_day": day, "source": source})
    return found


def _written(rows: list[Row], changed: list[Row]) -> str:
    """The file with the changed rows behind all others; a row of the same term and day is replaced."""
    new = {(each["key"], each["from_day"]) for each in changed}
    out = StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(COLUMNS)
    for each in [*(row for row in rows if (row.get("key"), row.get("from_day")) not in new), *changed]:
        writer.writerow([each.get(name, "") for name in COLUMNS])
    return out.getvalue()


def _page(kept: Terms, refusal: Refusal | None = None, status: int = 200) -> Response:
    coming: dict[str, Any] = {}
    for each in kept.rows:
        if each.get("from_day", "") > kept.today:
            coming.setdefault(each.get("key", ""), []).append(each)
    return shown(
        "terms.html", status, groups=GROUPS, now=kept.now, coming=coming, base=kept.edition, today=kept.today, refusal=refusal, typed=request.form,
        speech=spoken(),
    )  # fmt: skip

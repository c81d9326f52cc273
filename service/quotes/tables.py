"""Use cases of `/v1/tables`: a shop's programs send tables, list, compare and try them, and put them in force from a day on."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from datetime import date
from typing import TYPE_CHECKING, Any

from pricing.catalogue.reading import NO_FILE
from pricing.errors import Doubt, TableError, TableFault
from service.computing import asking
from service.demo import demo_names, demo_request
from service.encoding import json
from service.engine.catalogues import UNREADABLE
from service.engine.engine import Engine
from service.engine.outcomes import Effect, effect_document, effects
from service.engine.tables import Checked, Files
from service.http.caller import key_name
from service.http.current import catalogues, engine, store
from service.http.problems import Problem, fault, parameter_fault, unknown
from service.schemas.tables import EDITION, PutOrder, TablesSent, Trial
from service.storage import Edition, Editions
from service.storage.catalogue_editions import ACCEPTED, START, Attribution, EditionEntry, PutMeanwhile, StoredEdition, entry_status

if TYPE_CHECKING:
    from pricing.catalogue.differences import CellChange, Row

MOST_EDITIONS, MOST_PUTS, MOST_ROWS, MOST_OPEN, MOST_DOUBTS = 100, 1000, 200, 50, 1000
SECONDS = 2.0  # for boats and open quotes together: a computation may take five, and the tables are read within them
IN_FORCE = "in-force"
Document = dict[str, Any]
FAULTY = "The tables cannot be used; each fault is listed with its file, line and column. Nothing was stored."


def editions() -> Editions:
    """The stored editions."""
    return Editions(store())


def listed() -> Document:
    """The newest editions, and the log of editions put in force, each with its status today."""
    today, puts = engine().today(), editions().entries()
    return {
        "today": today.isoformat(),
        "last_change": puts[0].change if puts else 0,
        "editions": [_edition(each, puts, today) for each in editions().newest(MOST_EDITIONS)],
        "changes": [_put(each, puts, today) for each in puts[:MOST_PUTS]],
    }


def sent(order: TablesSent) -> tuple[Document, bool]:
    """Check tables and store them as a draft. Returns the edition with its doubts, and whether it is new. Raises Problem: 404, 422."""
    base = {} if order.base is None else _files(edition_named(order.base, "#/base"))
    files = {**base, **order.files}
    try:
        checked = asking.checked_tables(files, engine().today())
    except TableError as error:
        raise Problem(
            422, FAULTY, [*_without_base(order, error), *_faults(error, order.files, NO_FILE if order.base is None else "")]
        ) from None
    new = editions().keep_draft(checked.edition, files, key_name())
    return {**_one(checked.edition), "doubts": _doubts(checked)}, new


def stored(edition: str) -> Document:
    """An edition with its files by name. Raises Problem: 404."""
    found = edition_named(edition)
    return {**_one(found), "files": _files(found)}


def doubted(edition: str) -> Document:
    """The doubts about an edition that have not been accepted yet. Raises Problem: 404, 422."""
    found = edition_named(edition)
    return {**_one(found), "doubts": _doubts(_checked(_files(found), engine().today(), {}))}


def difference(edition: str, against: str | None) -> Document:
    """The differences of an edition from another, by default from the one in force. Raises Problem: 404, 422."""
    new, old = edition_named(edition), _against(against)
    found = asking.tables_difference(_files(old), _files(new))
    tables = [
        {
            "table": each.kind,
            "new": [_row(row) for row in each.new[:MOST_ROWS]],
            "gone": [_row(row) for row in each.gone[:MOST_ROWS]],
            "changed": [_row(row) for row in each.changed[:MOST_ROWS]],
            "counts": {"new": len(each.new), "gone": len(each.gone), "changed": len(each.changed)},
        }
        for each in found
    ]
    return {"edition": new.id, "against": old.id, "tables": tables}


def effect(edition: str, trial: Trial) -> Document:
    """How quotes for sample boats, and the open quotes, would change on a day if an edition were in force. Raises Problem: 404, 422, 503."""
    new, day = edition_named(edition), _day(trial.from_day)
    old = editions().current(day) or engine().key
    if trial.boats is None:
        names, boats = list(demo_names()), tuple(json.read(demo_request(name)) for name in demo_names())
    else:
        names, boats = [f"boats/{place}" for place in range(len(trial.boats))], trial.boats
    opened, many = store().open_on(day, MOST_OPEN)
    bodies = [store().with_request(each.id)[1] for each in opened]
    own = trial.boats is not None
    of_boats, of_open = asking.tables_tried(_engine_of(old), _files(new), boats, bodies, day, SECONDS, own)
    issued = [each.payable for each in opened]
    # demo boats may request things the shop has never had, such as a price list, so those refused both times are left out
    tried = [each for each in effects(names, of_boats.before, of_boats.after) if own or not (each.before.refused and each.after.refused)]
    return {
        "edition": new.id,
        "against": old.id,
        "day": day.isoformat(),
        "boats": _effects(tried, len(names) if own else len(tried)),
        "open_quotes": _effects(effects([each.number for each in opened], of_open.before, of_open.after, issued), many),
        "priced_already": store().count(),
    }


def put(edition: str, order: PutOrder) -> Document:
    """Put an edition in force from a day on. Raises Problem: 404 if it is not stored; 422 for a day in the past, or if `accept` names doubts that
    do not exist; 409 if doubts are not accepted, or if another edition has been put in force since.
    """
    this, day = edition_named(edition), _day(order.from_day)
    files, checked = _files(this), _checked(_files(this), day)
    if not any(each.edition == this for each in editions().entries()):  # an edition that was in force before is not doubted again
        files = _accepted(files, checked.doubts, order)
    try:
        editions().put_in_force(this, files, day, Attribution(order.by, order.words, key_name()), seen=order.seen)
    except PutMeanwhile as error:
        words = f"Nothing was done: {error}. Compare the tables again, and decide again."
        raise Problem(409, words, [fault("#/seen", "put_meanwhile", words)]) from None
    return _one(this)


def edition_named(edition: str, place: str | None = None) -> Edition:
    """The stored edition with this id. Raises Problem: 404, or 422 if `place` says where in the request body the id is."""
    found = Edition(*edition.split("-")) if EDITION.fullmatch(edition) else None
    if found is None or editions().find(found) is None:
        words = "There is no edition with this id: `GET /v1/tables` lists all editions."
        if place is not None:
            raise Problem(422, words, [fault(place, "not_an_edition", words)])
        raise unknown("edition", "unknown_edition", words)
    return found


def _against(asked: str | None) -> Edition:
    if asked in (None, IN_FORCE):
        return editions().current(engine().today()) or engine().key
    try:
        return edition_named(asked or "")
    except Problem:
        words = f"give {IN_FORCE}, or the id of an edition that `GET /v1/tables` lists"
        raise Problem(422, "There is no such edition to compare with.", [parameter_fault("against", "not_an_edition", words)]) from None


def _day(asked: date | None) -> date:
    today = engine().today()
    if asked is not None and asked < today:
        words = f"it is past: tables and prices are never changed retroactively. Name {today} or a later day"
        raise Problem(422, "The day is past.", [fault("#/from_day", "past_day", words)])
    return asked or today


def _files(edition: Edition) -> dict[str, str]:
    try:
        found = editions().content(edition)
    except UNREADABLE:
        found = None
    if found is None:
        raise unknown("edition", "unknown_edition", "The tables of this edition are not stored, or are damaged in the database.")
    return found


def _engine_of(edition: Edition) -> Engine:
    _files(edition)
    return catalogues().of(edition)


def _checked(files: Files, day: date, sent: Mapping[str, str] | None = None) -> Checked:
    """Check tables. `sent`: the files that were in the request, if not all of them. Raises Problem (422)."""
    try:
        return asking.checked_tables(files, day)
    except TableError as error:
        raise Problem(422, FAULTY, _faults(error, files if sent is None else sent)) from None


def _without_base(order: TablesSent, error: TableError) -> Iterator[dict[str, object]]:
    """If files are missing and no base edition is named from which they could be taken: one fault for all of them, which names the remedy."""
    lacking = ", ".join(each.file for each in error.faults if each.found == NO_FILE)
    if order.base is None and lacking:
        now = editions().current(engine().today()) or engine().key
        which = f"name in `base` an edition that has them, such as the one in force, {now.id}"
        yield fault(
            "#/base", "faulty_tables", f"Some tables are missing, and without `base` all of them are required. Send {lacking}, or {which}."
        )


def _faults(error: TableError, sent: Mapping[str, str], without: str = "") -> list[dict[str, object]]:
    """The faults in the tables, except those that found `without`. A fault in a file that was not sent comes from the base edition."""
    return [_fault(each, sent) for each in error.faults if not without or each.found != without]


def _fault(table_fault: TableFault, sent: Mapping[str, str]) -> dict[str, object]:
    place = {"line": table_fault.line} if table_fault.line else {}
    column = {"column_name": table_fault.column[:120]} if table_fault.column else {}
    pointer = f"#/files/{table_fault.file}" if table_fault.file in sent else "#/files"
    return {**fault(pointer, "faulty_tables", str(table_fault)), **place, **column}


def _accepted(files: dict[str, str], doubts: Sequence[Doubt], order: PutOrder) -> dict[str, str]:
    from pricing.catalogue.plausibility import with_accepted

    names = {each.name for each in doubts}
    words = "there is no doubt with this name: leave it out, or copy the name from `doubts` in the reply to the tables"
    if strange := [place for place, name in enumerate(order.accept) if name not in names]:
        raise Problem(
            422, "`accept` names doubts that do not exist.", [fault(f"#/accept/{place}", "not_doubted", words) for place in strange]
        )
    if left := [each for each in doubts if each.name not in order.accept]:
        words = f"Nothing was done: {len(left)} cell(s) are doubted. Correct them, or accept each by its name."
        raise Problem(409, words, [_open(each) for each in left])
    if not order.accept:
        return files
    return {**files, ACCEPTED: with_accepted(files.get(ACCEPTED, ""), order.accept, order.by, engine().today(), order.words or "")}


def _open(doubt: Doubt) -> dict[str, object]:
    line = {"line": doubt.line} if doubt.line else {}
    return {**fault("#/accept", "open_doubts", f"{doubt.name}: {doubt}"), **line, "column_name": doubt.column[:120]}


def _one(edition: Edition) -> Document:
    kept, puts = editions().find(edition), editions().entries()
    if kept is None:
        raise LookupError(edition.id)
    return {"edition": _edition(kept, puts, engine().today()), "last_change": puts[0].change if puts else 0}


def _edition(kept: StoredEdition, puts: Sequence[EditionEntry], today: date) -> Document:
    own = [each for each in puts if each.edition == kept.edition]
    states = {entry_status(each, puts, today) for each in own}
    status = next((each for each in ("in_force", "coming") if each in states), "past" if own else "draft")
    return {
        "id": kept.edition.id,
        "name": kept.name,
        "stored_at": kept.stored_at,
        "key": kept.key,
        "status": status,
        "from_day": next((each.from_day or None for each in own if entry_status(each, puts, today) == status), None),
    }


def _put(put: EditionEntry, puts: Sequence[EditionEntry], today: date) -> Document:
    return {
        "change": put.change,
        "edition": put.edition.id,
        "from_day": put.from_day or None,
        "status": entry_status(put, puts, today),
        "put_at": put.put_at,
        "by": put.attribution.by,
        "words": put.attribution.words,
        "key": put.attribution.key,
        "by_a_start": put.attribution.means == START,
    }


def _doubts(checked: Checked) -> list[Document]:
    return [_doubt(each) for each in checked.doubts[:MOST_DOUBTS]]


def _doubt(doubt: Doubt) -> Document:
    return {
        "name": doubt.name,
        "file": doubt.file,
        "line": doubt.line,
        "column_name": doubt.column,
        "found": doubt.found,
        "expected": doubt.expected,
        "reason": doubt.reason,
    }


def _row(row: Row) -> Document:
    return {"key": " / ".join(text for _, text in row.key), "line": row.line, "changes": [*map(_change, row.changes)]}


def _change(change: CellChange) -> Document:
    return {
        "column_name": change.column,
        "before": change.before,
        "after": change.after,
        "change_mm": None if change.mm is None else f"{change.mm:f}",
        "change_percent": None if change.percent is None else str(change.percent),
    }


def _effects(found: Sequence[Effect], many: int) -> Document:
    changed = list(_changed(found))
    return {"looked_at": len(found), "not_looked_at": max(many - len(found), 0), "unchanged": len(found) - len(changed), "changed": changed}


def _changed(found: Sequence[Effect]) -> Iterator[Document]:
    return (effect_document(each) for each in found if each.changed)

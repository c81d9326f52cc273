"""Words the API's faults for people of the shop: what is wrong, and what to do.

The API's own sentences are English and written for programmers. A sentence that matches a known pattern is reworded with the numbers and
names in it; any other fault gets the sentence for its code; a fault that the refusal's title says already gets none.
"""

from __future__ import annotations

import re
from collections.abc import Mapping
from functools import cache
from typing import Any, NamedTuple

from pricing.importing.grid import Note
from pricing.units import SENTENCES
from service.desk import remeasured
from service.desk.numbers import page_speech
from service.desk.pages import language
from service.documents.quotation.content import STATUSES
from service.lifecycle.statuses import Status
from service.wording import translator

_LONGEST = 1500  # characters of a sentence that is matched
_SLOT = re.compile(r"%\((\w+)\)s", re.ASCII)


class Detail(NamedTuple):
    """One fault in words. `english`: the part that the check of the tables has in English only."""

    words: str
    english: str = ""


def _(text: str) -> str:
    return text


#: Patterns of the API's sentences, each with the desk's.
_SENTENCES: tuple[tuple[str, str], ...] = (
    ("%(quote)s, %(tag)s: not ready to cut; settle its open findings first.", _("%(quote)s, %(tag)s: not ready to cut. What is asked is settled at the counter first.")),
    ("%(quote)s, %(tag)s: %(done)s of %(all)s have already been cut, and this plan cuts %(many)s.", _("%(quote)s, %(tag)s: %(done)s of %(all)s are cut already, and this plan cuts %(many)s.")),
    ("%(quote)s, revision %(revision)s, is %(status)s: wire is only taken for quotes that the customer has accepted.", _("%(quote)s, revision %(revision)s: %(status)s. Wire is taken for accepted quotes only.")),
    ("%(quote)s, revision %(revision)s, is %(status)s: wire that was built into assemblies cannot go back on the shelf. Nothing was moved.", _("%(quote)s, revision %(revision)s: %(status)s.")),
    ("%(quote)s, revision %(revision)s, is %(status)s. %(why)s; leave it out of this plan.", _("%(quote)s, revision %(revision)s: %(status)s. Leave it out.")),
    ("%(quote)s, revision %(revision)s, is %(status)s. %(why)s.", _("%(quote)s, revision %(revision)s: %(status)s.")),
    ("%(quote)s is also quote %(place)s of this list, as another revision: name each number once.", _("%(quote)s is ticked in two revisions: tick one of them.")),
    ("%(name)s is not on the shelf, nor a spool that can be bought", _("%(name)s is not on the shelf.")),
    ("%(name)s is not %(length)s mm of %(wire)s any more", _("%(name)s has another length or another wire now.")),
    ("%(name)s is needed %(many)s times and there %(count)s times", _("%(name)s is needed %(many)s times and there %(count)s times.")),
    ("%(name)s is no longer on the shelf as it was put there", _("%(name)s is no longer on the shelf as it was put there.")),
    ("%(name)s is on the shelf with another length", _("%(name)s is on the shelf with another length.")),
    ("'%(name)s' is the id of a spool for sale in the table of spools: give what is on the shelf an id of its own", _("%(name)s is a spool that can be bought: give what is on the shelf a tag of its own.")),
    ("This settlement has already been undone, at %(moment)s.", _("It was undone already, on %(moment)s.")),
    ("This question has already been answered, at %(moment)s.", _("It was answered already, on %(moment)s. The answer stands with the question.")),
    ("On hold and not in the total: %(tags)s. Issue a revision in which they can be built, or that leaves them out.", _("On hold and not in the total: %(tags)s. Make a revision that can be built whole, or leaves them out.")),
    ("the quote has no assembly '%(tag)s'; it has %(tags)s", _("The quote has no wire %(tag)s; it has %(tags)s.")),
    ("write 1 to %(most)s characters, not only spaces; these are %(many)s", _("Write 1 to %(most)s characters, not only spaces; these are %(many)s.")),
    ("the text of a file of 1 to %(most)s characters is expected here", _("The file is empty, or longer than the %(most)s characters that are taken.")),
    ("write a whole number from %(least)s to %(most)s, without quotation marks", _("Write a whole number from %(least)s to %(most)s.")),
    ("write an amount of at most %(most)s", _("Write an amount of at most %(most)s.")),
    ("%(amount)s has more than the currency's %(digits)s decimals", _("%(amount)s has more than the currency’s %(digits)s decimals.")),
    ("%(least)s to %(most)s items are accepted here; these are %(many)s: %(remedy)s", _("%(least)s to %(most)s of these are taken; these are %(many)s.")),
    ("send a day that is not after `to`: a period has at most %(days)s days", _("The first day is not after the last one, and there are at most %(days)s days in all.")),
    ("A batch has at most %(most)s lines: send this one as several batches.", _("A fleet has at most %(most)s boats: send it as several.")),
    ("Some tables are missing, and without `base` all of them are required. Send %(files)s, or name in `base` an edition that has them, such as the one in force, %(edition)s.",
     _("Only some files came. Send %(files)s as well, or choose the edition in which they are as they shall stay.")),
    ("no field of a request has this name; did you mean %(meant)s?", _("There is no such column; is %(meant)s meant?")),
    ("the header row lacks the column %(column)s", _("This column is missing.")),
    ("at most %(most)s columns are read", _("At most %(most)s columns are read.")),
    ("'%(name)s' is not the file of a table: name each file as in the shop's folder, such as prices.csv, without a path", _("%(name)s is no file of the tables: name it as in the shop’s folder, such as prices.csv.")),
    *((each, each) for each in SENTENCES),
)  # fmt: skip
_NEEDED, _UNUSABLE = _("This answer is needed."), _("This answer cannot be used: check it, or leave it out.")
_EMPTY = {"length": _NEEDED, "list_size": _("There is nothing in it: at least %(least)s is needed.")}
_BY_CODE: Mapping[str, str] = {
    "required": _NEEDED,
    "null": _NEEDED,
    "only_dots": _("Write a letter or a figure too, not dots alone."),
    "not_printable": _("Remove the control characters from this text."),
    "not_a_size": _("This is probably a mistake: check the number and its unit."),
    "not_an_email": _("Write an address such as owner@example.org."),
    "not_an_amount": _("Write an amount such as 12.50, without the currency."),
    "not_a_discount": _("Write a percentage up to 100, or an amount above zero."),
    "not_accepted": _("Choose one of those that are offered."),
    "not_a_day": _("Choose a day of the calendar, from the year 2000 on."),
    "price_unclear": _("Say what a metre of it is worth: the shelf has no value for this wire."),
    "unknown_wire": _("This is no wire of the tables in force: choose one of the list."),
    "not_an_edition": _("These tables are not stored any more: choose others."),
    "not_doubted": _("Something was ticked that is not doubted: look through it again."),
    "unknown_finding": _("This is not asked of the quote: look at it as it stands now."),
    "not_settled_by_words": _("Words do not settle this: type in what was measured, or make a revision that can be built."),
    "nothing_asked": _("This is a remark, and asks nothing."),
    "already_settled": _("This is settled already: undo that first if it was wrong."),
    "unknown_place": _("What was measured has no place in this quote: answer in words, or make a revision."),
    "open_findings": _("Something is still to be settled: settle it first, or tick that the customer accepts with it open."),
    "other_stock": _("The plan was made for other stock than the shop’s shelf: make another plan."),
    "link_ended": _("The quote’s last day is past, and a link to it would not open: make a revision, and a link to that."),
    "unknown_quote": _("A quote that was chosen is no longer there: look through the list again."),
    "key_of_another_request": _("This form was sent before with something else in it: open the page again, and send it from there."),
    "precondition_required": _("Open the page again, and do it from there: only what was seen can be decided."),
    "still_running": _("It is being done already: wait a moment, then open the page again."),
    "not_json": _("This is no table as a spreadsheet saves it (CSV)."),
    "not_a_table": _("This is no table as a spreadsheet saves it (CSV)."),
    "no_lines": _("There is no boat in the table."),
    "unknown_column": _("There is no such column: compare its name with those that a fleet’s table has."),
    "duplicate_column": _("This column stands in the table twice: leave one out."),
    "duplicate_tag": _("Each wire needs a name of its own."),
    "duplicate_line": _("Give each boat a mark of its own, and keep her rows together."),
    "gap": _("A cell before this one is empty: fill them in from the first on."),
    "written_twice": _("The same stands here twice: write it once."),
    "rows_differ": _("The boat’s rows differ here: write it once, or the same in each."),
    "not_a_boolean": _("Write yes or no, or leave the cell empty."),
    "too_many_cells": _("The row has more cells than the header."),
    "too_many_pieces": _("There are more wires than one quote can have."),
    "list_size": _("There are too few or too many of these."),
    "unknown_price_list": _("The shop has no price list of this name."),
    "not_sold": _("The shop does not sell this: choose another size."),
    "impossible_datum": _("Nobody can measure to this point of this fitting: choose another."),
    "completed": _("The fleet is done already."),
    "faulty_files": _("The files cannot be used as they are."),
    Status.ISSUED: _("The quote is open: the customer has not accepted it yet."),
    Status.ACCEPTED: _("The quote is accepted: it is cut and built, or cancelled with a reason."),
    Status.IN_WORK: _("Wire was cut for this quote: it is built as it stands, or cancelled with a reason."),
    Status.BUILT: _("Everything of this quote is built: it is handed over, or cancelled with a reason."),
    Status.HANDED_OVER: _("The quote was built and handed over: other work takes a new quote."),
    Status.CANCELLED: _("The quote was cancelled after it was accepted: make a new one."),
    Status.DECLINED: _("The customer declined the quote: a revision offers it again."),
    Status.WITHDRAWN: _("The quote was withdrawn: make a new one."),
    Status.SUPERSEDED: _("A later revision replaces this one: use that."),
    Status.EXPIRED: _("The quote has expired: make a revision, at today’s prices."),
}  # fmt: skip
_SAID_BY_THE_TITLE = frozenset({
    "already_taken", "not_taken", "moved_meanwhile", "nothing_to_cut", "changed_since_read", "etag_of_another_quote", "put_meanwhile", "past_day", "open_doubts",
    "too_large", "too_many_requests", "missing_scope", "busy", "took_too_long", "too_much_memory", "computing_ended", "unavailable",
})  # fmt: skip
_LABELS: Mapping[str, str] = {
    "words": _("Your answer"), "understood": _("The customer’s own words that they know it"), "reason": _("Why"), "by": _("Who says so"), "name": _("Who accepts"),
    "to": _("To whom"), "note": _("Note"), "finished_length": _("Finished length as measured"), "piece": _("Which piece"),
    "upper_shank": _("Shank, upper end"), "lower_shank": _("Shank, lower end"), "id": _("Tag on it"), "wire": _("Wire"), "kind": _("What it is"),
    "length": _("Length"), "count": _("How many alike"), "price": _("Value per metre"), "price_per_metre": _("Value per metre"),
    "source": _("Where it comes from"), "others": _("What is on the shelf and not in the file"), "from_day": _("From which day"), "from": _("From"),
    "reduction": _("Discount"), "discount/text": _("Why, as the customer reads it"), "text": _("What"), "quantity": _("How many"), "unit": _("Counted in"), "unit_price": _("Price of one, before tax"),
    "tax_category": _("Tax"), "tax_rate": _("Tax"), **{each.place.rpartition("/")[2]: each.label for each in remeasured.EVERY},
}  # fmt: skip
_LINE = _("Line %(number)s, %(what)s")
_OF_CELLS = (
    _("no such file"), _("a readable CSV file of this name"), _("an empty file"), _("a header line: %(columns)s"), _("an unknown column"),
    _("only the columns %(columns)s"), _("a column given twice"), _("a file that is no table"), _("only %(files)s"), _("each column once"), _("no such column"), _("a column of this name"),
    _("%(width)s cells, as many as the header has; quote a cell that contains a comma"), _("a blank cell"), _("a blank cell: stock is kept of wire alone"),
    _("a blank cell, since the row has %(because)s"), _("a value, since the row has %(because)s"), _("no row"), _("a whole number of %(least)s or more"),
    _("a decimal of 0 or more, such as 12.50"), _("a percentage from 0 to 100, such as 7.5"), _("a price of 0 or more, such as 12.50"),
    _("a quantity of 0 or more, such as 50"), _("a day as YYYY-MM-DD"), _("an ISO 4217 code, such as USD"),
    _("a length with its unit, such as '3/8 in' or '52.4 mm'"), _("a length with its unit, such as '3/8 in' or '52.4 mm'; 0 is allowed"), _("a temperature with its unit, such as '45 degC'"), _("a force with its unit, such as '300 N'"),
    _("a thread such as '3/8-24 UNF' or 'M8 x 1.25'"), _("printable text of at most %(most)s characters, without line breaks"),
    _("where the row comes from: a published source, or 'invented demo data'"),
    _("a number above 0 and one of %(units)s, such as '%(example)s'"), _("one of %(choices)s"),
)  # fmt: skip
"""What the check of the tables can find and expect in a cell, as far as it is translated: every language's catalogue has these sentences."""
_OF_FILES = {
    "two_of_a_name": _("Two files of this name were chosen: send one of them."),
    "endless_cell": _("A cell is longer than any table has: a quotation mark is missing where it ends."),
    "charset": _("Its characters cannot be read: save it again from the spreadsheet, as CSV in UTF-8."),
    "nul": _("It is no table: save it again from the spreadsheet, as CSV."),
    "no_text": _("It is no table: save it again from the spreadsheet, as CSV."),
}


def details_of(problem: Mapping[str, Any]) -> tuple[Detail, ...]:
    """The faults of a problem in words, without duplicates."""
    return tuple(dict.fromkeys(detail for fault in problem["errors"] if (detail := detail_of(fault))))


def detail_of(fault: Mapping[str, Any]) -> Detail | None:
    """A fault in words; None if the refusal's title says it already."""
    if fault["code"] in _SAID_BY_THE_TITLE:
        return None
    if fault["code"] == "faulty_tables":
        return _cell_detail(str(fault["detail"]), fault.get("line"), fault.get("column_name"))
    words, place = _sentence(fault), _place(fault)
    return Detail(f"{place}: {words}" if place else words)


def _sentence(fault: Mapping[str, Any]) -> str:
    """What is wrong and what to do, in the page's language."""
    say, detail = translator(language()), str(fault["detail"])
    for pattern, desk in _SENTENCES:
        values = values_in(pattern, detail)
        if values is not None:
            if values.get("many") == "0" and fault["code"] in _EMPTY:
                return say(_EMPTY[fault["code"]]) % values
            if "status" in values:
                values["status"] = say(STATUSES.get(values["status"], values["status"]))
            if "meant" in values:
                values["meant"] = values["meant"].replace(" or ", ", ")
            if "moment" in values:
                values["moment"] = page_speech().moment(values["moment"])
            return say(desk) % values if values else say(desk)
    return say(_BY_CODE.get(fault["code"], _UNUSABLE))


def values_in(pattern: str, sentence: str) -> dict[str, str] | None:
    """The values that fill in the pattern to give this sentence; None if none do. Each literal part is searched for once, from where the one
    before it ended, so that the time is linear in the length of the sentence, which may contain text of strangers.
    """
    literals, names = _parts(pattern)
    if len(sentence) > _LONGEST or not sentence.startswith(literals[0]):
        return None
    if not names:
        return {} if sentence == pattern else None
    values: dict[str, str] = {}
    start = len(literals[0])
    for name, literal in zip(names[:-1], literals[1:-1], strict=True):
        end = sentence.find(literal, start)
        if end < 0 or values.setdefault(name, sentence[start:end]) != sentence[start:end]:
            return None
        start = end + len(literal)
    end = len(sentence) - len(literals[-1])
    if end < start or not sentence.endswith(literals[-1]) or values.setdefault(names[-1], sentence[start:end]) != sentence[start:end]:
        return None
    return values


@cache
def _parts(pattern: str) -> tuple[list[str], list[str]]:
    """The literal parts of a pattern, and the names of the values between them."""
    return _SLOT.split(pattern)[::2], _SLOT.findall(pattern)


def _place(fault: Mapping[str, Any]) -> str:
    """Where a fault is: the label of a form's field, or row and column of a table; empty if neither is known."""
    say = translator(language())
    if fault.get("column_name"):
        row = fault.get("row")
        if row in (None, 1):
            return say(_("column %(column)s")) % {"column": fault["column_name"]}
        return say(_("row %(row)s, column %(column)s")) % {"row": row, "column": fault["column_name"]}
    steps = str(fault.get("pointer") or fault.get("parameter") or "").split("/")
    names = (name for end in range(len(steps), 0, -1) for name in ("/".join(steps[end - 2 : end]), steps[end - 1]))
    known = next((name for name in names if name in _LABELS), None)
    if known is None:
        return ""
    label = label_of(known)
    return say(_LINE) % {"number": int(steps[2]) + 1, "what": label} if steps[:2] == ["#", "extra_lines"] else label


class Cell(NamedTuple):
    """What the check of the tables says about a cell. `known`: `expected` is in the reader's language; otherwise it is English."""

    file: str
    found: str
    expected: str
    known: bool


def label_of(name: str) -> str:
    """The label of a form's field; empty if it is not known here."""
    return str(translator(language())(_LABELS[name])) if name in _LABELS else ""


def _cell_detail(sentence: str, line: int | None, column: str | None) -> Detail:
    """A fault of a table's cell: where it is, what was found, and what is expected."""
    say, cell = translator(language()), cell_in(sentence)
    if cell is None:
        return Detail(_sentence({"code": "faulty_files", "detail": sentence}))
    values = {"file": cell.file, "row": line or "–", "column": column or "–", "found": cell.found}
    words = say(_("%(file)s, row %(row)s, column %(column)s: found “%(found)s”; expected:")) % values
    return Detail(f"{words} {cell.expected}") if cell.known else Detail(words, cell.expected)


def cell_in(sentence: str) -> Cell | None:
    """The cell that a sentence of the tables' check is about; None for any other sentence."""
    cell = values_in("%(file)s:%(line)s: column %(column)s: found %(found)s, expected %(expected)s", sentence)
    if cell is None:
        return None
    found, expected = (_translated(text) for text in (cell["found"][1:-1], cell["expected"]))
    return Cell(cell["file"], found or cell["found"][1:-1], expected or cell["expected"], expected is not None)


def _translated(text: str) -> str | None:
    """What was found or expected, in the page's language; None if it is no known text."""
    say = translator(language())
    for pattern in _OF_CELLS:
        values = values_in(pattern, text)
        if values is not None:
            return say(pattern) % values if values else say(pattern)
    return None


def unreadable_file(note: Note) -> Detail:
    """Why a chosen file cannot be read, in words."""
    say, place = translator(language()), note.place
    where = say(_("%(file)s, row %(row)s")) % {"file": place.file, "row": place.row} if place.row else place.file
    return Detail(f"{where}: {say(_OF_FILES.get(note.code, _OF_FILES['charset']))}")

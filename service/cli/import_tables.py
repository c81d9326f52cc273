"""`tables import`: a shop's spreadsheet into its tables. Shows what it would do; writes all of it or nothing."""

from __future__ import annotations

import csv
import tempfile
from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass, field, replace
from io import StringIO
from pathlib import Path

from pricing.catalogue import load_catalogue
from pricing.errors import TableError, TableFault
from pricing.importing import report
from pricing.importing.grid import MOST_BYTES, Note, Unreadable
from pricing.importing.lists import EACH, ImportOptions, ShopList, read_list
from pricing.importing.mapping import KINDS, MOST_OF_A_MAPPING, read_mapping, written
from pricing.importing.merging import Choice, Merged, merged, traced
from pricing.importing.tables_as_text import Origin
from service.cli.out import Refused, confirm, refuse, say
from service.cli.whole_folders import finish_and_say, write_all
from service.engine.catalogues import files_of

_ROUNDS = 5  # of leaving out rows that the folder's check refuses: with an article go its prices, and then what refers to them
_MOST = 20


@dataclass(frozen=True, slots=True)
class CommandOptions:
    """The options of the command. `reading`: those that say how to read the file."""

    reading: ImportOptions
    mapping: Path | None = None
    save: Path | None = None
    into: Path | None = None
    listing: Path | None = None
    choice: Choice = field(default_factory=Choice)
    leave_out: bool = False
    sure: bool = False


def command_options(
    *, kind: str | None, mapping: Path | None, save: Path | None, into: Path | None, sheet: str | None, header: int, charset: str | None, delimiter: str | None,
    constants: Sequence[str], sold_only: bool, with_ended: bool, leave_out: bool, listing: Path | None, sure: bool,
) -> CommandOptions:  # fmt: skip
    """The options, from the command line. Raises Refused."""
    if kind is None and mapping is None:
        raise Refused(f"Say with --as which table the rows are of ({', '.join(KINDS)}), or '{EACH}' if sheets or a column tell it.")
    if kind is not None and kind != EACH and kind not in KINDS:
        raise Refused(f"--as {kind!r} is no table: write one of {', '.join(KINDS)}, or '{EACH}'.")
    constants_by_column = {}
    for each in constants:
        name, equals, value = each.partition("=")
        if not equals or not value.strip():
            raise Refused(f"--set {each!r} is not COLUMN=VALUE, such as from_day=2026-03-01.")
        constants_by_column[name.strip()] = value.strip()
    reading = ImportOptions(kind, None, sheet, header, charset, mark_of(delimiter), constants_by_column)
    return CommandOptions(reading, mapping, save, into, listing, Choice(sold_only, with_ended), leave_out, sure)


def run(file: Path, options: CommandOptions) -> int:
    """Import a file. Raises Refused, OSError."""
    try:
        shop_list = read_list(body_of(file), file.name, with_mapping(options.reading, options.mapping))
        if options.save is not None:
            _save(options.save, written(shop_list.mapping, file.name))
        folder = _folder(options.into)
        result = _checked(shop_list, folder, options)
    except Unreadable as error:
        return refuse("Nothing was imported:", *map(str, error.notes))
    return _report(file, shop_list, result, folder, options)


def body_of(file: Path) -> bytes:
    """A list's bytes. Raises Refused for more than is read, OSError."""
    size = file.stat().st_size
    if size > MOST_BYTES:
        words = f"{file} has {size // 1_000_000} MB, more than the {MOST_BYTES // 1_000_000} MB that are read"
        raise Refused(f"{words}: split the list, or save it without pictures.")
    return file.read_bytes()


def with_mapping(reading: ImportOptions, mapping: Path | None) -> ImportOptions:
    """The reading options, with the mapping from a file if one is given. Raises Unreadable, OSError."""
    if mapping is None:
        return reading
    with mapping.open("rb") as stream:
        return replace(reading, mapping=read_mapping(stream.read(MOST_OF_A_MAPPING + 1), mapping.name))


def mark_of(delimiter: str | None) -> str | None:
    """The delimiter that the option names. Raises Refused."""
    mark = {"tab": "\t", "\\t": "\t"}.get(delimiter or "", delimiter)
    if mark is not None and len(mark) != 1:
        raise Refused("--delimiter is one character, or 'tab'.")
    return mark


def _folder(into: Path | None) -> dict[str, str]:
    """The texts of the folder's tables, whole. Raises Refused, OSError."""
    if into is None:
        return {}
    finish_and_say(into)
    return files_of(into)


def _save(path: Path, text: str) -> None:
    if path.exists():
        raise Refused(f"{path} is there already: name a new file for the mapping, or remove that one.")
    path.write_text(text, encoding="utf-8")


@dataclass(slots=True)
class _Result:
    merged: Merged
    faults: list[Note]
    foreign: list[Note]


def _checked(shop_list: ShopList, folder: Mapping[str, str], options: CommandOptions) -> _Result:
    """The merged folder, and what its check finds in the list's rows (which the option --leave-out leaves out) and elsewhere."""
    without: set[Origin] = set()
    faults: list[Note] = []
    for _ in range(_ROUNDS):
        result = merged(shop_list.sheets, folder, options.choice, without)
        if options.into is None or result.fatal:
            return _Result(result, faults, [])
        notes = [traced(fault, shop_list.sheets, result) for fault in _faults({**folder, **result.files})]
        foreign = [note for note, origin in notes if origin is None]
        mine = {origin for _, origin in notes if origin is not None}
        faults += [note for note, origin in notes if origin is not None]
        without |= mine
        if not mine or not options.leave_out:
            break
    return _Result(result, faults, foreign)


def _faults(files: Mapping[str, str]) -> Sequence[TableFault]:
    with tempfile.TemporaryDirectory(prefix="tables-") as place:
        for name, content in files.items():
            (Path(place) / name).write_bytes(content.encode())
        try:
            load_catalogue(Path(place))
        except TableError as error:
            return error.faults
    return ()


def _report(file: Path, shop_list: ShopList, result: _Result, folder: Mapping[str, str], options: CommandOptions) -> int:
    """Print what was read and what would change, then write it if that was asked for and nothing forbids it."""
    plan, most = result.merged, _MOST
    refused = [*plan.refused, *result.faults]
    ended = report.ended_notes(shop_list.sheets)
    kept_out = "Taken though no longer sold" if options.choice.with_ended else "Left out as no longer sold (--with-ended takes them)"
    lines = [
        *report.notes_lines("Read", shop_list.notes, 1000),
        *report.mapping_lines(shop_list),
        *report.assumed_lines(shop_list.sheets),
        *report.notes_lines("To be known", plan.notes, most),
        *report.notes_lines(kept_out, ended, most),
        *report.lacking_lines(plan, shop_list.sheets, sold_only=options.choice.sold_only),
        *report.notes_lines("Refused", refused, most),
        *report.notes_lines("Asked; nothing is loaded before it is answered", plan.currency_mismatches, most),
        *report.notes_lines("Rows that contradict each other; nothing is loaded before they are corrected", plan.fatal, most),
        *report.notes_lines("Faults of the folder itself", result.foreign, most),
    ]
    if options.listing is not None:
        _write_listing(
            options.listing,
            {
                "read": shop_list.notes,
                "known": plan.notes,
                "ended": ended,
                "refused": refused,
                "contradicts": plan.fatal,
                "asked": plan.currency_mismatches,
                "folder": result.foreign,
                "lacks": _lacking(plan, shop_list),
            },
        )
    say(
        "\n".join(
            [*lines, "What it comes to:" if options.into is None else f"What it comes to in {options.into}:", *report.counts_lines(plan)]
        )
    )
    if plan.fatal:
        return refuse("Nothing was imported: rows contradict each other.")
    if plan.currency_mismatches:
        return refuse("Nothing was imported: the list's currency is not the shop's.")
    if result.foreign:
        return refuse(
            f"Nothing was imported: the tables in {options.into} would have a fault elsewhere. Correct it first; a folder begins as a copy of pricing/data."
        )
    left = len(plan.lacking) - plan.sold_only
    if options.into is None:
        say("This was a trial: --into FOLDER writes it into a shop's tables.")
        return 1 if refused or left else 0
    if (refused or left) and not options.leave_out:
        parts = [f"{len({note.place[:3] for note in refused})} rows are refused"] * bool(refused) + [
            f"{left} articles lack dimensions"
        ] * bool(left)
        more = " --sold-only takes those that lack dimensions as sold, not computed from." if left else ""
        return refuse(f"Nothing was imported: {' and '.join(parts)}. Correct them, or add --leave-out to import the others.{more}")
    return _written(file, plan, folder, options.into, sure=options.sure)


def _written(file: Path, plan: Merged, folder: Mapping[str, str], into: Path, *, sure: bool) -> int:
    if not plan.files:
        return say(f"{into} has all of it already; nothing was written.")
    confirm(f"Write {', '.join(sorted(plan.files))} in {into}?", sure=sure)
    if files_of(into) != folder:
        raise Refused(f"{into} was changed meanwhile, and nothing was written: run the command again.")
    write_all(into, plan.files)
    return say(
        f"{file.name} is in the tables of {into}. Nothing counts before they are put in force: check them with `catalogue check {into}`."
    )


def _lacking(plan: Merged, shop_list: ShopList) -> list[Note]:
    return [
        Note("lacks", shop_list.sheets[each.which].place(each.at), each.sku, f"{each.family} lacks {', '.join(each.columns)}")
        for each in plan.lacking
    ]


def _write_listing(path: Path, notes: Mapping[str, Iterable[Note]]) -> None:
    """Every note as a row of a CSV file."""
    out = StringIO()
    writer = csv.writer(out, lineterminator="\n")
    writer.writerow(["what", "code", "file", "sheet", "row", "column", "found", "words"])
    for what, several in notes.items():
        for note in several:
            place = note.place
            writer.writerow([what, note.code, place.file, place.sheet, place.row or "", place.header, note.found, note.words])
    path.write_text(out.getvalue(), encoding="utf-8-sig")

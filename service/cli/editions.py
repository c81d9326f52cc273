"""`tables list`, `tables diff` and `tables put`: show how tables differ from those in force and what that changes, and put them in force from a day on."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from contextlib import closing
from dataclasses import dataclass, field
from datetime import date
from pathlib import Path
from typing import TYPE_CHECKING

from service.cli.boats import TypicalBoat, typical_boats
from service.cli.doubts import doubt_lines
from service.cli.out import Refused, confirm, say
from service.cli.whole_folders import finish_and_say, write_all
from service.engine import tables
from service.engine.catalogues import engine_from, files_of
from service.engine.engine import Engine, engine_of
from service.engine.outcomes import Effect, effect_document, effects
from service.settings import Settings
from service.storage import Edition, Editions, Quotes
from service.storage.catalogue_editions import ACCEPTED, Attribution, EditionEntry, PutMeanwhile, entry_status

if TYPE_CHECKING:
    from pricing.catalogue.differences import CellChange, Row, TableDifference
    from pricing.errors import Doubt

MOST_ROWS = 20
MOST_OPEN = 500
SECONDS = 60.0  # for the typical boats, and again for the open quotes
IN_FORCE = "in-force"


@dataclass(frozen=True, slots=True)
class Proposed:
    """Tables to be put in force: their files, where they come from, and the engine over them. `unchanged` raises Refused if their source has changed
    meanwhile; `written` are texts by file name to write into the folder once the tables are in force.
    """

    files: dict[str, str]
    place: str
    engine: Engine
    folder: Path | None = None
    unchanged: Callable[[], None] = lambda: None
    written: Mapping[str, str] = field(default_factory=dict)


def tables_of_folder(settings: Settings, folder: Path) -> Proposed:
    """The tables of a folder, checked. Raises TableError."""
    finish_and_say(folder)
    engine_of(folder, settings)  # reports files that are not text
    files = files_of(folder)
    if (folder / ACCEPTED).exists():
        files[ACCEPTED] = (folder / ACCEPTED).read_bytes().decode("utf-8-sig")
    return Proposed(files, str(folder), engine_from(files, settings), folder)


def tables_of_edition(settings: Settings, editions: Editions, name: str) -> Proposed:
    """The tables of a stored edition. Raises Refused, TableError."""
    edition = edition_named(editions, name)
    return Proposed(editions.content(edition) or {}, edition.id, engine_from(editions.content(edition) or {}, settings))


def edition_named(editions: Editions, name: str) -> Edition:
    """The stored edition of that id, or of an id that begins so. Raises Refused."""
    alike = [each.edition for each in editions.newest(10_000) if each.edition.id.startswith(name)]
    if len(alike) != 1:
        how = "There is no edition" if not alike else f"There are {len(alike)} editions"
        raise Refused(f"{how} {name!r}: `tables list` names them.")
    return alike[0]


def listed(settings: Settings) -> int:
    """Print the stored editions, the newest first, each with the days from which it counted. Raises SQLAlchemyError, WrongSchema."""
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        editions = Editions(store)
        puts, today = editions.entries(), settings.day()
        for each in editions.newest(10_000):
            own = [put for put in puts if put.edition == each.edition]
            say(f"{each.edition.id}  {each.stored_at[:10]}  {each.name}{'  draft' if each.draft else ''}")
            for put in own:
                say(f"    {entry_status(put, puts, today):<9} from {put.from_day or 'the beginning'}, put {_decision(put)}")
    return 0


def _decision(put: EditionEntry) -> str:
    by = "when the service started" if put.attribution.means == "start" else f"by {put.attribution.by or 'somebody not named'}"
    key = f" with the key {put.attribution.key!r}" if put.attribution.key else ""
    words = f": {put.attribution.words}" if put.attribution.words else ""
    return f"at {put.put_at} {by}{key}{words}"


def diff(settings: Settings, folder: Path, against: str, day: str | None, boats: Path | None, *, every: bool) -> int:
    """Print how a folder differs from an edition, and what that changes. Raises Refused, TableError, SQLAlchemyError, WrongSchema, OSError."""
    new = tables_of_folder(settings, folder)
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        editions, start = Editions(store), day_of(day, new.engine.today())
        old = _old(settings, editions, editions.current(start) if against == IN_FORCE else edition_named(editions, against))
        show(store, old, new, start, typical_boats(boats), every=every)
        _print_doubts(tables.checked(new.files, start, old.engine.catalogue if old else None).doubts)
    return 0


def put(
    settings: Settings,
    what: Path | str,
    day: str | None,
    said: Attribution,
    accept: Sequence[str] = (),
    boats: Path | None = None,
    *,
    sure: bool,
) -> int:
    """Put a folder or a stored edition in force from a day on. Raises Refused, TableError, SQLAlchemyError, WrongSchema, OSError."""
    with closing(Quotes(settings.database_url, 1)) as store:
        store.ready()
        editions = Editions(store)
        new = tables_of_folder(settings, what) if isinstance(what, Path) else tables_of_edition(settings, editions, what)
        return put_proposed(store, settings, new, day_of(day, new.engine.today()), said, accept, boats, sure=sure)


def put_proposed(
    store: Quotes,
    settings: Settings,
    new: Proposed,
    start: date,
    said: Attribution,
    accept: Sequence[str] = (),
    boats: Path | None = None,
    *,
    sure: bool,
    tried_on: date | None = None,
    first: Sequence[str] = (),
) -> int:
    """Show what differs and what that changes on a day, ask, and put the tables in force. `first`: lines before the question. Raises as `put`."""
    editions = Editions(store)
    seen, old = editions.last_change(), _old(settings, editions, editions.current(start))
    again = [each for each in editions.entries() if each.edition == new.engine.key]
    show(store, old, new, tried_on or start, typical_boats(boats), every=False)
    checked_tables = tables.checked(new.files, start, old.engine.catalogue if old else None)
    files = dict(new.files)
    if not again:  # tables that were in force before may return without new questions, so that a change can always be taken back
        files = accepted(files, checked_tables.doubts, accept, said, new.engine.today())
    later = [each for each in editions.entries() if entry_status(each, editions.entries(), start) == "coming"]
    question = [*first, f"Put {new.place} in force from {start} on, for all servers of the database: {described(new.engine)}?"]
    question += [f"From {each.from_day} on, {each.edition.id} counts, as was decided {_decision(each)}." for each in later]
    confirm("\n".join(question), sure=sure)
    new.unchanged()
    try:
        done = editions.put_in_force(new.engine.key, files, start, said, seen=seen)
    except PutMeanwhile as error:
        raise Refused(f"Nothing was done: {error} meanwhile. Run the command again, to see what differs now.") from None
    writes = {**new.written, **({ACCEPTED: files[ACCEPTED]} if files.get(ACCEPTED) != new.files.get(ACCEPTED) else {})}
    if new.folder is not None and writes:
        write_all(new.folder, writes)
    when = "In force" if start <= new.engine.today() else f"In force from {start} on"
    return say(f"{when}: {described(new.engine)}. Edition {done.edition.id}.")


def accepted(files: dict[str, str], doubts: Sequence[Doubt], accept: Sequence[str], said: Attribution, today: date) -> dict[str, str]:
    """The files with the accepted doubts added to them. Raises Refused with every doubt that is not accepted."""
    from pricing.catalogue.plausibility import with_accepted

    names = {each.name for each in doubts}
    if strange := [each for each in accept if each not in names]:
        raise Refused("\n".join(["These are not doubted, and cannot be accepted:", *strange]))
    if left := [each for each in doubts if each.name not in accept]:
        words = f"Nothing was done: {len(left)} cell(s) are doubted. Correct each, or accept it by its name with --accept and --by:"
        raise Refused("\n".join([words, *doubt_lines(left)]))
    if not accept:
        return files
    if said.by is None:
        raise Refused("Say with --by who accepts what is doubted: it is kept with the tables.")
    return {**files, ACCEPTED: with_accepted(files.get(ACCEPTED, ""), accept, said.by, today, said.words or "")}


def day_of(text: str | None, today: date) -> date:
    """The day from which something is to apply; today by default. Raises Refused for a day in the past, and for text that is no day."""
    try:
        day = today if text is None else date.fromisoformat(text)
    except ValueError:
        raise Refused(f"--from must be a day as YYYY-MM-DD, not {text!r}.") from None
    if day < today:
        raise Refused(f"{day} is in the past: tables and prices are never changed retroactively. Name today or a later day.")
    return day


def described(engine: Engine) -> str:
    """An engine's tables in words: name and versions."""
    return f"{engine.edition['name']}, version {engine.key.catalogue}, prices {engine.key.prices}"


def show(store: Quotes, old: Proposed | None, new: Proposed, day: date, boats: Sequence[TypicalBoat], *, every: bool) -> None:
    """Print how the new tables differ from the old ones, and what that changes on a day."""
    if old is None:
        say("Nothing is in force yet to compare with.")
        return
    differences = tables.difference(old.files, new.files)
    say(f"{new.place}, compared with {described(old.engine)}:")
    for line in difference_lines(differences, None if every else MOST_ROWS):
        say(line)
    if not differences:
        return
    say(f"Typical boats, quoted on {day}:")
    tried = tables.compared(old.engine, new.engine, [each.body for each in boats], day, SECONDS)
    _print_effects(effects([each.name for each in boats], tried.before, tried.after), len(boats), "boats")
    opened, many = store.open_on(day, MOST_OPEN)
    say(f"Open quotes, if they were quoted again on {day}:")
    tried = tables.compared(old.engine, new.engine, [store.with_request(each.id)[1] for each in opened], day, SECONDS)
    _print_effects(effects([each.number for each in opened], tried.before, tried.after, [each.payable for each in opened]), many, "quotes")
    say(f"Priced already: {store.count()} quotes keep the tables they were made with, and do not change.")


def _print_effects(tried: Sequence[Effect], many: int, what: str) -> None:
    changed = [each for each in tried if each.changed]
    for each in changed:
        say("\n".join(_effect(each)))
    left = f" {many - len(tried)} were not looked at: there was no time." if many > len(tried) else ""
    say(f"  {len(changed)} of {len(tried)} {what} would come out otherwise.{left}")


def _effect(effect: Effect) -> Iterator[str]:
    made = effect_document(effect)
    issued = "" if made["issued"] in (None, made["before"]) else f"; issued at {made['issued']}"
    change = "" if made["change"] is None else f" ({_signed(made['change'])}{issued})"
    yield f"  {effect.name}: {made['before'] or 'not priced'} -> {made['after'] or 'not priced'} {made['currency'] or ''}{change}".rstrip()
    for each in made["lengths"]:
        by = "" if each["change_mm"] is None else f" ({_signed(each['change_mm'])} mm)"
        yield f"    {each['tag']}: cut {each['before_mm'] or 'not known'} -> {each['after_mm'] or 'not known'} mm{by}"
    for each in made["readiness"]:
        yield f"    {each['tag']}: {each['before']} -> {each['after']}"
    for each in made["articles"]:
        yield f"    {each['sku']}: {each['before'] or 'none'} -> {each['after'] or 'none'}"
    for name in ("refused_before", "refused_after"):
        if made[name]:
            yield f"    {name.replace('_', ' ')}: {made[name]}"


def difference_lines(differences: Iterable[TableDifference], most: int | None) -> Iterator[str]:
    """What differs, a line a row; at most so many rows of a kind in each table."""
    nothing = True
    for each in differences:
        nothing = False
        counts = [f"{len(rows)} {how}" for rows, how in ((each.new, "new"), (each.gone, "gone"), (each.changed, "changed")) if rows]
        yield f"  {each.file}: {', '.join(counts)}"
        for rows, how in ((each.new, "+"), (each.gone, "-"), (each.changed, "~")):
            for row in rows[:most]:
                yield f"    {how} {_row(row)}"
            if most is not None and len(rows) > most:
                yield f"    {how} and {len(rows) - most} more: --all shows them"
    if nothing:
        yield "  nothing differs"


def _row(row: Row) -> str:
    key = " / ".join(text for _, text in row.key)
    return key if not row.changes else f"{key}: {'; '.join(map(_change, row.changes))}"


def _change(change: CellChange) -> str:
    comes_to = [f"{_signed(str(change.mm.normalize()))} mm"] if change.mm is not None else []
    comes_to += [f"{_signed(str(change.percent))} %"] if change.percent is not None else []
    by = f" ({', '.join(comes_to)})" if comes_to else ""
    return f"{change.column} {change.before or 'blank'} -> {change.after or 'blank'}{by}"


def _signed(number: str) -> str:
    return number if number.startswith("-") else f"+{number}"


def _old(settings: Settings, editions: Editions, edition: Edition | None) -> Proposed | None:
    files = None if edition is None else editions.content(edition)
    return None if edition is None or files is None else Proposed(files, edition.id, engine_from(files, settings))


def _print_doubts(doubts: Sequence[Doubt]) -> None:
    for each in doubts:
        say(f"doubted: {each}\n  {each.name}")

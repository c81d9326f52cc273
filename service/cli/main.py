"""`python -m service`: every command with its arguments, in one group.

Each command is implemented in its own module, imported when it runs: `--help` reads no settings and opens nothing, and the server
starts without loading libraries that only other commands need.
"""

from __future__ import annotations

import os
import sys
from collections.abc import Callable, Sequence
from pathlib import Path

import click

from service.cli.out import refuse, refuse_database, refuse_file
from service.credentials.keys import Scope
from service.credentials.people import Role
from service.demo import demo_names
from service.encoding.languages import LANGUAGES
from service.lifecycle.events import CHOOSABLE
from service.settings import READERS, Settings, SettingsError, read_settings, variable

PROGRAM = "python -m service"
OLD_FILE = click.Path(exists=True, dir_okay=False, readable=True, path_type=Path)
NEW_FILE = click.Path(dir_okay=False, path_type=Path)
FOLDER = click.Path(exists=True, file_okay=False, readable=True, path_type=Path)
HOURS = click.IntRange(0, 168)
yes = click.option("--yes", is_flag=True, help="Do it without asking.")
boats = click.option(
    "--boats",
    type=click.Path(exists=True, readable=True, path_type=Path),
    help="Your typical boats: requests as JSON, NDJSON or a folder of them.",
)


def accepting(command: Callable[..., int]) -> Callable[..., int]:
    """Add the options that say who decides, why, and which doubts they accept."""
    for option in (
        click.option("--words", help="Why, to be kept with it."),
        click.option("--by", help="Who decides, to be kept with it."),
        click.option("--accept", multiple=True, metavar="DOUBT", help="A doubt to accept, by its name; again for more."),
    ):
        command = option(command)
    return command


def reading(command: Callable[..., int]) -> Callable[..., int]:
    """Add the options that say how to read a list's file, for what is not detected by itself."""
    for option in (
        click.option("--delimiter", help="The delimiter between a text file's cells; 'tab' for a tab."),
        click.option("--charset", help="A text file's charset, such as cp1252 or cp850."),
        click.option("--header", type=click.IntRange(min=1), help="The row of the header, if it is not found."),
        click.option("--sheet", help="The workbook's sheet."),
        click.option("--mapping", type=OLD_FILE, help="A saved mapping: how the list's columns, units and words become ours."),
    ):
        command = option(command)
    return command


def main(arguments: Sequence[str]) -> int:
    """Run a command and return its exit code; 2 for a wrong setting, table, database, file or argument, 1 if the user declines."""
    os.umask(0o077)  # files contain names and key digests, so only this user may read them
    try:
        with service.make_context(PROGRAM, list(arguments)) as context:
            return int(service.invoke(context) or 0)
    except click.exceptions.Exit as done:
        return done.exit_code
    except KeyboardInterrupt:
        return refuse("Stopped.", code=130)
    except click.Abort:
        return refuse("Nothing was done.", code=1)
    except click.ClickException as error:
        error.show()
        return error.exit_code
    except SettingsError as error:
        return refuse("The settings cannot be used:", *error.faults)
    except BrokenPipeError:  # the reader of the output has closed it, as `head` does
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except Exception as error:  # noqa: BLE001  # what is not known is raised again
        return _refused(error)


def _refused(error: Exception) -> int:
    from sqlalchemy.exc import SQLAlchemyError

    from pricing.errors import TableError
    from service.storage.schema_version import WrongSchema

    match error:
        case TableError():
            return refuse(f"The catalogue cannot be used; {len(error.faults)} fault(s):", *map(str, error.faults))
        case WrongSchema():
            return refuse(str(error))
        case SQLAlchemyError():
            return refuse_database(error)
        case OSError():
            return refuse_file(error)
    raise error


def _settings() -> Settings:
    return read_settings(os.environ)


EPILOG = f"""Commands that change or delete stored data say what they would do and ask; --yes answers for you. Without a terminal
to ask on they refuse. COMMAND --help describes a command and does nothing else.

Settings are environment variables: {", ".join(map(variable, READERS))}."""


@click.group(invoke_without_command=True, context_settings={"help_option_names": ["-h", "--help"], "max_content_width": 120}, epilog=EPILOG)
@click.pass_context
def service(context: click.Context) -> None:
    """Measured rigging wires in; cut lengths, a bill of materials and a quote out. Without a command: serve."""
    if context.invoked_subcommand is None:
        context.exit(context.invoke(serve))


@service.command()
def serve() -> int:
    """Serve quotes until stopped; also without a command."""
    from service.cli.serve import serve as run

    return run(_settings())


@service.command()
def work() -> int:
    """Process batches without serving, until stopped."""
    from service.cli.work import work as run

    return run(_settings())


@service.command()
@click.argument("name", type=click.Choice(demo_names()), default=demo_names()[0], metavar="[NAME]")
def demo(name: str) -> int:
    """Print the quote of a demo request, without a server."""
    from service.cli.demo import demo as run

    return run(_settings(), name)


@service.command()
@click.argument("folder", type=click.Path(path_type=Path))
def gallery(folder: Path) -> int:
    """Write the demo boats in every format to a new FOLDER.

    Begin with its index.html. A folder that holds something is left alone.
    """
    from service.cli.gallery import gallery as run

    return run(_settings(), folder)


@service.command()
@click.argument("file", type=OLD_FILE)
@click.option("--out", type=NEW_FILE, help="Where to write the results; without it, to standard output as NDJSON.")
@yes
def batch(file: Path, out: Path | None, yes: bool) -> int:
    """Quote a fleet from FILE without a server.

    FILE is NDJSON, CSV or JSON, and nothing is stored. The results are NDJSON, JSON, CSV or a workbook, by the ending of --out. A file that is there already is replaced
    only if you say so.
    """
    from service.cli.batch import batch as run

    return run(_settings(), file, out, sure=yes)


@service.group()
def form() -> None:
    """Put the form into a shop's page."""


@form.command("lines")
@click.argument("address")
@click.option("--key", default="wq_publishable_...", help="A publishable key that is bound to the page's origin.")
@click.option("--lang", type=click.Choice(LANGUAGES), default=LANGUAGES[0], help="The form's language.")
def form_lines(address: str, key: str, lang: str) -> int:
    """Print the lines that put the form into a shop's page.

    ADDRESS is where the service is reached from outside, such as https://quotes.example.
    """
    from service.cli.form import lines

    return lines(address, key, lang)


@form.command("package")
@click.argument("folder", type=click.Path(path_type=Path))
@click.option(
    "--name", default="wire-quote-form", show_default=True, help="The package's name; one with a scope (@shop/...) can be published."
)
@click.option("--version", "number", help="The package's version; without it the service's.")
def form_package(folder: Path, name: str, number: str | None) -> int:
    """Write the form's module as an npm package to a new FOLDER.

    The module is the one that the service serves, with types, and with its texts for the tables in force. A folder that holds something is left alone.
    """
    from service.cli.form import package

    return package(_settings(), folder, name, number)


@service.command()
@yes
def migrate(yes: bool) -> int:
    """Bring the database to this release's schema.

    An empty database gets its tables without a question. Make a backup of any other first.
    """
    from service.cli.migrate import migrate_database

    return migrate_database(_settings(), sure=yes)


@service.command()
@click.argument("file", type=NEW_FILE)
def backup(file: Path) -> int:
    """Write the database to a new FILE while the service runs."""
    from service.cli.keep import backup as run

    return run(_settings(), file)


@service.command()
@click.argument("file", type=OLD_FILE)
@yes
def restore(file: Path, yes: bool) -> int:
    """Restore the backup in FILE into a database without quotes."""
    from service.cli.keep import restore as run

    return run(_settings(), file, sure=yes)


@service.command()
@click.argument("number", required=False)
@click.option("--all", "every", is_flag=True, help="All quotes; also without a NUMBER.")
def recompute(number: str | None, every: bool) -> int:
    """Recompute stored quotes and print what differs.

    Each is computed from the tables it was made with. Nothing is stored. It ends with 1 if any quote differs.
    """
    from service.cli.recompute import recompute as run

    if number and every:
        raise click.UsageError("Give a NUMBER or --all, not both.")
    return run(_settings(), number)


@service.command()
@click.option("--least", type=click.IntRange(min=1), default=5, show_default=True, help="Fewer records of a terminal give no figure.")
def growth(least: int) -> int:
    """Print the growth of swaged terminals.

    It is taken from the records of finished assemblies, in the columns of growths.csv.
    """
    from service.cli.growth import growth as run

    return run(_settings(), least)


@service.command()
def repeatability() -> int:
    """Print the repeatability of one reading of a length.

    It is pooled over the lengths that customers read more than once, as the term of terms.csv.
    """
    from service.cli.repeatability import repeatability as run

    return run(_settings())


@service.group()
def catalogue() -> None:
    """Check a shop's tables, and put them in force."""


@catalogue.command("check")
@click.argument("folder", type=FOLDER)
@accepting
def catalogue_check(folder: Path, accept: tuple[str, ...], by: str | None, words: str | None) -> int:
    """Check the tables in FOLDER for faults and doubts.

    Every fault is printed, and every doubtful value. Tables with a fault are refused. Correct a doubtful value, or accept the doubt by its name with --accept and --by, which is kept in FOLDER. While a
    doubt is open, the exit code is 1.
    """
    from service.cli.tables import check

    return check(_settings(), folder, accept, by, words)


@catalogue.command("load")
@yes
def catalogue_load(yes: bool) -> int:
    """Put the folder of SERVICE_CATALOGUE in force.

    It is refused while a value in it is doubted and not accepted. Running servers of the database take it up within seconds.
    """
    from service.cli.tables import load

    return load(_settings(), sure=yes)


@service.group()
def prices() -> None:
    """Add prices to a shop's tables."""


@prices.command("load")
@click.argument("file", type=OLD_FILE)
@click.option("--from", "day", required=True, metavar="YYYY-MM-DD", help="The first day that they count: today or a later one.")
@click.option("--fewer-breaks", is_flag=True, help="With --yes: quantity breaks that the file lacks are to end.")
@click.option("--currency", metavar="CODE", help="What the prices are in, by ISO 4217, whatever the file says.")
@reading
@accepting
@yes
def prices_load(
    file: Path, day: str, fewer_breaks: bool, mapping: Path | None, sheet: str | None, header: int | None, charset: str | None, delimiter: str | None,
    currency: str | None, accept: tuple[str, ...], by: str | None, words: str | None, yes: bool,
) -> int:  # fmt: skip
    """Add the prices in FILE from a day on, and put them in force.

    FILE has the columns of prices.csv except the day: CSV of any delimiter and charset, or a workbook (.xlsx). One with other headers is read by a
    mapping that `tables import --as prices` saved. What differs, and what that changes for typical boats and open quotes, is shown first. The rows
    go into the folder of SERVICE_CATALOGUE: all or none.
    """
    from pricing.importing.lists import ImportOptions
    from service.cli.import_tables import mark_of
    from service.cli.prices import load_prices
    from service.storage.catalogue_editions import Attribution

    reading = ImportOptions(
        sheet=sheet, header=header or 0, charset=charset, delimiter=mark_of(delimiter), constants={"currency": currency} if currency else {}
    )
    return load_prices(
        _settings(), file, day, Attribution(by, words), accept, sure=yes, fewer_breaks=fewer_breaks, reading=reading, mapping=mapping
    )


@service.group()
def tables() -> None:
    """Import and compare tables, and put them in force."""


@tables.command("import")
@click.argument("file", type=OLD_FILE)
@click.option(
    "--as",
    "kind",
    metavar="TABLE",
    help="The table that the rows are of, such as terminals; 'each': by the sheets' names or a column of kinds.",
)
@click.option("--save-mapping", "save", type=NEW_FILE, help="Keep the mapping in a new file, to be corrected and used again.")
@click.option("--into", type=FOLDER, help="The folder of tables to write into; without it nothing is written.")
@reading
@click.option(
    "--set",
    "constants",
    multiple=True,
    metavar="COLUMN=VALUE",
    help="The same in every row that does not say otherwise, such as from_day=2026-03-01; again for more.",
)
@click.option("--sold-only", is_flag=True, help="Take articles that lack dimensions as sold, not computed from.")
@click.option("--with-ended", is_flag=True, help="Take articles that the list says are no longer sold.")
@click.option("--leave-out", is_flag=True, help="Import the good rows though others are refused.")
@click.option("--list", "listing", type=NEW_FILE, help="Write all that was found, row by row, to a CSV file.")
@yes
def tables_import(
    file: Path, kind: str | None, mapping: Path | None, save: Path | None, into: Path | None, sheet: str | None, header: int | None, charset: str | None,
    delimiter: str | None, constants: tuple[str, ...], sold_only: bool, with_ended: bool, leave_out: bool, listing: Path | None, yes: bool,
) -> int:  # fmt: skip
    """Read a shop's list into its tables, or show what that would do.

    FILE is CSV of any delimiter and charset, or a workbook (.xlsx). All changed tables are written or none; what is written counts once
    it is put in force.
    """
    from service.cli.import_tables import command_options, run

    options = command_options(kind=kind, mapping=mapping, save=save, into=into, sheet=sheet, header=header or 0, charset=charset, delimiter=delimiter, constants=constants,
                   sold_only=sold_only, with_ended=with_ended, leave_out=leave_out, listing=listing, sure=yes)  # fmt: skip
    return run(file, options)


@tables.command("list")
def tables_list() -> int:
    """Print the stored editions, with the days from which they count."""
    from service.cli.editions import listed

    return listed(_settings())


@tables.command("diff")
@click.argument("folder", type=FOLDER)
@click.option("--against", default="in-force", show_default=True, metavar="EDITION", help="An edition that `tables list` names.")
@click.option("--from", "day", metavar="YYYY-MM-DD", help="The day that is compared and quoted for; without it today.")
@boats
@click.option("--all", "every", is_flag=True, help="Every row that differs.")
def tables_diff(folder: Path, against: str, day: str | None, boats: Path | None, every: bool) -> int:
    """Print what differs in FOLDER, and what that does.

    Rows new, gone and changed; typical boats and open quotes before and after, in money and millimetres; what is doubted. Nothing is
    changed.
    """
    from service.cli.editions import diff

    return diff(_settings(), folder, against, day, boats, every=every)


@tables.command("put")
@click.argument("folder", type=FOLDER, required=False)
@click.option("--edition", metavar="EDITION", help="In place of a FOLDER: an edition that `tables list` names, such as an earlier one.")
@click.option("--from", "day", metavar="YYYY-MM-DD", help="The first day that it counts: today or a later one; without it today.")
@accepting
@boats
@yes
def tables_put(
    folder: Path | None,
    edition: str | None,
    day: str | None,
    accept: tuple[str, ...],
    by: str | None,
    words: str | None,
    boats: Path | None,
    yes: bool,
) -> int:
    """Put FOLDER in force from a day on.

    What differs and what that changes is shown first. Running servers of the database change over on that day. To take it back, put the
    previous edition in force again.
    """
    from service.cli.editions import put
    from service.storage.catalogue_editions import Attribution

    if (folder is None) == (edition is None):
        raise click.UsageError("Give a FOLDER, or an --edition to put in force again.")
    return put(_settings(), folder or edition or "", day, Attribution(by, words), accept, boats, sure=yes)


@service.group()
def stock() -> None:
    """List the wire on the shelf, and replace it by a count."""


@stock.command("list")
def stock_list() -> int:
    """Print a line for each object on the shelf."""
    from service.cli.stock import listed

    return listed(_settings())


@stock.command("count")
@click.argument("file", type=OLD_FILE)
@yes
def stock_count(file: Path, yes: bool) -> int:
    """Replace the shelf by what was counted, in FILE like stock.csv."""
    from service.cli.stock import count

    return count(_settings(), file, sure=yes)


@service.group()
def purchases() -> None:
    """What to buy, and a quote's margin: for the shop's owner."""


@purchases.command("needed")
@click.argument("numbers", nargs=-1, metavar="[NUMBER]...")
@click.option("--format", "form", type=click.Choice(("csv", "json", "ubl")), default="csv", show_default=True, help="How to print it.")
@click.option("--supplier", help="The supplier whose order to print, for --format ubl.")
def purchases_needed(numbers: tuple[str, ...], form: str, supplier: str | None) -> int:
    """Print what to buy by supplier, for quotes and for low stock.

    The quotes are those of the NUMBERs given, else all that are accepted and wait to be cut.
    """
    from service.cli.purchases import needed

    return needed(_settings(), numbers, form, supplier)


@purchases.command("margin")
@click.argument("number")
def purchases_margin(number: str) -> int:
    """Print the margin of the quote NUMBER, line by line, as JSON."""
    from service.cli.purchases import margin

    return margin(_settings(), number)


@service.group()
def quotes() -> None:
    """List, export and requote stored quotes."""


@quotes.command("list")
def quotes_list() -> int:
    """Print a line for each quote, newest first."""
    from service.cli.quotes import listed

    return listed(_settings())


@quotes.command("export")
def quotes_export() -> int:
    """Print every quote as a JSON line, oldest first."""
    from service.cli.quotes import export

    return export(_settings())


@quotes.command("requote")
@click.argument("number", required=False)
@click.option("--open", "every_open", is_flag=True, help="Every open quote that would change, as a batch.")
@yes
def quotes_requote(number: str | None, every_open: bool, yes: bool) -> int:
    """Quote NUMBER again at today's prices.

    Its last request becomes its next revision, once you have seen what changes. With --open, every open quote that would come out
    otherwise; the others are left as they are.
    """
    from service.cli.quotes import requote, requote_open

    if bool(number) == every_open:
        raise click.UsageError("Give the NUMBER of a quote, or --open for every open one.")
    return requote_open(_settings(), sure=yes) if number is None else requote(_settings(), number, sure=yes)


@service.group()
def customers() -> None:
    """Export or erase customers' data."""


@customers.command("export")
@click.argument("who")
def customers_export(who: str) -> int:
    """Print everything kept of the customer WHO as JSON.

    WHO is the whole name or the e-mail address.
    """
    from service.cli.customers import export

    return export(_settings(), who)


@customers.command("erase")
@click.argument("who")
@yes
def customers_erase(who: str, yes: bool) -> int:
    """Erase names and notes of the customer WHO; numbers stay.

    WHO is the whole name or the e-mail address. What would be erased is listed first.
    """
    from service.cli.customers import erase

    return erase(_settings(), who, sure=yes)


@customers.command("retain")
@yes
def customers_retain(yes: bool) -> int:
    """Erase customers whose quotes have long been unused.

    How long is SERVICE_RETENTION_MONTHS. What would be erased is listed first.
    """
    from service.cli.customers import retain

    return retain(_settings(), sure=yes)


@service.group()
def keys() -> None:
    """Make, replace and revoke API keys."""


@keys.command("make")
@click.option("--name", required=True, help="Whose key it is; `keys list` shows it.")
@click.option("--scopes", help=f"What a secret key may do, of {', '.join(Scope)}, with commas between them.")
@click.option("--publishable", is_flag=True, help="For a browser; needs --origin.")
@click.option("--origin", "origins", multiple=True, help="Where the browser's page comes from (https://shop.example); again for more.")
def keys_make(name: str, scopes: str | None, publishable: bool, origins: tuple[str, ...]) -> int:
    """Make a key and print it, only this once."""
    from service.cli.keys import make

    return make(_settings(), name, scopes, origins, publishable=publishable)


@keys.command("list")
def keys_list() -> int:
    """Print every key's data, without the keys themselves."""
    from service.cli.keys import listed

    return listed(_settings())


@keys.command("rotate")
@click.argument("id")
@click.option("--keep-hours", type=HOURS, default=0, show_default=True, help="How long the old key stays valid.")
@yes
def keys_rotate(id: str, keep_hours: int, yes: bool) -> int:  # noqa: A002  # the argument's name in the usage
    """Replace a key by a new one.

    It has the same name, scopes and origins.
    """
    from service.cli.keys import rotate

    return rotate(_settings(), id, keep_hours, sure=yes)


@keys.command("revoke")
@click.argument("id")
@yes
def keys_revoke(id: str, yes: bool) -> int:  # noqa: A002  # as above
    """Revoke a key."""
    from service.cli.keys import revoke

    return revoke(_settings(), id, sure=yes)


@service.group()
def people() -> None:
    """Let the shop's people sign in at the desk, and end that."""


@people.command("add")
@click.argument("name")
@click.option("--role", type=click.Choice([each.value for each in Role]), required=True, help="What they do in the shop.")
def people_add(name: str, role: str) -> int:
    """Add someone, and print a link to sign in by.

    The link is good once, for fifteen minutes. Records of what they do at the desk carry NAME.
    """
    from service.cli.people import add

    return add(_settings(), name, role)


@people.command("link")
@click.argument("person")
def people_link(person: str) -> int:
    """Print a new link to sign in by.

    PERSON is an id or a name that `people list` shows. A link made before is no longer good.
    """
    from service.cli.people import link

    return link(_settings(), person)


@people.command("list")
def people_list() -> int:
    """Print the shop's people, and where they are signed in."""
    from service.cli.people import listed

    return listed(_settings())


@people.command("sign-out")
@click.argument("session")
def people_sign_out(session: str) -> int:
    """End one session at once, such as that of a lost phone."""
    from service.cli.people import sign_out

    return sign_out(_settings(), session)


@people.command("end")
@click.argument("person")
@yes
def people_end(person: str, yes: bool) -> int:
    """End someone's access and all of their sessions."""
    from service.cli.people import end

    return end(_settings(), person, sure=yes)


@service.group()
def links() -> None:
    """Withdraw customers' links to quotes."""


@links.command("withdraw")
@yes
def links_withdraw(yes: bool) -> int:
    """Withdraw every link to a quote made so far."""
    from service.cli.keys import withdraw_links

    return withdraw_links(_settings(), sure=yes)


@service.group()
def webhooks() -> None:
    """Notify the shop's own systems of quotes and batches."""


@webhooks.command("add")
@click.argument("url")
@click.option("--events", default=",".join(CHOOSABLE), help=f"Of {', '.join(CHOOSABLE)}, with commas between them; without it all.")
def webhooks_add(url: str, events: str) -> int:
    """Add an endpoint, URL, and print its secret, only this once."""
    from service.cli.webhooks import add

    return add(_settings(), url, events)


@webhooks.command("list")
def webhooks_list() -> int:
    """Print every endpoint, and what waits for it or failed."""
    from service.cli.webhooks import listed

    return listed(_settings())


@webhooks.command("remove")
@click.argument("id")
@yes
def webhooks_remove(id: str, yes: bool) -> int:  # noqa: A002  # as above
    """Remove an endpoint: nothing more is sent to it."""
    from service.cli.webhooks import remove

    return remove(_settings(), id, sure=yes)


@webhooks.command("rotate")
@click.argument("id")
@click.option("--keep-hours", type=HOURS, default=24, show_default=True, help="How long messages are signed with the old secret as well.")
@yes
def webhooks_rotate(id: str, keep_hours: int, yes: bool) -> int:  # noqa: A002  # as above
    """Give an endpoint a new secret, and print it, only this once."""
    from service.cli.webhooks import rotate

    return rotate(_settings(), id, keep_hours, sure=yes)


@webhooks.command("test")
@click.argument("id")
def webhooks_test(id: str) -> int:  # noqa: A002  # as above
    """Send a message of the type webhook.test, now."""
    from service.cli.webhooks import test

    return test(_settings(), id)


@webhooks.command("failed")
def webhooks_failed() -> int:
    """Print the messages that failed for good."""
    from service.cli.webhooks import failed

    return failed(_settings())


@webhooks.command("resend")
@click.argument("id")
@yes
def webhooks_resend(id: str, yes: bool) -> int:  # noqa: A002  # as above
    """Deliver failed messages again.

    ID is that of a message, or of an endpoint for all of its failed messages.
    """
    from service.cli.webhooks import resend

    return resend(_settings(), id, sure=yes)

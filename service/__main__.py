"""`python -m service` serves quotes; `python -m service --help` lists what else it does."""

from __future__ import annotations

import os
import sys
from collections.abc import Sequence

import orjson
from sqlalchemy.exc import SQLAlchemyError

from pricing.errors import TableError
from service.commands import customers, quotes, stock, tables
from service.commands.batch import batch
from service.commands.form import form
from service.commands.growth import USUAL, growth
from service.commands.keep import backup, restore
from service.commands.keys import keys, withdraw_links
from service.commands.migrate import migrate_database
from service.commands.out import WRONG, refuse, refuse_database, say
from service.commands.recompute import recompute
from service.commands.serve import serve, welcome
from service.commands.work import work
from service.demo import demo_names, demo_request
from service.engine import Engine, open_engine
from service.settings import READERS, Settings, SettingsError, read_settings, variable
from service.storage import WrongSchema

__all__ = ["WRONG", "main", "welcome"]

USAGE = """usage: python -m service [COMMAND]

  serve                        serve quotes; also without a command
  batch FILE [--out FILE]      quote a fleet (NDJSON, CSV, JSON) without a server; nothing is stored
  work                         work on batches without serving, beside a machine that serves
  demo [NAME]                  print the quote of a demo request, without a server
  gallery FOLDER               the demo boats in every form, as files to look at, with an index.html
  migrate                      bring the database to this release's schema
  recompute [NUMBER | --all]   make stored quotes again from their own tables, print differences
  catalogue check FOLDER       check a folder's tables, print every fault
  catalogue load               put the settings' folder in force, for running servers too
  prices load FILE --from DAY  add prices to that folder from a day on, and put it in force
  quotes list | export         a line for each quote; every quote as JSON lines
  quotes requote NUMBER        a number's last request at today's prices, as its next revision
  stock list | count FILE      a line for each object on the shelf; replace them by what was counted
  quotes requote --open        the same for every open quote
  customers export WHO         everything kept of one customer, by name or address, as JSON
  customers erase WHO [--yes]  names and notes gone from that customer's quotes; their numbers stay
  customers retain [--yes]     the same for quotes quiet for longer than SERVICE_RETENTION_MONTHS
  growth [--least N]           growth of swaged terminals as the finished assemblies have it
  keys make | list | rotate ID | revoke ID
                               who may use the service; `keys make --help` tells more
  form ADDRESS [--key KEY]     the two lines that put the form into a shop's page
  links withdraw               end every link to a quote that was made until now
  backup FILE | restore FILE   the whole database to a file; back into one without quotes
"""


def main(arguments: Sequence[str]) -> int:
    """Run a command; 2 for a wrong setting, table, database or argument."""
    try:
        settings = read_settings(os.environ)
        return _command(arguments, settings)
    except SettingsError as error:
        return refuse("The settings cannot be used:", *error.faults)
    except TableError as error:
        return refuse(f"The catalogue cannot be used; {len(error.faults)} fault(s):", *map(str, error.faults))
    except WrongSchema as error:
        return refuse(str(error))
    except BrokenPipeError:  # whoever read the answer has enough of it, as `head` has
        os.dup2(os.open(os.devnull, os.O_WRONLY), sys.stdout.fileno())
        return 0
    except (SQLAlchemyError, OSError) as error:
        return refuse_database(error)


def _command(arguments: Sequence[str], settings: Settings) -> int:
    match arguments:
        case [] | ["serve"]:
            return serve(settings)
        case ["demo"]:
            return demo(open_engine(settings), demo_names()[0])
        case ["demo", name] if name in demo_names():
            return demo(open_engine(settings), name)
        case ["demo", _]:
            return refuse(f"There is no demo request of that name; there are {', '.join(demo_names())}.")
        case ["gallery", folder]:
            from service.commands.gallery import gallery

            return gallery(settings, folder)
        case ["migrate"]:
            return migrate_database(settings)
        case ["recompute"] | ["recompute", "--all"]:
            return recompute(settings, None)
        case ["recompute", number]:
            return recompute(settings, number)
        case ["-h" | "--help"]:
            return say(f"{USAGE}\nsettings: {', '.join(map(variable, READERS))}\n")
    return _own_data(arguments, settings)


def _customers(arguments: Sequence[str], settings: Settings) -> int:
    match arguments:
        case ["export", who]:
            return customers.export(settings, who)
        case ["erase", who, *sure] if sure in ([], ["--yes"]):
            return customers.erase(settings, who, sure=bool(sure))
        case ["retain", *sure] if sure in ([], ["--yes"]):
            return customers.retain(settings, sure=bool(sure))
    return refuse(USAGE)


def _stock(arguments: Sequence[str], settings: Settings) -> int:
    match arguments:
        case ["list"]:
            return stock.listed(settings)
        case ["count", file]:
            return stock.count(settings, file)
    return refuse(USAGE)


def _own_data(arguments: Sequence[str], settings: Settings) -> int:
    """The commands for a shop's own tables and quotes, by their first word."""
    match arguments:
        case ["catalogue" | "prices", *_]:
            return _tables(arguments, settings)
        case ["stock", *what]:
            return _stock(what, settings)
        case ["customers", *what]:
            return _customers(what, settings)
        case ["quotes", *what]:
            return _quotes(what, settings)
        case ["growth"]:
            return growth(settings, USUAL)
        case ["growth", "--least", number] if number.isdecimal():
            return growth(settings, int(number))
        case ["backup", file]:
            return backup(settings, file)
        case ["restore", file]:
            return restore(settings, file)
    return _doors(arguments, settings)


def _tables(arguments: Sequence[str], settings: Settings) -> int:
    match arguments:
        case ["catalogue", "check", folder]:
            return tables.check(settings, folder)
        case ["catalogue", "load"]:
            return tables.load(settings)
        case ["prices", "load", file, "--from", day]:
            return tables.load_prices(settings, file, day)
    return refuse(USAGE)


def _quotes(arguments: Sequence[str], settings: Settings) -> int:
    match arguments:
        case ["list"]:
            return quotes.listed(settings)
        case ["export"]:
            return quotes.export(settings)
        case ["requote", "--open"]:
            return quotes.requote_open(settings)
        case ["requote", number]:
            return quotes.requote(settings, number)
    return refuse(USAGE)


def _doors(arguments: Sequence[str], settings: Settings) -> int:
    """The commands that say who may use the service, and those of batches."""
    match arguments:
        case ["batch", file]:
            return batch(settings, file, None)
        case ["batch", file, "--out", out]:
            return batch(settings, file, out)
        case ["work"]:
            return work(settings)
        case ["form", *rest]:
            return form(rest)
        case ["keys", *rest]:
            return keys(settings, rest)
        case ["links", "withdraw"]:
            return withdraw_links(settings)
    return refuse(USAGE)


def demo(engine: Engine, name: str) -> int:
    """Print the quote of a demo request, computed here."""
    from service.bodies import decoded
    from service.schemas import read_request

    request = read_request(decoded(demo_request(name)), engine.known_price_lists())
    return say(orjson.dumps(engine.quote(request), option=orjson.OPT_INDENT_2).decode())


if __name__ == "__main__":
    sys.exit(main(sys.argv[1:]))

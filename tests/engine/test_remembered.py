"""The engine's caches change no quote, whatever tables, readings, units or languages came in between."""

from __future__ import annotations

import csv
import json
import subprocess
import sys
from collections.abc import Callable
from dataclasses import replace
from decimal import Decimal
from hashlib import sha256
from pathlib import Path
from shutil import copytree, ignore_patterns

import pytest

from pricing.catalogue import DEMO_FOLDER, load_catalogue
from pricing.costing.rates import price_table
from pricing.document import rendered, written
from pricing.measurement.assembly import Assembly, QuoteRequest
from pricing.quote import make_quote
from pricing.units import parse_length
from pricing.values import FineLength, Listing, Number, Percent, Quantity
from pricing.wording import Voice
from service.demo import demo_names, demo_request
from service.schemas import read_request
from tests.counts import some

from .shop import DAY, FORK, STRAND, demo, flat, shroud, stud, turnbuckle

ROOT = Path(__file__).parents[2]
D = Decimal
SAID_IN = (("en", "metric", "retail"), ("de", "imperial", "trade"))


def longer(each: Assembly, mm: str) -> Assembly:
    measured = each.measurement
    return replace(each, measurement=replace(measured, readings=tuple([reading + D(mm) for reading in measured.readings])))


def boats() -> list[QuoteRequest]:
    """The demo's boats, each with its own readings and with others, and each again in another language, other units and another price list."""
    lists = demo()[1].at(DAY).price_lists()
    sent = [read_request(json.loads(demo_request(name)), lists) for name in demo_names()[::-1][: some(3, 1)]]
    sent += [replace(each, assemblies=tuple([longer(one, "7.3") for one in each.assemblies])) for each in sent]
    return [
        replace(each, language=language, display_units=units, price_list=prices)
        for language, units, prices in SAID_IN
        for each in sent
    ]  # fmt: skip


def quoted_from(folder: Path) -> list[str]:
    """The checksum of each boat's document by these tables."""
    catalogue = load_catalogue(folder)
    prices = price_table(catalogue)
    return [sha256(written(make_quote(each, catalogue, prices, DAY))).hexdigest() for each in boats()]


PROGRAM = """
import json, sys
from pathlib import Path
from tests.engine.test_remembered import quoted_from
print(json.dumps(quoted_from(Path(sys.argv[1]))))
"""


def alone(folder: Path) -> list[str]:
    """The same in a process that has seen no other tables."""
    done = subprocess.run([sys.executable, "-c", PROGRAM, str(folder)], cwd=ROOT, capture_output=True, text=True, check=True)
    found: list[str] = json.loads(done.stdout)
    return found


@pytest.fixture(scope="module")
def another_shop(tmp_path_factory: pytest.TempPathFactory) -> Path:
    """The demo's articles, some with other lengths, some with the same to more digits."""
    folder = tmp_path_factory.mktemp("tables") / "shop"
    copytree(DEMO_FOLDER, folder, ignore=ignore_patterns("*.py", "recipes", "__pycache__"))
    for table, column in (("terminals", "reach"), ("screws", "runout"), ("links", "length")):
        rewritten(folder / f"{table}.csv", column, lambda mm: mm + D("1.5"))
    rewritten(folder / "turnbuckle_bodies.csv", "length", lambda mm: mm.quantize(D("0.0000")))
    return folder


def rewritten(table: Path, column: str, other: Callable[[Decimal], Decimal]) -> None:
    """Every length in a column of a table, another one, in mm."""
    with table.open(encoding="utf-8", newline="") as file:
        head, *rows = csv.reader(file)
    place = head.index(column)
    made = [[*row[:place], f"{other(parse_length(row[place])):f} mm" if row[place] else "", *row[place + 1 :]] for row in rows]
    with table.open("w", encoding="utf-8", newline="") as file:
        csv.writer(file).writerows([head, *made])


@pytest.mark.long
def test_two_shops_in_turns_in_one_process_quote_as_each_does_alone(another_shop: Path) -> None:
    apart = {folder: alone(folder) for folder in (DEMO_FOLDER, another_shop)}
    assert not set(apart[DEMO_FOLDER]) & set(apart[another_shop])
    loaded = {DEMO_FOLDER: demo()[0], another_shop: load_catalogue(another_shop)}
    prices = {folder: price_table(catalogue) for folder, catalogue in loaded.items()}
    found: dict[Path, list[str]] = {folder: [] for folder in apart}
    for boat in boats():
        for folder, catalogue in loaded.items():
            found[folder].append(sha256(written(make_quote(boat, catalogue, prices[folder], DAY))).hexdigest())
    assert found == apart


@pytest.mark.parametrize(
    "change",
    [
        {"includes_turnbuckle": False}, {"upper_datum": "pin_centre"}, {"temperature": D(31)}, {"support": "hung", "pull": D(50)},
        {"tape_class": "III"}, {"rig_setting": "slack"}, {"resolution": D(5)},
    ],
    ids=lambda change: next(iter(change)),
)  # fmt: skip
def test_one_measurement_after_another_of_the_same_parts_is_each_its_own(change: dict[str, object]) -> None:
    """Whichever comes first: two catalogues with the same rows remember nothing of each other."""
    plain = shroud(FORK, stud(), STRAND, flat(9_000, 9_001, includes_turnbuckle=True), turnbuckle=turnbuckle())
    other = replace(plain, measurement=replace(plain.measurement, **change))
    first, second = (replace(demo()[0]) for _ in range(2))

    def quoted(catalogue: object, assembly: Assembly) -> bytes:
        return written(make_quote(QuoteRequest((assembly,)), catalogue, demo()[1], DAY))  # type: ignore[arg-type]

    there = [quoted(first, plain), quoted(first, other)]
    back = [quoted(second, other), quoted(second, plain)]
    assert there == back[::-1]
    assert there[0] != there[1]


def test_a_part_is_named_with_the_digits_that_were_sent() -> None:
    """A note, a paper and a checksum repeat 25.0 where 25.0 was sent, whoever sent 25 before."""
    for sent in ("25", "25.0", "25.00", "25"):
        made = rendered(make_quote(QuoteRequest((shroud(FORK, FORK, STRAND, flat(9_000, 9_001, temperature=D(sent))),)), *demo(), DAY))
        temperatures = [
            each["values"]["temperature"]["celsius"] for each in made["assemblies"][0]["derivation"] if "temperature" in each["values"]
        ]
        assert temperatures == [sent, sent]


@pytest.mark.parametrize(
    ("made", "words"),
    [
        (FineLength, "5 mm|5.0 mm|5.00 mm|5 mm"), (Number, "5|5.0|5.00|5"), (Percent, "5 %|5.0 %|5.00 %|5 %"),
        (lambda number: Quantity(number, "kN"), "5 kN|5.0 kN|5.00 kN|5 kN"),
        (lambda number: Listing((Number(number), Number(number))), "5 and 5|5.0 and 5.0|5.00 and 5.00|5 and 5"),
    ],
)  # fmt: skip
def test_a_number_is_shown_to_its_own_digits_after_an_equal_one_with_fewer(made: type, words: str) -> None:
    """As `pricing/values.py` promises of each of these: given to the digits to be shown."""
    voice = Voice("en", "metric", "owner")
    assert "|".join(voice.value(made(D(number))) for number in ("5", "5.0", "5.00", "5")) == words

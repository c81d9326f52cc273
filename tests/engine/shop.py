"""The demo shop, with shorthands for quoting from it, for the engine's tests."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import cache
from itertools import product
from typing import Any

from pricing.catalogue import DEMO_FOLDER, Catalogue, load_catalogue
from pricing.costing.rates import PriceTable, price_table
from pricing.document import rendered
from pricing.findings import Finding
from pricing.measurement.assembly import Assembly, Boat, End, Link, Measurement, QuoteRequest, Setting, Turnbuckle, WireSpec
from pricing.quote import make_quote
from pricing.values import phrase, value_document, values_read
from pricing.wording import LANGUAGES, READERS, Voice, voice_for

from .inverse import mm, row_of

DAY = date(2026, 11, 25)
INCH = Decimal("25.4")


@cache
def demo() -> tuple[Catalogue, PriceTable]:
    """The demo catalogue and its prices."""
    catalogue = load_catalogue(DEMO_FOLDER)
    return catalogue, price_table(catalogue)


def ask(*assemblies: Assembly, **request: Any) -> dict[str, Any]:
    """The complete quote's document."""
    asked = QuoteRequest(assemblies, **{"boat": Boat("Tern", Decimal(8400)), **request})
    return checked(rendered(make_quote(asked, *demo(), DAY)), asked.language)


def checked(made: dict[str, Any], language: str = "en") -> dict[str, Any]:
    """The quote's document, after asserting that its findings are in its own language and units, and have words for every other reader."""
    own = voice_for(language, made["display_units"], "owner")
    for quoted in (*made["findings"], *(each for assembly in made["assemblies"] for each in assembly["findings"])):
        assert_worded_for_all(quoted)
        assert own.finding(stored(quoted)) == (quoted["message"], quoted["remedy"])
    return made


def assert_worded_for_all(quoted: dict[str, Any]) -> None:
    """Assert that a document's finding can be worded from its stored values, in every language, for every reader. KeyError: a text is missing."""
    for language, units, reader in product(LANGUAGES, ("metric", "imperial"), READERS):
        worded = Voice(language, units, reader).finding(stored(quoted))
        assert worded.message.strip()
        assert worded.remedy.strip()


def stored(quoted: dict[str, Any]) -> Finding:
    """The finding of a document, without its texts."""
    return Finding(quoted["code"], quoted["severity"], quoted["pointer"], values_read(quoted["values"]), quoted["wording"] or "")


def build(assembly: Assembly) -> dict[str, Any]:
    """One assembly of a quote of one."""
    return ask(assembly)["assemblies"][0]


def assumed(quote: dict[str, Any]) -> list[str]:
    """The codes of the assumptions that all wires of a quote share."""
    gathered = [each["values"]["assumed"] for each in quote["findings"] if each["code"] == "assumed"]
    return [key.removeprefix("assumption.").partition(".")[0] for each in gathered for key in keys(each)]


def size(text: str) -> Decimal:
    """A size of the CSV files, exactly, in mm."""
    return Decimal(str(round(mm(text), 6)))


def wire(row: dict[str, str]) -> WireSpec:
    """The wire of a CSV row."""
    return WireSpec(row["construction"], size(row["diameter"]), row["diameter"], row["material"])


def flat(*readings: Decimal | str | float, **given: Any) -> Measurement:
    """Readings of a wire that lay flat, with every field given that would be asked for; a single reading is sent twice."""
    usual: dict[str, Any] = {
        "support": "flat", "rig_setting": "everyday", "resolution": Decimal("0.5"), "tape_class": "I", "tape_material": "steel",
        "temperature": Decimal(20),
    }  # fmt: skip
    twice = readings * 2 if len(readings) == 1 else readings
    return Measurement(tuple(Decimal(str(each)) for each in twice), **{**usual, **given})


def shroud(upper: End, lower: End, spec: WireSpec, measured: Measurement, **more: Any) -> Assembly:
    """An assembly without a role of its own."""
    return Assembly(**{"tag": "A", "role": "pennant", "wire": spec, "upper": upper, "lower": lower, "measurement": measured, **more})


def codes(assembly: dict[str, Any], severity: str | None = None) -> list[str]:
    """The codes of its findings."""
    return [each["code"] for each in assembly["findings"] if severity in (None, each["severity"])]


def finding_of(assembly: dict[str, Any], code: str) -> dict[str, Any]:
    """The one finding of that code."""
    (one,) = [each for each in assembly["findings"] if each["code"] == code]
    return one


def named(key: str, **values: str) -> dict[str, Any]:
    """A phrase made of other phrases, as it appears among a finding's values."""
    return value_document(phrase(key, **{name: phrase(each) for name, each in values.items()}))


def keys(listing: dict[str, Any]) -> list[str]:
    """The keys of a listing of phrases among a finding's values."""
    return [each["phrase"] for each in listing["items"]]


def summed(assembly: dict[str, Any]) -> Decimal:
    """The derivation's terms added up by the test itself."""
    return sum((Decimal(each["mm"]) for each in assembly["derivation"]), Decimal(0))


def step(assembly: dict[str, Any], name: str) -> Decimal:
    """The one term of that name, mm."""
    (one,) = [each for each in assembly["derivation"] if each["step"] == name]
    return Decimal(one["mm"])


def with_reading(assembly: Assembly, reading: Decimal) -> Assembly:
    """The same with another reading."""
    return replace(assembly, measurement=replace(assembly.measurement, readings=(reading, reading)))


STRAND = wire(row_of("WIRE-1X19-316-3-16IN"))
FORK = End("fork", "swage", pin=size("3/8 in"))
TOGGLE = Link("toggle", size("3/8 in"))
SHACKLE = Link("shackle", size("3/8 in"))


def stud(hand: str = "right") -> End:
    return End("stud", "swage", thread="3/8-24 UNF", hand=hand)


def turnbuckle(upper: str | None = "28.575", lower: str | None = "26.9875", **more: Any) -> Turnbuckle:
    """Open body 4 in with a toggle below (1 13/64 in from run-out), 1 1/8 and 1 1/16 in exposed unless given."""
    setting = Setting(*(None if each is None else Decimal(each) for each in (upper, lower)), "caliper")
    usual: dict[str, Any] = {"thread": "3/8-24 UNF", "lower_end": "toggle", "pin": size("3/8 in"), "reuse": True, "setting": setting}
    return Turnbuckle("open", **{**usual, **more})

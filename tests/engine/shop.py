"""The demo shop and short ways to ask it, for the engine's tests."""

from __future__ import annotations

from dataclasses import replace
from datetime import date
from decimal import Decimal
from functools import cache
from typing import Any

from pricing.assembly import Assembly, Boat, End, Link, Measurement, QuoteRequest, Setting, Turnbuckle, WireSpec
from pricing.catalogue import DEMO_FOLDER, Catalogue, load_catalogue
from pricing.quote import make_quote
from pricing.rates import PriceTable, price_table

from .inverse import mm, row_of

DAY = date(2026, 11, 25)
INCH = Decimal("25.4")


@cache
def demo() -> tuple[Catalogue, PriceTable]:
    """The demo catalogue and its prices."""
    found = load_catalogue(DEMO_FOLDER)
    return found, price_table(found)


def ask(*assemblies: Assembly, **request: Any) -> dict[str, Any]:
    """The whole quote."""
    return make_quote(QuoteRequest(assemblies, **{"boat": Boat("Tern", Decimal(8400)), **request}), *demo(), DAY)


def build(assembly: Assembly) -> dict[str, Any]:
    """One assembly of a quote of one."""
    return ask(assembly)["assemblies"][0]


def size(text: str) -> Decimal:
    """A size of the CSV files, exactly, in mm."""
    return Decimal(str(round(mm(text), 6)))


def wire(row: dict[str, str]) -> WireSpec:
    """The wire of a CSV row."""
    return WireSpec(row["construction"], size(row["diameter"]), row["diameter"], row["material"])


def flat(*readings: Decimal | str | float, **said: Any) -> Measurement:
    """Readings of a wire that lay flat, with everything said that is usually asked for."""
    usual: dict[str, Any] = {
        "support": "flat", "rig_setting": "everyday", "resolution": Decimal("0.5"), "tape_class": "I", "tape_material": "steel",
        "temperature": Decimal(20),
    }  # fmt: skip
    return Measurement(tuple(Decimal(str(each)) for each in readings), **{**usual, **said})


def shroud(upper: End, lower: End, spec: WireSpec, measured: Measurement, **more: Any) -> Assembly:
    """An assembly without a role of its own."""
    return Assembly(**{"tag": "A", "role": "pennant", "wire": spec, "upper": upper, "lower": lower, "measurement": measured, **more})


def codes(assembly: dict[str, Any], severity: str | None = None) -> list[str]:
    """The codes of its findings."""
    return [each["code"] for each in assembly["findings"] if severity in (None, each["severity"])]


def found(assembly: dict[str, Any], code: str) -> dict[str, Any]:
    """The one finding of that code."""
    (one,) = [each for each in assembly["findings"] if each["code"] == code]
    return one


def summed(assembly: dict[str, Any]) -> Decimal:
    """The derivation's terms added up by the test itself."""
    return sum((Decimal(each["mm"]) for each in assembly["derivation"]), Decimal(0))


def step(assembly: dict[str, Any], name: str) -> Decimal:
    """The one term of that name, mm."""
    (one,) = [each for each in assembly["derivation"] if each["step"] == name]
    return Decimal(one["mm"])


def with_reading(assembly: Assembly, reading: Decimal) -> Assembly:
    """The same with another reading."""
    return replace(assembly, measurement=replace(assembly.measurement, readings=(reading,)))


STRAND = wire(row_of("WIRE-1X19-316-3-16IN"))
FORK = End("fork", "swage", pin=size("3/8 in"))
TOGGLE = Link("toggle", size("3/8 in"))
SHACKLE = Link("shackle", size("3/8 in"))


def stud(hand: str = "right") -> End:
    return End("stud", "swage", thread="3/8-24 UNF", hand=hand)


def turnbuckle(upper: str | None = "28.575", lower: str | None = "26.9875", **more: Any) -> Turnbuckle:
    """Open body 4 in with a toggle below (1 13/64 in from run-out), 1 1/8 and 1 1/16 in exposed unless said otherwise."""
    setting = Setting(*(None if each is None else Decimal(each) for each in (upper, lower)), "caliper")
    usual: dict[str, Any] = {"thread": "3/8-24 UNF", "lower_end": "toggle", "pin": size("3/8 in"), "reuse": True, "setting": setting}
    return Turnbuckle("open", **{**usual, **more})

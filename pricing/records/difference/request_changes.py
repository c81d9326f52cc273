"""Changes between two requests: every field, assembly by assembly; assemblies are matched by tag."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import fields, is_dataclass, replace
from decimal import Decimal
from typing import Any

from pricing.measurement.assembly import Measurement, QuoteRequest, WireSpec
from pricing.records.difference.changes import Change, both, choice, code_of, exact_if_alike, what
from pricing.values import (
    Count,
    Force,
    Length,
    Listing,
    Number,
    Percent,
    Phrase,
    Quantity,
    Size,
    Temperature,
    Text,
    Value,
    compared,
    phrase,
)
from pricing.wording.catalogue import LANGUAGES, names

Path = tuple[Value, ...]

FORCES = frozenset(
    {"everyday_tension", "pull", "tape_pull", "tape_standard_pull", "tension", "tension_within", "pull_within", "force"}
)  # fmt: skip
TEMPERATURES = frozenset({"temperature", "wire_temperature", "tape_temperature"})
QUANTITIES = {"temperature_within": "K", "tape_area": "mm²", "tape_weight": "N/m"}
GROUPS = {
    "upper_datum": "datum", "lower_datum": "datum", "upper_end": "screw_end", "lower_end": "screw_end", "at": "end", "from_end": "end",
    "bears_toward": "end", "outer_side": "face", "change": "becomes", "backing_plate": "becomes", "rig_setting": "rig_set",
}  # fmt: skip
AMOUNTS = frozenset(
    {
        ("ExtraLine", "quantity"),
        ("ExtraLine", "unit_price"),
        ("Discount", "amount"),
        ("WorkAsked", "quantity"),
        ("ExtraArticle", "quantity"),
    }
)
PERCENTS = frozenset({("ExtraLine", "tax_rate"), ("Discount", "percent")})
KINDS = {"Link": "link", "BoatFitting": "boat_fitting", "Stop": "stop_kind"}  # `kind` means something else in each
PERSONAL = frozenset(
    {
        ("QuoteRequest", "note"),
        ("Assembly", "note"),
        ("Boat", "name"),
        ("Boat", "external_id"),
        ("ExtraLine", "text"),
        ("Discount", "text"),
        ("Customer", "name"),
        ("Customer", "reference"),
        ("Customer", "email"),
        ("Customer", "telephone"),
        ("Customer", "tax_number"),
        ("Customer", "external_id"),
        *(("Address", each) for each in ("street", "city", "region", "postal_code", "country")),
    }
)
UNNAMED = frozenset({"boat", "customer", "measurement", "setting"})  # not named in the path of a change: their fields' own names say enough
COMPARED_ELSEWHERE = {
    "WireSpec": {"size"},
    "Measurement": {"written", "inches"},
    "Assembly": {"tag"},
    "QuoteRequest": {"assemblies"},
}  # compared in their own way, or with a neighbouring field
SENT_AS = {"from_end": "from"}
SENT_AS_OF = {("Discount", "amount"): "reduction", ("Discount", "percent"): "reduction"}


def request_changes(before: QuoteRequest, after: QuoteRequest) -> Iterator[Change]:
    """Each field that differs, then each assembly that was added, removed, renamed or moved."""
    yield from _fields(before, after, "", (), None)
    old, new = ({each.tag: place for place, each in enumerate(request.assemblies)} for request in (before, after))
    renamed = _renamed(before, after)
    for tag, place in old.items():
        if tag not in new and tag not in renamed:
            yield Change("removed", f"/assemblies/{place}", what("asked.wire"), tag)
    for tag, place in new.items():
        at, each = f"/assemblies/{place}", after.assemblies[place]
        if tag in old:
            yield from _fields(before.assemblies[old[tag]], each, at, (), tag)
        elif tag in renamed.values():
            was = next(one for one, other in renamed.items() if other == tag)
            yield Change("other", f"{at}/tag", what("asked.tag"), tag, both(Text(was), Text(tag)))
        else:
            yield Change("added", at, what("asked.wire"), tag)
    if [tag for tag in old if tag in new] != [tag for tag in new if tag in old]:
        yield Change("changed", "/assemblies", what("asked.order"))


def _renamed(before: QuoteRequest, after: QuoteRequest) -> dict[str, str]:
    """New tags by old tag, for assemblies that changed in nothing else."""
    old, new = ({each.tag: each for each in request.assemblies} for request in (before, after))
    gone, fresh = [each for each in old if each not in new], [each for each in new if each not in old]
    renamed: dict[str, str] = {}
    for tag in gone:
        alike = (each for each in fresh if each not in renamed.values() and replace(old[tag], tag=each) == new[each])
        if (named := next(alike, None)) is not None:
            renamed[tag] = named
    return renamed


def _fields(before: Any, after: Any, at: str, path: Path, tag: str | None) -> Iterator[Change]:
    """The changed fields of one part of the request, recursively."""
    kind = type(after).__name__
    for field in fields(after):
        name = field.name
        if name in COMPARED_ELSEWHERE.get(kind, ()):
            continue
        one, other, place = getattr(before, name), getattr(after, name), f"{at}/{SENT_AS_OF.get((kind, name)) or SENT_AS.get(name, name)}"
        if (kind, name) == ("Measurement", "readings"):
            yield from _readings(before, after, place, tag)
        elif (kind, name) == ("WireSpec", "diameter"):
            yield from _diameter(before, after, place, path, tag)
        elif one != other:
            yield from _field(kind, name, one, other, place, path, tag)


def _field(kind: str, name: str, one: Any, other: Any, at: str, path: Path, tag: str | None) -> Iterator[Change]:
    if isinstance(one, tuple):
        yield from _items(name, one, other, at, path, tag)
    elif is_dataclass(one) or is_dataclass(other):
        inner = path if name in UNNAMED else (*path, Phrase(name_of(kind, name)))
        if one is None or other is None:
            yield Change("now-given" if one is None else "dropped", at, what(*path, name_of(kind, name)), tag)
        else:
            yield from _fields(one, other, at, inner, tag)
    elif (kind, name) in PERSONAL:
        yield Change("now-given" if one is None else "dropped" if other is None else "changed", at, what(*path, name_of(kind, name)), tag)
    else:
        yield Change(
            code_of(one, other, given=True), at, what(*path, name_of(kind, name)), tag, both(*_both_values(kind, name, one, other))
        )


def _items(name: str, one: Sequence[Any], other: Sequence[Any], at: str, path: Path, tag: str | None) -> Iterator[Change]:
    """Links, stops, work or further lines, matched by position."""
    for place in range(max(len(one), len(other))):
        named, where = phrase(f"asked.{name}", n=Count(place + 1)), f"{at}/{place}"
        if place >= len(one):
            yield Change("added", where, what(*path, named), tag)
        elif place >= len(other):
            yield Change("removed", where, what(*path, named), tag)
        else:
            yield from _fields(one[place], other[place], where, (*path, named), tag)


def _readings(before: Measurement, after: Measurement, at: str, tag: str | None) -> Iterator[Change]:
    """Changed readings. If only their spelling changed, which may mean another division of the tape, the change quotes them as written."""
    if before.readings != after.readings:
        one, other = listed(before), listed(after)
        exact = Listing(_written(before), "comma"), Listing(_written(after), "comma")
        yield Change("other", at, what("asked.readings"), tag, both(*exact_if_alike(one, other, lambda: exact)))
    elif (before.written, before.inches) != (after.written, after.inches):
        yield Change("other", at, what("asked.readings"), tag, both(Listing(_written(before), "comma"), Listing(_written(after), "comma")))


def listed(measured: Measurement) -> Listing:
    """The readings as a list of lengths."""
    return Listing(tuple([Length(each) for each in measured.readings]), "comma")


def _written(measured: Measurement) -> tuple[Value, ...]:
    return tuple([Text(each) for each in measured.written])


def _diameter(before: WireSpec, after: WireSpec, at: str, path: Path, tag: str | None) -> Iterator[Change]:
    """A changed nominal diameter of a wire. If only its spelling changed, the change quotes it as written."""
    one, other = before.diameter, after.diameter
    named = what(*path, name_of("WireSpec", "diameter"))
    if one != other:
        sizes = [None if each is None else Size(each) for each in (one, other)]
        yield Change(code_of(one, other, given=True), at, named, tag, both(*sizes))
    elif one is not None and before.size != after.size:
        yield Change("other", at, named, tag, both(Text(before.size), Text(after.size)))


def _both_values(kind: str, name: str, one: Any, other: Any) -> tuple[Value | None, Value | None]:
    """Both values of a field, with as many digits as it takes to show that they differ."""
    before, after = (None if each is None else value_of(kind, name, each) for each in (one, other))
    if before is None or after is None or not isinstance(one, Decimal) or not isinstance(other, Decimal):
        return before, after
    if isinstance(before, Length):
        return compared(one, other)
    unit = "N" if name in FORCES else "°C"
    return exact_if_alike(before, after, lambda: (Quantity(one.normalize(), unit), Quantity(other.normalize(), unit)))


def value_of(kind: str, name: str, value: Any) -> Value:
    """A field's value as a value for a sentence. `kind` is the name of the class the field belongs to."""
    if isinstance(value, bool):
        return Phrase("choice.yes" if value else "choice.no")
    if isinstance(value, int):
        return Count(value)
    if (kind, name) in (("WorkAsked", "operation"), ("ExtraArticle", "sku")):
        return Text(value)
    if isinstance(value, str):
        return choice(KINDS[kind] if name == "kind" else GROUPS.get(name, name), value)
    if (kind, name) in AMOUNTS:
        return Number(value)
    if (kind, name) in PERCENTS:
        return Percent(value)
    if name in FORCES:
        return Force(value)
    if name in TEMPERATURES:
        return Temperature(value)
    return Quantity(value.normalize(), QUANTITIES[name]) if name in QUANTITIES else Length(value)


def name_of(kind: str, name: str) -> str:
    """The catalogue key of a field's name: its own in this class if there is one, else the one shared by all classes."""
    own = f"asked.{kind}.{name}"
    return own if own in names(LANGUAGES[0]) else f"asked.{name}"

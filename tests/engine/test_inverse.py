"""Target → cut → finished is the identity, over the whole catalogue; the way back is `inverse`, which shares no code with the chain.

Within 0.01 mm before the cut length's one rounding (each term is rounded to 0.001 mm), within 0.06 mm after it (0.05 for the tenth, and 0.01).
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from decimal import ROUND_HALF_UP, Decimal

import pytest
from hypothesis import given, settings

from pricing.measurement.assembly import Link, Setting, Turnbuckle
from tests.counts import some, some_of

from .inverse import finish, table, terminal_surface
from .made_up import MadeUp, assemblies, eye_end, hangs_on, plain_end, takes
from .shop import build, codes, flat, shroud, size, summed, wire

BEFORE, AFTER = 0.01, 0.06


def holds(made: MadeUp) -> dict:
    """Build it, finish the wire again, and hold the finished length against the wanted one."""
    quoted = build(made.assembly)
    assert codes(quoted, "stop") == []
    assert (
        tuple(sorted(part["sku"] for part in quoted["parts"] if not part["sku"].startswith(("PIN-", "COTTER-", "LOCKNUT-", "CONE-"))))
        == made.skus
    )
    at = made.assembly.turnbuckle.at if made.assembly.turnbuckle else None
    wanted, cut = float(made.wanted), Decimal(quoted["cut_length"]["mm"])
    assert abs(float(quoted["target_length"]["mm"]) - wanted) < BEFORE
    assert abs(finish(quoted, float(summed(quoted)), at).length - wanted) < BEFORE
    assert abs(finish(quoted, float(cut), at).length - wanted) < AFTER
    return quoted


@settings(max_examples=some(1500, 40))
@given(assemblies())
def test_a_wire_cut_to_the_quote_finishes_at_the_wanted_length_whatever_is_on_its_ends(made: MadeUp):
    quoted = holds(made)
    assert Decimal(quoted["cut_length"]["mm"]) == summed(quoted).quantize(Decimal("0.1"), ROUND_HALF_UP)


def pairs() -> list[tuple[str, dict[str, str], dict[str, str]]]:
    """Every terminal row with every wire that it takes."""
    return [(row["sku"], row, spec) for row in table("terminals") for spec in table("wires") if takes(row, spec)]


@pytest.mark.parametrize(
    ("family", "attachment"),
    some_of([(each, how) for each in ("fork", "eye", "tee", "toggle", "ball", "stud") for how in ("swage", "compression")], 4),
)
def test_every_terminal_row_on_both_ends_of_every_wire_that_it_takes(family: str, attachment: str):
    tried: set[str] = set()
    for sku, row, spec in pairs():
        if (row["family"], row["attachment"]) == (family, attachment):
            upper, lower = plain_end("upper", row), plain_end("lower", row)
            holds(MadeUp(shroud(upper.end, lower.end, wire(spec), flat("4321.987")), Decimal("4321.987"), (sku, sku)))
            tried.add(sku)
    rows = {row["sku"] for row in table("terminals") if (row["family"], row["attachment"]) == (family, attachment)}
    assert tried == rows


@pytest.mark.parametrize("construction", some_of(["7x7", "7x19"], 1))
def test_every_thimble_and_sleeve_on_both_ends_of_every_wire_that_they_take(construction: str):
    tried: set[str] = set()
    for spec in table("wires"):
        upper, lower = eye_end("upper", spec), eye_end("lower", spec)
        if spec["construction"] == construction and upper and lower:
            skus = tuple(sorted(part["sku"] for part in [*upper.parts, *lower.parts]))
            holds(MadeUp(shroud(upper.end, lower.end, wire(spec), flat("1800.5")), Decimal("1800.5"), skus))
            tried |= set(skus)
    wires = [spec for spec in table("wires") if spec["construction"] == construction]
    assert {row["sku"] for name in ("thimbles", "sleeves") for row in table(name) if any(takes(row, spec) for spec in wires)} <= tried


def turnbuckle_cases(at: str) -> Iterator[tuple[MadeUp, set[str]]]:
    """Every body with every outer screw of its thread, on a stud of the hand that leaves that screw; reading in, both screws half out."""
    for body in table("turnbuckle_bodies"):
        for screw in [row for row in table("screws") if row["thread"] == body["thread"]]:
            stud = next(row for row in table("terminals") if row["thread"] == body["thread"] and row["hand"] != screw["hand"])
            spec = next(row for row in table("wires") if takes(stud, row))
            made = {name: plain_end(name, stud) for name in ("upper", "lower")}
            exposed = (size(screw["thread_length"]) / 2).quantize(Decimal("0.001"))
            asked = Turnbuckle(
                body["body"], thread=body["thread"], hand=stud["hand"], pin=size(screw["pin"]), at=at, reuse=True,
                setting=Setting(exposed, exposed, "caliper"), **{f"{at}_end": screw["end"]},
            )  # fmt: skip
            measured = flat("5432.1", includes_turnbuckle=True)
            sent = shroud(made["upper"].end, made["lower"].end, wire(spec), measured, turnbuckle=asked)
            skus = {body["sku"], screw["sku"]}
            yield MadeUp(sent, Decimal("5432.1"), tuple(sorted((stud["sku"], stud["sku"], *skus)))), skus


@pytest.mark.parametrize("at", some_of(["upper", "lower"], 1))
def test_every_turnbuckle_body_with_every_screw_of_its_thread_at_either_end(at: str):
    tried: set[str] = set()
    for made, skus in turnbuckle_cases(at):
        holds(made)
        tried |= skus
    assert tried == {row["sku"] for name in ("turnbuckle_bodies", "screws") for row in table(name)}


@pytest.mark.parametrize("family", some_of(["fork", "eye"], 1))
def test_every_link_on_every_terminal_of_its_pin(family: str):
    tried: set[str] = set()
    for row in [each for each in table("terminals") if each["family"] == family]:
        spec = next(each for each in table("wires") if takes(row, each))
        there = terminal_surface(row, spec)
        for link in [each for each in table("links") if hangs_on(each, there)]:
            upper, lower = plain_end("upper", row), plain_end("lower", row)
            hung = replace(lower.end, links=(Link(link["kind"], size(link["pin"])),))
            sent = shroud(upper.end, hung, wire(spec), flat("3210.4", includes_links=True))
            holds(MadeUp(sent, Decimal("3210.4"), tuple(sorted((row["sku"], row["sku"], link["sku"])))))
            tried.add(link["sku"])
    tongued = ("insulator", "bridle_plate", "gate_hook")
    assert tried == {row["sku"] for row in table("links") if family == "fork" or row["kind"] not in tongued}

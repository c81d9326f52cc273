"""Wordings about joints and geometry that no other test covers: each arises where it should, and exists in every language for every
reader."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from pricing.catalogue.indexing import index_of
from pricing.document import rendered
from pricing.measurement.assembly import Assembly, BoatFitting, End, Link, OwnTurnbuckle, QuoteRequest, Stop, Turnbuckle, WireSpec
from pricing.quote import make_quote

from .shop import DAY, FORK, STRAND, checked, demo, flat, shroud, size, stud, turnbuckle

D = Decimal
PIN = size("3/8 in")
ROPE, EYE = WireSpec("7x19", D(5), "5 mm", "316"), End("thimble_eye", "sleeve")
TABLES = demo()[0].tables
JAWLESS = tuple([replace(row, jaw=None, jaw_over=None) for row in TABLES.terminals])
TWO_PINS = (*TABLES.screws, *[replace(row, sku=f"{row.sku}-2", pin=D(8)) for row in TABLES.screws])
OF_OTHERS = tuple([row for row in TABLES.locknuts if row.thread != "3/8-24 UNF"])
MEASURED = OwnTurnbuckle(body=D(100), thread_length=D(60), runout=D(30))


def hung(asked: Turnbuckle, lower: End | None = None) -> Assembly:
    """A wire with a turnbuckle on its stud."""
    return shroud(FORK, lower or stud(), STRAND, flat(9000, 9000, includes_turnbuckle=True), turnbuckle=asked)


def linked(*links: Link, end: End = FORK, wire: WireSpec = STRAND, **given: Any) -> Assembly:
    """A wire with links at its lower end."""
    return shroud(replace(end, links=()), replace(end, links=links), wire, flat(9000, 9000, **given))


SCENES: list[tuple[str, str, Assembly, dict[str, Any]]] = [
    ("locknut-no-room", "", hung(replace(turnbuckle("4", "40"), body="tubular")), {}),  # its locknut is 6 mm high
    ("recorded-engagement-small", "", hung(turnbuckle("58", "27", reuse=False)), {}),  # 63.5 − 58 = 5.5, less than 9.5
    ("no-turnbuckle", "", hung(turnbuckle()), {"turnbuckle_bodies": ()}),
    ("no-screw", "", hung(turnbuckle()), {"screws": ()}),
    ("sku-does-not-fit", "turnbuckle", hung(turnbuckle(sku="NOPE")), {}),
    ("pin-does-not-fit", "screw", hung(turnbuckle(pin=D(5))), {}),
    ("pin-assumed", "turnbuckle", hung(turnbuckle(pin=None)), {"screws": TWO_PINS}),
    ("turnbuckle-thread-missing", "", hung(turnbuckle(thread=None, upper_end="eye", inner_pin=PIN), FORK), {}),
    ("own-strength-unknown", "turnbuckle", hung(turnbuckle(dimensions=MEASURED)), {"turnbuckle_bodies": (), "screws": ()}),
    ("own-fitting-incomplete", "turnbuckle", hung(turnbuckle(dimensions=replace(MEASURED, body=None))), {"turnbuckle_bodies": ()}),
    ("own-fitting-incomplete", "turnbuckle", hung(turnbuckle(dimensions=OwnTurnbuckle(), pin=None)), {"screws": ()}),
    ("no-locking-part", "cotter", hung(turnbuckle()), {"cotters": ()}),
    ("no-locking-part", "locknut", hung(replace(turnbuckle(reuse=False), body="tubular")), {"locknuts": OF_OTHERS}),
    ("joint-misfit", "side", linked(Link("toggle", PIN, outer_side="bow")), {}),
    ("link-pin-missing", "", linked(Link("shackle"), end=EYE, wire=ROPE), {}),
    ("old-link-unknown", "shackle", linked(Link("shackle", D(99), change="left_away"), includes_links=False), {}),
    ("pin-grip-assumed", "", linked(), {"terminals": JAWLESS}),
    ("no-pin-for-jaw", "any", linked(), {"terminals": JAWLESS, "pins": ()}),
    ("no-pin-for-jaw", "spanning", linked(), {"pins": ()}),
    ("field-not-used", "beside_stud", hung(turnbuckle(inner_pin=PIN)), {}),
    (
        "boat-pin-size-unknown", "",
        shroud(EYE, replace(EYE, boat_fitting=BoatFitting("cheeks", D(10), D(5), D(20), "assembly")), ROPE, flat(9000, 9000)), {},
    ),
    ("old-pin-missing", "shackle", linked(Link("shackle", PIN, change="added"), end=EYE, wire=ROPE), {}),
    ("old-pin-missing", "hole", linked(Link("shackle", PIN, change="left_away", old_length=D(33)), end=EYE, wire=ROPE, includes_links=True), {}),
    (
        "dimension-implausible", "no_locknut",
        hung(replace(turnbuckle(dimensions=replace(MEASURED, locknut=D(0))), body="tubular")), {"turnbuckle_bodies": ()},
    ),
    ("no-ball-for-wire", "none", replace(linked(), stops=(Stop("upper", D(1000), "upper"),)), {"balls": ()}),
]  # fmt: skip


@pytest.mark.parametrize(("code", "wording", "assembly", "tables"), SCENES, ids=[f"{code}.{wording}" for code, wording, _, _ in SCENES])
def test_it_arises_where_it_should(code: str, wording: str, assembly: Assembly, tables: dict[str, Any]) -> None:
    catalogue, prices = demo()
    changed = replace(TABLES, **tables)
    asked = QuoteRequest((assembly,))
    made = checked(rendered(make_quote(asked, replace(catalogue, tables=changed, index=index_of(changed)), prices, DAY)))["assemblies"][0]
    assert (wording or None) in [each["wording"] for each in made["findings"] if each["code"] == code]

"""Wordings that no other test covers: each arises where it should, and exists in every language for every reader."""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal
from typing import Any

import pytest

from pricing.catalogue.indexing import index_of
from pricing.document import rendered
from pricing.measurement.assembly import Assembly, End, Link, OwnTerminal, QuoteRequest, ThreadReading, WireSpec
from pricing.quote import make_quote

from .shop import DAY, FORK, STRAND, ask, assert_worded_for_all, assumed, demo, finding_of, flat, shroud, size, stud, turnbuckle

D = Decimal
HUNG = {"support": "hung", "hung_as": "level", "pull": D(40)}


def plain(wire: WireSpec = STRAND, upper: End = FORK, **given: Any) -> Assembly:
    """A pennant with forks."""
    return shroud(upper, FORK, wire, flat(9000, **given))


LINKED = replace(FORK, links=(Link("toggle", size("3/8 in"), in_reading=False),))
SET = turnbuckle(at="upper", upper_end="toggle", lower_end=None)
UNSAID = replace(SET, setting=replace(SET.setting, recorded_with=None)) if SET.setting else SET
SCENES: list[tuple[str, str, Assembly]] = [
    ("tape-taken-straight", "", plain(**HUNG)),
    ("hung-free-assumed", "", plain(support="hung", hung_as="plumb")),
    ("correction-unused", "plumb", plain(support="hung", hung_as="plumb", pull=D(50), tape_weight=D("0.1"))),
    ("link-not-in-reading", "all_yet_none", shroud(LINKED, FORK, STRAND, flat(9000, includes_links=True))),
    ("wire-size-contradicts", "covered", plain(replace(STRAND, measured=D(3), coated=True))),
    ("no-such-wire", "unsaid", plain(WireSpec("1x19", None, "", "316"))),
    ("no-such-wire", "unlaid", plain(WireSpec("", STRAND.diameter, STRAND.size, "316"))),
    ("size-taken-as-nominal", "", plain(WireSpec("1x19", D("4.76"), "4.76 mm", "316"))),
    ("old-wire-unknown", "sized", replace(plain(), old_wire=WireSpec("1x19", D(99), "99 mm", "316"))),
    ("old-wire-unknown", "unsized", replace(plain(), old_wire=WireSpec("1x19", None, "", "316"))),
    ("old-material-assumed", "", replace(plain(), old_wire=WireSpec("1x19", STRAND.diameter, STRAND.size))),
    ("hand-assumed", "", shroud(replace(stud(), hand=None), FORK, STRAND, flat(9000))),
    ("recorded-with-assumed", "", shroud(stud(), FORK, STRAND, flat(9000, includes_turnbuckle=True), turnbuckle=UNSAID)),
    ("backing-plate-moves-bearing", "added", plain(upper=End("tee", "swage", backing_plate="added"))),
    ("backing-plate-moves-bearing", "left_away", plain(upper=End("tee", "swage", backing_plate="left_away"))),
    ("backing-plate-kept", "", plain(upper=End("tee", "swage", backing_plate="kept"))),
    ("no-terminal-for-wire", "any", shroud(replace(FORK, attachment=None), FORK, STRAND, flat(9000))),
]


@pytest.mark.parametrize(("code", "wording", "assembly"), SCENES, ids=[f"{code}.{wording}" for code, wording, _ in SCENES])
def test_it_arises_where_it_should(code: str, wording: str, assembly: Assembly) -> None:
    quote = ask(assembly)
    if code not in assumed(quote):
        assert finding_of(quote["assemblies"][0], code)["wording"] == (wording or None)


def without(catalogue_rows: tuple[Any, ...], sku: str, **changed: Any) -> tuple[Any, ...]:
    """A table's rows with one row changed."""
    return tuple([replace(row, **changed) if row.sku == sku else row for row in catalogue_rows])


TABLES = demo()[0].tables
BALL, EYE, TEE = End("ball", "swage"), End("thimble_eye", "sleeve"), End("tee", "swage")
ROUND = End("deadeye", "sleeve", reuse=True, dimensions=OwnTerminal(groove=D(84), to_sleeve=D(120), thickness=D(40)))
KEPT = End("fork", "compression", pin=size("3/8 in"), reuse=True)
COUNTED = End("stud", "swage", hand="right", measured_thread=ThreadReading(D("9.5"), 24, D("25.4")))
ROPE = WireSpec("7x19", D(5), "5 mm", "316")
SHOPS: list[tuple[str, str, Assembly, dict[str, Any]]] = [
    ("growth-unknown", "unmeasured", plain(), {"growths": (), "terminals": without(TABLES.terminals, "FORK-SW-3-16IN", swaged_length=None)}),
    ("growth-unknown", "impossible", plain(), {"growths": (), "terminals": without(TABLES.terminals, "FORK-SW-3-16IN", shank_after=D(99))}),
    ("no-cone", "", plain(upper=KEPT), {"cones": ()}),
    ("no-backing-plate", "", plain(upper=replace(TEE, backing_plate="added")), {"backing_plates": ()}),
    ("backing-plate-moves-bearing", "left_away_unlisted", plain(upper=replace(TEE, backing_plate="left_away")), {"backing_plates": ()}),
    ("joint-misfit", "slot", plain(upper=replace(TEE, backing_plate="replaced")), {"backing_plates": tuple([replace(row, slot=D("7.9")) for row in TABLES.backing_plates])}),
    ("ball-pulls-through", "", plain(upper=BALL), {"terminals": tuple([replace(row, slot=row.ball) for row in TABLES.terminals])}),
    ("no-thimble-or-sleeve", "impossible", plain(ROPE, EYE), {"thimbles": tuple([replace(row, crown_to_sleeve=D(1)) for row in TABLES.thimbles])}),
    ("no-thimble-or-sleeve", "deadeye", plain(ROPE, ROUND), {"sleeves": ()}),
    ("hand-not-available", "", plain(upper=stud("left")), {"terminals": tuple([row for row in TABLES.terminals if row.hand != "left"])}),
    ("no-such-wire", "construction", plain(ROPE), {"wires": tuple([row for row in TABLES.wires if row.construction != "7x19"])}),
    ("thread-identified", "several", plain(upper=COUNTED), {"threads": (*TABLES.threads, *[replace(row, designation="like " + row.designation) for row in TABLES.threads])}),
]  # fmt: skip


@pytest.mark.parametrize(("code", "wording", "assembly", "tables"), SHOPS, ids=[f"{code}.{wording}" for code, wording, _, _ in SHOPS])
def test_what_the_catalogue_lacks_is_reported(code: str, wording: str, assembly: Assembly, tables: dict[str, Any]) -> None:
    catalogue, prices = demo()
    changed = replace(TABLES, **tables)
    made = rendered(make_quote(QuoteRequest((assembly,)), replace(catalogue, tables=changed, index=index_of(changed)), prices, DAY))[
        "assemblies"
    ][0]
    reported = [each for each in made["findings"] if each["code"] == code]
    assert [each["wording"] for each in reported][:1] == [wording or None]
    assert_worded_for_all(reported[0])

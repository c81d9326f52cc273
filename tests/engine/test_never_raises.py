"""No readable request makes the engine raise, whatever it combines, and the response to each is complete."""

from __future__ import annotations

import json
import re
from decimal import ROUND_HALF_UP, Decimal
from typing import Any

from hypothesis import given, settings
from hypothesis import strategies as st

from pricing.findings import CODES
from pricing.measurement import assembly as measured
from pricing.measurement.roles import ROLES
from tests.counts import some

from .inverse import table
from .shop import ask, size, summed

D = Decimal
NOMINAL = sorted({size(row["diameter"]) for name in ("wires", "pins") for row in table(name)})
LENGTHS = st.one_of(
    st.sampled_from(NOMINAL),
    st.integers(1, 100_000_000).map(lambda n: D(n) / 100),
    st.sampled_from((D("0.01"), D(1), D("25.4"), D("1000000"), D(1) / 3)),
)
SMALL = st.one_of(st.sampled_from(NOMINAL), st.integers(1, 20_000).map(lambda n: D(n) / 100))
FORCES = st.integers(1, 10**11).map(lambda n: D(n) / 10_000)
CELSIUS = st.one_of(st.integers(-60, 80).map(D), st.just(D(64 - 32) * 5 / 9))
THREADS = st.sampled_from([row["designation"] for row in table("threads")] + ["M8", "3/8-24", "3/8-16 UNC", "M7 x 3", "?", "9" * 40])
SKUS = st.sampled_from([*[row["sku"] for name in ("terminals", "links", "turnbuckle_bodies") for row in table(name)][::9], "NOPE"])


def maybe(some: st.SearchStrategy[Any]) -> st.SearchStrategy[Any]:
    """It, or mostly nothing."""
    return st.one_of(st.none(), st.none(), some)


def one(words: tuple[str, ...]) -> st.SearchStrategy[str]:
    return st.sampled_from(words)


def own(made: type, **more: Any) -> st.SearchStrategy[Any]:
    return st.builds(made, **{name: maybe(SMALL) for name in made.__dataclass_fields__} | more)


WIRES = st.one_of(
    st.sampled_from(table("wires")).map(
        lambda row: measured.WireSpec(row["construction"], size(row["diameter"]), row["diameter"], row["material"])
    ),
    st.builds(
        measured.WireSpec, one(measured.CONSTRUCTIONS), maybe(SMALL), st.sampled_from(("", "5 mm", "x")), maybe(st.sampled_from(("316", "jam"))),
        maybe(SMALL), st.booleans(),
    ).filter(lambda spec: spec.diameter is not None or spec.measured is not None),  # a request without either is refused
)  # fmt: skip
READ_THREADS = st.builds(measured.ThreadReading, SMALL, st.integers(1, 200), SMALL)
LINKS = st.builds(
    measured.Link, one(measured.LINKS), maybe(SMALL), maybe(SKUS), st.booleans(), maybe(own(measured.OwnLink)), maybe(one(measured.LINK_CHANGES)),
    maybe(st.booleans()), maybe(SMALL), maybe(one(measured.OUTER_SIDES)),
)  # fmt: skip
BOATS = st.builds(
    measured.BoatFitting, one(measured.BOAT_FITTINGS), maybe(SMALL), maybe(SMALL), maybe(SMALL), maybe(one(measured.PIN_FROM))
)
FIXED = [  # what a request may combine
    *((each, how) for each in ("fork", "eye", "toggle", "stud") for how in ("swage", "compression")),
    ("tee", "swage"), ("ball", "swage"), ("thimble_eye", "sleeve"), ("deadeye", "sleeve"), ("deadeye", "seizing"), ("none", None),
]  # fmt: skip


@st.composite
def some_end(draw: st.DrawFn) -> measured.End:
    """Any terminal with any fixing, pin, thread, article, links and dimensions beside it."""
    terminal, attachment = draw(st.sampled_from(FIXED))
    dimensions = (
        own(measured.OwnTerminal, groove=SMALL, to_sleeve=SMALL, thickness=SMALL)
        if terminal == "deadeye"
        else maybe(own(measured.OwnTerminal))
    )
    return measured.End(
        terminal, attachment, draw(maybe(SMALL)), draw(maybe(THREADS)), draw(maybe(one(measured.HANDS))), draw(maybe(SKUS)),
        draw(st.lists(LINKS, max_size=3).map(tuple)), draw(maybe(SMALL)), draw(maybe(one(measured.BOAT_HOLES))), draw(st.booleans()),
        draw(LENGTHS) if terminal == "none" else None, draw(maybe(SMALL)), draw(maybe(READ_THREADS)), draw(dimensions), draw(maybe(BOATS)),
        backing_plate=draw(maybe(one(measured.LINK_CHANGES))),
    )  # fmt: skip


ENDS = some_end()
EXPOSED = st.one_of(st.none(), st.just(D(0)), SMALL)
TURNBUCKLES = st.builds(
    measured.Turnbuckle, one(measured.BODIES), maybe(THREADS), maybe(one(measured.HANDS)), maybe(one(measured.SCREW_ENDS)), maybe(one(measured.SCREW_ENDS)), maybe(SMALL),
    maybe(SMALL), st.booleans(), maybe(st.builds(measured.Setting, EXPOSED, EXPOSED, maybe(one(measured.RECORDED_WITH)), maybe(one(measured.THREAD_FACES)))), one(("upper", "lower")),
    maybe(one(measured.BUILD_AT)), maybe(st.booleans()), maybe(SKUS), maybe(SMALL), maybe(READ_THREADS), maybe(own(measured.OwnTurnbuckle)),
    maybe(own(measured.OldTurnbuckle)),
)  # fmt: skip
MEASUREMENTS = st.builds(
    measured.Measurement, st.lists(LENGTHS, min_size=1, max_size=4).map(tuple), maybe(st.booleans()), maybe(st.booleans()), maybe(one(measured.SUPPORTS)),
    maybe(one(measured.RIG_SETTINGS)), one(measured.DATUMS), one(measured.DATUMS), maybe(CELSIUS), maybe(CELSIUS), maybe(CELSIUS),
    maybe(one(measured.TAPE_MATERIALS)), maybe(one(measured.TAPE_CLASSES)), maybe(SMALL), maybe(FORCES), maybe(FORCES), maybe(FORCES), maybe(FORCES),
    maybe(st.booleans()), maybe(FORCES), st.booleans(),
    maybe(st.builds(measured.TapeComparison, LENGTHS, LENGTHS, maybe(SMALL), maybe(CELSIUS), maybe(FORCES))), maybe(one(measured.TAPE_STARTS)),
    maybe(FORCES), maybe(FORCES), maybe(FORCES), maybe(SMALL), st.just(()), maybe(one(measured.HUNG_AS)),
)  # fmt: skip
STOPS = st.builds(measured.Stop, one(("upper", "lower")), LENGTHS, one(("upper", "lower")), st.just("ball"), maybe(SMALL), maybe(SMALL))
ASSEMBLIES = st.builds(
    measured.Assembly, st.sampled_from(("A", "Ωß", "<b>")), one(tuple(ROLES)), WIRES, ENDS, ENDS, MEASUREMENTS, maybe(one(measured.SIDES)), one(measured.MASTS),
    maybe(st.integers(1, 9)), st.integers(1, 999), maybe(TURNBUCKLES), st.lists(STOPS, max_size=3).map(tuple), st.booleans(), maybe(WIRES), maybe(FORCES), maybe(SMALL),
    maybe(st.integers(0, 100)), maybe(st.builds(measured.DeflectionTest, LENGTHS, LENGTHS, FORCES)), maybe(st.just("note")),
)  # fmt: skip


def assert_complete(quote: dict[str, Any]) -> None:
    """Everything that must hold of any quote."""
    text = json.dumps(quote, allow_nan=False)
    assert re.findall(r"[^\w-](?:Infinity|NaN)|\dE[+-]?\d", text) == []
    for place, each in enumerate(quote["assemblies"]):
        severities = {one["severity"] for one in each["findings"]}
        expected = "hold" if "stop" in severities else "confirm" if "ask" in severities else "ready_to_cut"
        assert each["readiness"] == expected
        assert (each["cut_length"] is None) == (expected == "hold"), [one["code"] for one in each["findings"]]
        if expected == "hold":
            assert each["cut_length"] is None
            assert each["derivation"] == each["parts"] == each["work"] == []
        else:
            assert D(each["cut_length"]["mm"]) == summed(each).quantize(D("0.1"), ROUND_HALF_UP) > 0
        for one_finding in each["findings"]:
            assert one_finding["code"] in CODES
            assert one_finding["pointer"].startswith((f"/assemblies/{place}/", "/boat/length_overall", "/note"))
            assert one_finding["message"].strip()
            assert one_finding["remedy"].strip()
    totals = quote["totals"]
    assert D(totals["lines"]) == sum(D(line["net"]) for line in quote["lines"])
    built = len(quote["left_out"]) < len(quote["assemblies"])
    assert (totals["payable"] is not None) is built
    assert D(totals["payable"] or 0) == D(totals["tax_exclusive"]) + D(totals["tax_amount"])


@settings(max_examples=some(800, 20))
@given(
    st.lists(ASSEMBLIES, min_size=1, max_size=2),
    maybe(LENGTHS),
    st.sampled_from(("metric", "imperial")),
    st.sampled_from((None, "retail", "trade", "fleet")),
    st.sampled_from(("collect", "ship")),
)
def test_no_request_raises_and_every_quote_is_complete(assemblies, length, units, price_list, delivery):
    boat = measured.Boat("Tern", length)
    assert_complete(ask(*assemblies, boat=boat, display_units=units, price_list=price_list, delivery=delivery))

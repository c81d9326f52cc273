"""Articles that are no longer sold: a new part is refused with what fits in its place, a kept one stays, and another size is never taken in silence.

Which articles there are, and what fits what, is read from the demo's rows in pricing/data.
"""

from __future__ import annotations

from dataclasses import replace
from datetime import date, timedelta
from decimal import Decimal
from typing import Any

import pytest

from pricing.catalogue import sold_on
from pricing.catalogue.indexing import index_of
from pricing.document import written
from pricing.errors import RequestError
from pricing.measurement.assembly import Assembly, End, ExtraArticle, Link, QuoteRequest, Stop, WireSpec
from pricing.quote import make_quote

from .selling import ask_of, ending, sold
from .shop import DAY, FORK, STRAND, TOGGLE, ask, codes, demo, finding_of, flat, shroud, size, stud, turnbuckle

D = Decimal
TOMORROW = DAY + timedelta(days=1)
PLAIN = shroud(FORK, FORK, STRAND, flat(9000))
ROPE = WireSpec("7x19", size("3/16 in"), "3/16 in", "316")
EYE = End("thimble_eye", "sleeve")
OTHER_FORK = "Fork, compression, for 3/16 in wire, 3/8 in pin"


def texts(finding: dict[str, Any], name: str) -> list[str]:
    """A listing among a finding's values."""
    return [each["text"] for each in finding["values"][name]["items"]]


def test_an_article_is_sold_on_its_last_day_and_not_on_the_next() -> None:
    catalogue = ending("FORK-SW-3-16IN", until=DAY)
    assert sold(ask_of(catalogue, PLAIN)) == sold(ask(PLAIN))
    after = ask_of(catalogue, PLAIN, day=TOMORROW)
    assert after["assemblies"][0]["readiness"] == "hold"
    assert sold(after) == {}


def test_days_between_two_last_days_have_one_catalogue_and_those_before_the_whole() -> None:
    whole = ending("FORK-SW-3-16IN", until=date(2026, 12, 31))
    assert sold_on(whole, date(2026, 12, 31)) is whole
    first = sold_on(whole, date(2027, 1, 1))
    assert first is not whole
    assert first.with_discontinued is whole
    assert sold_on(whole, date(2030, 1, 1)) is first
    assert sold_on(first, date(2026, 12, 31)) is whole
    assert (first.article("FORK-SW-3-16IN"), first.version) == (None, whole.version)


def test_what_fits_in_its_place_is_named_with_the_last_day() -> None:
    quote = ask_of(ending("FORK-SW-3-16IN"), PLAIN)
    reported = [each for each in quote["assemblies"][0]["findings"] if each["code"] == "no-longer-sold"]
    assert [(each["pointer"], each["severity"], each["wording"]) for each in reported] == [
        ("/assemblies/0/upper/terminal", "stop", "instead"),
        ("/assemblies/0/lower/terminal", "stop", "instead"),
    ]
    assert texts(reported[0], "instead") == [OTHER_FORK]  # the one other fork for 1x19 of 3/16 in with a 3/8 in pin
    assert reported[0]["message"] == (
        "The shop no longer sells Fork, swage, for 3/16 in wire, 3/8 in pin: its last day was 2026-11-24. "
        f"What it sells that fits there: {OTHER_FORK}."
    )


def test_an_end_without_a_successor_is_reported_as_such() -> None:
    both = ending("FORK-SW-3-16IN", "FORK-CO-3-16IN")
    reported = [each for each in ask_of(both, PLAIN, language="de")["assemblies"][0]["findings"] if each["code"] == "no-longer-sold"]
    assert {each["wording"] for each in reported} == {"nothing"}
    assert "der letzte Tag war 2026-11-24" in reported[0]["message"]


ENDED: list[tuple[str, Assembly, str, list[str]]] = [
    ("FORK-SW-3-16IN", shroud(replace(FORK, sku="FORK-SW-3-16IN"), EYE, ROPE, flat(9000)), "upper/sku", []),
    ("STUD-SW-3-16IN-3-8UNF-RH", shroud(FORK, stud(), STRAND, flat(9000)), "lower/terminal", ["Stud, compression, for 3/16 in wire, 3/8-24 UNF right-hand"]),
    ("BODY-OPEN-3-8UNF", shroud(FORK, stud(), STRAND, flat(9000), turnbuckle=turnbuckle(reuse=False)), "turnbuckle", ["Turnbuckle body, tubular, 3/8-24 UNF"]),
    (
        "SCREW-TOGGLE-3-8UNF-LH", shroud(FORK, stud(), STRAND, flat(9000), turnbuckle=turnbuckle(reuse=False)), "turnbuckle",
        ["Turnbuckle screw with fork, 3/8-24 UNF, left-hand", "Turnbuckle screw with eye, 3/8-24 UNF, left-hand"],
    ),
    ("LINK-TOGGLE-3-8IN", shroud(replace(FORK, links=(TOGGLE,)), FORK, STRAND, flat(9000)), "upper/links/0", []),
    (
        "LINK-TOGGLE-3-8IN",
        shroud(replace(FORK, links=(Link("shackle", size("3/8 in"), change="left_away"), replace(TOGGLE, change="added"))), FORK, STRAND, flat(9000)),
        "upper/links/1", [],
    ),
    ("SLEEVE-3-16IN", shroud(FORK, EYE, ROPE, flat(9000)), "lower/terminal", []),
    ("COTTER-3-32IN", PLAIN, "upper", []),
    ("WIRE-1X19-316-3-16IN", PLAIN, "wire/diameter", []),
    ("BALL-STOP-3-16IN-D3-8IN", replace(PLAIN, stops=(Stop("upper", D(3000), "upper", ball=size("3/8 in")),)), "stops/0", []),
]  # fmt: skip


@pytest.mark.parametrize(("sku", "assembly", "at", "instead"), ENDED, ids=[f"{sku} at {at}" for sku, _, at, _ in ENDED])
def test_each_kind_of_discontinued_article_is_reported_where_it_was_requested(
    sku: str, assembly: Assembly, at: str, instead: list[str]
) -> None:
    assert "no-longer-sold" not in codes(ask(assembly)["assemblies"][0])
    (made,) = ask_of(ending(sku), assembly)["assemblies"]
    reported = [each for each in made["findings"] if each["code"] == "no-longer-sold" and each["values"]["sku"]["text"] == sku]
    assert [each["pointer"] for each in reported][:1] == [f"/assemblies/0/{at}"]
    assert (texts(reported[0], "instead") if instead else reported[0]["wording"]) == (instead or "nothing")
    assert made["readiness"] == "hold"


KEPT: list[tuple[tuple[str, ...], Assembly]] = [
    (("FORK-CO-3-16IN",), shroud(replace(FORK, attachment="compression", reuse=True), FORK, STRAND, flat(9000))),
    (("THIMBLE-3-16IN",), shroud(FORK, replace(EYE, reuse=True), ROPE, flat(9000))),
    (
        ("BODY-OPEN-3-8UNF", "SCREW-TOGGLE-3-8UNF-LH"),
        shroud(FORK, stud(), STRAND, flat(9000, includes_turnbuckle=True), turnbuckle=turnbuckle()),
    ),
    (("BODY-TUBE-3-8UNF", "LOCKNUT-3-8UNF-RH", "LOCKNUT-3-8UNF-LH"), shroud(FORK, stud(), STRAND, flat(9000, includes_turnbuckle=True), turnbuckle=replace(turnbuckle(), body="tubular"))),
    (("LINK-TOGGLE-3-8IN",), shroud(replace(FORK, links=(replace(TOGGLE, reuse=True, change="kept", in_reading=True),)), FORK, STRAND, flat(9000))),
]  # fmt: skip


@pytest.mark.parametrize(("skus", "assembly"), KEPT, ids=[skus[0] for skus, _ in KEPT])
def test_a_part_that_stays_aboard_may_be_one_that_is_no_longer_sold(skus: tuple[str, ...], assembly: Assembly) -> None:
    whole = demo()[0]
    assert all(whole.article(sku) for sku in skus)
    before = ask(assembly)
    assert set(skus) & {part["sku"] for part in before["assemblies"][0]["parts"] if part["kept"]}
    assert ask_of(ending(*skus), assembly) == before


def test_a_pin_of_its_diameter_that_spans_more_takes_the_place_of_one_by_itself() -> None:
    """The longest 3/8 in pin of pins.csv spans 7/8 in; here another one spans 1 in."""
    assert sold(ask(PLAIN))["PIN-3-8IN-G7-8IN"] == "2"
    catalogue = ending("PIN-3-8IN-G7-8IN")
    pins = tuple(replace(row, grip=size("1 in")) if row.sku == "PIN-3-8IN-G11-16IN" else row for row in catalogue.tables.pins)
    tables = replace(catalogue.tables, pins=pins)
    quote = ask_of(replace(catalogue, tables=tables, index=index_of(tables)), PLAIN)
    assert codes(quote["assemblies"][0]) == codes(ask(PLAIN)["assemblies"][0])
    assert (sold(quote)["PIN-3-8IN-G11-16IN"], "PIN-3-8IN-G7-8IN" in sold(quote)) == ("2", False)


def test_a_size_that_has_ended_is_not_taken_for_another_within_a_tenth() -> None:
    """8 mm and 5/16 in (7.9375 mm) are two articles: where one has ended, a hand that wrote it does not get the other."""
    thin = WireSpec("1x19", size("5/32 in"), "5/32 in", "316")
    fork = End("fork", "swage", pin=size("5/16 in"))
    rounded = shroud(replace(fork, links=(Link("toggle", D("7.94"), in_reading=False, change="added"),)), fork, thin, flat(9000))
    assert "LINK-TOGGLE-5-16IN" in sold(ask(rounded))
    reported = finding_of(ask_of(ending("LINK-TOGGLE-5-16IN"), rounded)["assemblies"][0], "no-longer-sold")
    assert (reported["pointer"], reported["values"]["sku"]["text"]) == ("/assemblies/0/upper/links/0", "LINK-TOGGLE-5-16IN")


def test_a_caliper_names_the_wire_that_has_ended_and_no_near_one() -> None:
    gauged = replace(PLAIN, wire=WireSpec("1x19", None, "", "316", measured=D("4.75")))
    (made,) = ask_of(ending("WIRE-1X19-316-3-16IN"), gauged)["assemblies"]
    reported = finding_of(made, "no-longer-sold")
    assert (reported["pointer"], reported["values"]["sku"]["text"]) == ("/assemblies/0/wire/measured", "WIRE-1X19-316-3-16IN")


def test_the_only_thread_still_sold_is_not_assumed_when_none_was_given() -> None:
    unsaid = shroud(FORK, replace(stud(), thread=None), STRAND, flat(9000))
    assert "thread-missing" in codes(ask(unsaid)["assemblies"][0])
    others = [row.sku for row in demo()[0].terminals("stud", "swage", "1x19", size("3/16 in")) if row.thread != "3/8-24 UNF"]
    assert others
    assert "thread-missing" in codes(ask_of(ending(*others), unsaid)["assemblies"][0])


def test_a_locking_part_that_has_ended_is_asked_about_by_its_name() -> None:
    tubular = replace(turnbuckle(reuse=False), body="tubular")
    assembly = shroud(FORK, stud(), STRAND, flat(9000, includes_turnbuckle=True), turnbuckle=tubular)
    assert "LOCKNUT-3-8UNF-LH" in sold(ask(assembly))
    reported = finding_of(ask_of(ending("LOCKNUT-3-8UNF-LH"), assembly)["assemblies"][0], "no-locking-part")
    assert (reported["wording"], reported["values"]["sku"]["text"]) == ("ended", "LOCKNUT-3-8UNF-LH")


def test_a_cone_and_a_backing_plate_that_have_ended_are_asked_about_by_their_names() -> None:
    kept = shroud(replace(FORK, attachment="compression", reuse=True), End("tee", "swage", backing_plate="added"), STRAND, flat(9000))
    parts = {part["sku"] for part in ask(kept)["assemblies"][0]["parts"]}
    cone, plate = (next(sku for sku in parts if sku.startswith(start)) for start in ("CONE", "BACKING"))
    (made,) = ask_of(ending(cone, plate), kept)["assemblies"]
    assert {finding_of(made, code)["wording"] for code in ("no-cone", "no-backing-plate")} == {"ended"}


def test_the_shop_is_told_what_ends_before_its_quote_does() -> None:
    """The demo's quotes are valid for 30 days (terms.csv): this one until 25 December 2026."""
    for until, many in ((date(2026, 12, 24), 1), (date(2026, 12, 25), 0)):
        catalogue = ending("FORK-SW-3-16IN", until=until)
        wires = tuple(
            replace(row, until=date(2026, 12, 25)) if row.sku == "WIRE-1X19-316-3-16IN" else row for row in catalogue.tables.wires
        )
        tables = replace(catalogue.tables, wires=wires)
        quote = ask_of(replace(catalogue, tables=tables, index=index_of(tables)), PLAIN, replace(PLAIN, tag="B"))
        skus = [each["values"]["sku"]["text"] for each in quote["findings"] if each["code"] == "sold-until"]
        assert skus == ["FORK-SW-3-16IN"] * many
    (reported,) = [
        each for each in ask_of(ending("FORK-SW-3-16IN", until=date(2026, 12, 1)), PLAIN)["findings"] if each["code"] == "sold-until"
    ]
    assert (reported["pointer"], reported["severity"], reported["reader"]) == ("/assemblies/0/upper", "note", "shop")
    assert reported["message"] == (
        "Fork, swage, for 3/16 in wire, 3/8 in pin (FORK-SW-3-16IN) is sold until 2026-12-01, and this quote is valid until 2026-12-25."
    )


@pytest.mark.parametrize(
    ("sku", "assembly", "extra", "at"),
    [
        ("WIRE-1X19-316-3-16IN", PLAIN, (), ["/assemblies/0/wire"]),
        (
            "BALL-STOP-3-16IN-D3-8IN",
            replace(PLAIN, stops=(Stop("upper", D(3000), "upper", ball=size("3/8 in")),)),
            (),
            ["/assemblies/0/stops/0"],
        ),
        ("COTTER-1-16IN", PLAIN, (ExtraArticle("COTTER-1-16IN", D(2)),), ["/extra_articles/0"]),
        ("FORK-CO-3-16IN", KEPT[0][1], (), []),
    ],
    ids=["wire", "stop", "by its number", "kept"],
)
def test_an_article_about_to_end_is_reported_once_where_it_is_used(
    sku: str, assembly: Assembly, extra: tuple[ExtraArticle, ...], at: list[str]
) -> None:
    quote = ask_of(ending(sku, until=DAY), assembly, extra_articles=extra)
    assert [each["pointer"] for each in quote["findings"] if each["code"] == "sold-until"] == at


def test_an_article_added_by_its_number_is_refused_with_what_fits_in_its_place() -> None:
    asked = QuoteRequest((PLAIN,), extra_articles=(ExtraArticle("FORK-SW-3-16IN", D(1)),))
    with pytest.raises(RequestError) as refused:
        make_quote(asked, ending("FORK-SW-3-16IN"), demo()[1], DAY)
    ((at, code, detail),) = refused.value.faults
    assert (at, code) == ("/extra_articles/0/sku", "article_ended")
    assert "its last day was 2026-11-24" in detail


def test_a_quote_is_made_again_on_its_day_as_it_was_though_all_has_ended_since() -> None:
    skus = [row.sku for kind in ("wires", "terminals", "pins", "cotters") for row in getattr(demo()[0].tables, kind)]
    catalogue, asked = ending(*skus, until=DAY + timedelta(days=365)), QuoteRequest((PLAIN,))
    then = written(make_quote(asked, catalogue, demo()[1], DAY))
    assert then == written(make_quote(asked, demo()[0], demo()[1], DAY))
    later = make_quote(asked, catalogue, demo()[1], DAY + timedelta(days=366))
    assert later.left_out == ("A",)
    assert written(make_quote(asked, catalogue, demo()[1], DAY)) == then

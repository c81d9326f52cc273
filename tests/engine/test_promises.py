"""Readiness is a promise: anything implausible, stated twice or stated for several is queried; each rule by itself, at its bounds.

Bounds are the shop's terms (from memory); shares and sums are worked by hand beside each row.
"""

from __future__ import annotations

from dataclasses import replace
from decimal import Decimal

import pytest

from pricing.checks.customer_input import NOTE
from pricing.checks.lifelines import least_diameter
from pricing.costing.bill import Bill, count
from pricing.costing.shipped_parts import travels
from pricing.derivation import thousandth
from pricing.fittings.base import Part
from pricing.geometry.chain import build as chained
from pricing.measurement.assembly import Assembly, Boat, End, Link, WireSpec
from pricing.units import in_decimal_feet, tenth

from .shop import DAY, ask, build, codes, demo, finding_of, flat, shroud, turnbuckle

D = Decimal
FIVE = WireSpec("1x19", D(5), "5 mm", "316")
FORK, EYE = End("fork", "swage", pin=D(10)), End("eye", "swage", pin=D(10))
TEN_METRES = Boat("Tern", D(10_000))


def cap(length: D | int, **more: object) -> Assembly:
    return replace(shroud(FORK, EYE, FIVE, flat(length, length), role="cap_shroud"), **more)  # type: ignore[arg-type]


def quoted(*assemblies: Assembly, **request: object) -> list[list[str]]:
    """The asks and stops of each."""
    made = ask(*[replace(each, tag=str(place)) for place, each in enumerate(assemblies)], **{"boat": TEN_METRES, **request})
    return [codes(each, "ask") + codes(each, "stop") for each in made["assemblies"]]


@pytest.mark.parametrize(
    ("role", "mast", "shortest", "longest"),
    [  # mm on a hull of 10 m
        ("cap_shroud", "main", 5_000, 19_000),
        ("lower_shroud", "main", 2_500, 11_000),
        ("fore_lower", "main", 2_500, 11_000),
        ("forestay", "main", 5_000, 22_000),
        ("backstay", "main", 5_000, 22_000),
        ("cap_shroud", "mizzen", 3_000, 19_000),
        ("lower_shroud", "mizzen", 1_500, 11_000),
        ("lifeline_upper", "main", None, 11_000),
        ("gate_wire", "main", None, 11_000),
    ],
)
def test_a_length_is_held_against_the_hulls(role: str, mast: str, shortest: int | None, longest: int) -> None:
    for length, well in ((shortest, True), (shortest and shortest - 1, False), (longest, True), (longest + 1, False)):
        if length:
            (raised,) = quoted(cap(length, role=role, mast=mast))
            assert ("length-implausible" not in raised) is well, length


@pytest.mark.parametrize(("hull", "well"), [(3_333, False), (3_334, True), (20_000, True), (20_001, False)])
def test_standing_wire_is_held_against_the_hull(hull: int, well: bool) -> None:
    """5 mm: 1.5 mm a metre from 3.33 m on, 0.25 mm a metre up to 20 m."""
    (raised,) = quoted(cap(hull), boat=Boat("Tern", D(hull)))
    assert ("wire-size-implausible" not in raised) is well


def test_a_backstay_counts_with_the_longest_of_its_legs() -> None:
    stay, leg, other = cap(4_000, role="backstay"), cap(900, role="backstay_leg"), cap(1_100, role="backstay_leg")
    assert "length-implausible" in quoted(stay, leg, leg)[0]  # 4.9 m of 10
    assert "length-implausible" not in quoted(stay, leg, other)[0]  # 5.1 m


def test_the_hulls_length_is_asked_for_once_a_boat_and_not_of_a_pennant() -> None:
    raised = quoted(cap(9_000, side="port"), cap(9_000, side="starboard"), boat=Boat("Tern"))
    assert [each.count("hull-length-missing") for each in raised] == [1, 0]
    assert quoted(cap(900, role="pennant"), boat=Boat("Tern")) == [[]]


@pytest.mark.parametrize(
    ("text", "decimal"),
    [
        ("31.4 ft", True), ("31,4 ft", True), ("31.4'", True), ("31.4 feet", True), ("31 ft 4 in", False), ("31 ft", False),
        ("31 ft 4.8 in", False), ("376.8 in", False), ("9.57 m", False), ("31 1/2 ft", False),
    ],
)  # fmt: skip
def test_feet_with_a_decimal_fraction_are_known_by_their_text(text: str, decimal: bool) -> None:
    assert in_decimal_feet(text) is decimal


def test_decimal_feet_are_repeated_in_feet_and_inches() -> None:
    """31.4 ft = 376.8 in = 31 ft 4.8 in, to the nearest 1/32 in 4 26/32 = 4 13/16 in."""
    measured = replace(flat("9570.72", "9570.72"), written=("31.4 ft", "376.8 in"))
    finding = finding_of(build(replace(cap(1), measurement=measured)), "decimal-feet")
    assert "31.4 ft is 31 ft 4 13/16 in" in finding["message"]
    assert "376.8" not in finding["message"]


def test_several_with_one_setting_are_asked_about() -> None:
    wire = WireSpec("1x19", D("4.7625"), "3/16 in", "316")
    stud = End("stud", "swage", thread="3/8-24 UNF", hand="right")
    fork = End("fork", "swage", pin=D("9.525"))
    one = shroud(fork, stud, wire, flat(9_000, 9_000, includes_turnbuckle=True), turnbuckle=turnbuckle())
    assert "one-setting-for-several" not in quoted(one)[0]
    assert "one-setting-for-several" in quoted(replace(one, quantity=4))[0]


@pytest.mark.parametrize(("leave", "asked"), [(500, False), (501, True)])
def test_a_long_bare_end_is_asked_about(leave: int, asked: bool) -> None:
    bare = cap(9_000, lower=End("none", leave=D(leave)))
    assert ("bare-end-long" in quoted(bare)[0]) is asked


def test_a_note_is_one_ask_with_its_words_in_one_line() -> None:
    made = ask(
        cap(9_000, note="DO NOT CUT\nbefore I call", tag="A"), cap(9_100, role="forestay", tag="B"), boat=TEN_METRES, note="Ring first."
    )
    first, second = made["assemblies"]
    words = [(each["pointer"], each["message"]) for each in first["findings"] if each["code"] == NOTE]
    assert words == [
        ("/assemblies/0/note", "The customer wrote: “DO NOT CUT before I call”"),
        ("/note", "The customer wrote: “Ring first.”"),
    ]
    assert (first["readiness"], first["note"], NOTE in codes(second)) == ("confirm", "DO NOT CUT\nbefore I call", False)


@pytest.mark.parametrize(
    ("hull", "well", "thin"),
    [(8_499, "3", "2.99"), (8_500, "3.96875", "3.96"), (13_000, "4", "3.175"), (13_001, "4.7625", "4.76"), (20_000, "5", "4")],
)
def test_lifelines_in_inches_or_metric_are_enough_as_the_table_prints_them(hull: int, well: str, thin: str) -> None:
    """3 mm (1/8 in) under 8.5 m, 4 mm (5/32 in = 3.96875 mm) to 13 m, 5 mm (3/16 in = 4.7625 mm) over it."""
    least = least_diameter(D(hull)).diameter
    assert D(thin) < least <= D(well)


def test_a_pair_of_other_fittings_pins_or_links_is_asked_about_on_both() -> None:
    port, starboard = cap(9_000, side="port"), cap(9_001, side="starboard")
    assert quoted(port, starboard) == [[], []]
    for changed in (
        replace(starboard, upper=EYE),
        replace(starboard, lower=replace(EYE, links=(Link("toggle", D(10)),)), measurement=flat(9_001, 9_001, includes_links=True)),
    ):
        assert all("pair-fittings-differ" in each for each in quoted(port, changed))


@pytest.mark.parametrize(
    ("language", "words"),
    [
        ("en", "terminal at the upper end (swaged fork to port, swaged eye to starboard)"),
        ("de", "Terminal am oberen Ende (an Backbord Gabel gewalzt, an Steuerbord Auge gewalzt)"),
    ],
)
def test_a_pair_s_difference_is_reported_with_both_sides(language: str, words: str) -> None:
    port, starboard = cap(9_000, side="port"), cap(9_000, side="starboard", upper=EYE)
    made = ask(port, starboard, boat=TEN_METRES, language=language)["assemblies"]
    assert all(words in finding_of(each, "pair-fittings-differ")["message"] for each in made)


def test_two_of_a_pair_are_both_its_sides_and_three_are_not() -> None:
    made = ask(cap(9_000, side=None, quantity=2), boat=TEN_METRES)["assemblies"][0]
    assert "partner-missing" not in codes(made)
    assert "role-repeats" not in codes(made)
    assert "quantity-as-both-sides" in codes(made, "note")
    assert "role-repeats" in quoted(cap(9_000, side="port", quantity=2))[0]
    assert "role-repeats" in quoted(cap(9_000, side="port", quantity=3))[0]
    assert "role-repeats" in quoted(cap(9_000, side="port", quantity=2), cap(9_000, side="starboard"))[0]
    assert "role-repeats" in quoted(cap(9_000, role="forestay", side="centre", quantity=2))[0]


def test_an_order_of_lengths_counts_only_where_no_wire_is_numbered() -> None:
    short, lower = cap(6_000, side="port"), cap(7_000, side="port", role="lower_shroud")
    assert all("length-order" in each for each in quoted(short, lower))
    numbered = cap(5_000, role="vertical", number=2, side="port")
    assert not any("length-order" in each for each in quoted(short, lower, numbered))
    assert all("length-order" in each for each in quoted(short, lower, replace(numbered, side="starboard"))[:2])
    assert all("length-order" in each for each in quoted(short, lower, replace(numbered, mast="mizzen"))[:2])


def test_where_wires_are_numbered_a_role_may_repeat_and_a_number_may_not() -> None:
    one, other = (cap(length, side="port", role="intermediate_shroud") for length in (6_000, 5_000))
    assert all("role-repeats" in each for each in quoted(one, other))
    first = cap(5_500, side="port", role="vertical", number=1)
    assert not any("role-repeats" in each for each in quoted(one, other, first, replace(first, number=2)))
    assert ["role-repeats" in each for each in quoted(one, first, first)] == [False, True, True]


KEPT = [Part(sku, sku, 1, at, True, D(1), family) for sku, at, family in (("FORK", "upper", "fork"), ("LINK-TOGGLE-5-16IN", "lower", None))]


@pytest.mark.parametrize(
    ("fork", "toggle", "weighs"), [(None, None, 5), (True, None, 6), (None, True, 6), (True, True, 7), (False, False, 5)]
)
def test_what_the_customer_keeps_aboard_weighs_nothing(fork: bool | None, toggle: bool | None, weighs: int) -> None:
    upper = replace(FORK, reuse=True, sent_in=fork)
    lower = replace(EYE, links=(Link("toggle", D(8), reuse=True, sent_in=toggle),))
    parts = (Part("NEW", "NEW", 5, "upper", False, D(1)), *KEPT)
    kept = travels(parts, shroud(upper, lower, FIVE, flat(9_000, 9_000)), demo()[0])
    assert sum(part.quantity * part.kg for part in kept) == weighs


def test_metres_of_the_bill_are_rounded_half_up_as_the_lines_are() -> None:
    """39.6685 m stands between 39.668 and 39.669; half up is 39.669 (half to even would be 39.668)."""
    bill = Bill()
    bill.metres["W"] = D("39.6685")
    bill.wires["W"] = demo()[0].wires["WIRE-1X19-316-5MM"]
    assert str(bill.lines()[0].quantity) == "39.669"


def test_no_zero_is_negative() -> None:
    assert (str(thousandth(D("-0.0001"))), str(thousandth(-0.0001)), str(tenth(D("-0.01")))) == ("0.000", "0.000", "0.0")
    assert str(thousandth(D("-0.0005"))) == "-0.001"


def test_freight_is_of_what_is_sent() -> None:
    """A kept toggle at the lower end: the same bill, lighter by the toggle and its pin."""
    catalogue, prices = demo()
    toggle = Link("toggle", D(10), reuse=True)
    assembly = cap(9_000, lower=replace(EYE, links=(toggle,)), measurement=flat(9_000, 9_000, includes_links=True))
    sent = replace(assembly, lower=replace(EYE, links=(replace(toggle, sent_in=True),)))
    terms = prices.at(DAY).terms
    one, two = (count(chained(each, catalogue, terms), catalogue) for each in (assembly, sent))
    assert one is not None
    assert two is not None
    assert two.kg - one.kg == sum((part.quantity * part.kg for part in two.parts if part.kept), D(0)) > 0


def test_an_unknown_material_is_pointed_at_and_those_there_are_are_listed() -> None:
    finding = finding_of(build(cap(9_000, wire=replace(FIVE, material="1.4404"))), "no-such-wire")
    assert finding["pointer"] == "/assemblies/0/wire/material"
    assert "1.4404" in finding["message"]
    assert finding["message"].endswith("it has 316.")
    assert (
        finding_of(build(cap(9_000, wire=WireSpec("1x19", None, "", "1.4404", measured=D("4.9")))), "no-such-wire")["pointer"]
        == finding["pointer"]
    )
    assert finding_of(build(cap(9_000, wire=replace(FIVE, diameter=D("5.5"), size="5.5 mm"))), "no-such-wire")["pointer"].endswith(
        "/wire/diameter"
    )


@pytest.mark.parametrize(("construction", "terminal"), [("1x19", True), ("7x19", False)])
def test_a_bare_end_names_a_terminal_only_where_one_exists(construction: str, terminal: bool) -> None:
    """A halyard of 7x19 ends in a rope tail: no compression terminal holds it."""
    halyard = cap(
        9_000,
        role="halyard",
        wire=replace(FIVE, construction=construction),
        upper=End("none", leave=D(200)),
        lower=End("none", leave=D(200)),
    )
    wordings = [each["wording"] for each in build(halyard)["findings"] if each["code"] == "end-left-bare"]
    assert wordings == ["terminal" if terminal else "by_hand"] * 2

"""What must hold for every boat: symmetry, shifts, units, and that no readable request ever raises."""

from copy import deepcopy
from decimal import Decimal
from fractions import Fraction

from hypothesis import assume, given, settings
from hypothesis import strategies as st

from tests.counts import some
from tests.properties.boats import assemblies, quote

MM = Decimal(1)


def only(request):
    return quote({"assemblies": [request]})["assemblies"][0]


def summed(assembly):
    return sum(Decimal(each["mm"]) for each in assembly["derivation"])


@settings(max_examples=some(150))
@given(assemblies())
def test_a_millimetre_more_on_every_reading_is_a_millimetre_more_of_wire(assembly):
    longer = deepcopy(assembly)
    longer["measurement"]["readings"] = [f"{Decimal(each.split()[0]) + 1} mm" for each in assembly["measurement"]["readings"]]
    before, after = only(assembly), only(longer)
    assume(before["cut_length"] and after["cut_length"])
    assert summed(after) - summed(before) == MM


@settings(max_examples=some(150))
@given(assemblies())
def test_the_derivation_adds_up_to_the_cut_length_and_its_first_terms_to_the_target(assembly):
    built = only(assembly)
    assume(built["cut_length"])
    assert abs(summed(built) - Decimal(built["cut_length"]["mm"])) <= Decimal("0.05")
    assert all(Decimal(each["mm"]).as_tuple().exponent == -3 for each in built["derivation"])


MIRROR = {"port": "starboard", "starboard": "port", "centre": "centre"}


@settings(max_examples=some(60))
@given(assemblies("A"), assemblies("B"))
def test_a_boat_and_its_mirror_image_are_quoted_alike(one, two):
    here = quote({"assemblies": [one, two]})
    mirrored = [dict(each, side=MIRROR[each["side"]]) for each in (one, two)]
    there = quote({"assemblies": mirrored})
    assert here["totals"] == there["totals"]
    for left, right in zip(here["assemblies"], there["assemblies"], strict=True):
        assert (left["cut_length"], left["readiness"], left["turnbuckle"]) == (right["cut_length"], right["readiness"], right["turnbuckle"])


def as_inches(text):
    """The same length in decimal inches, exact or not at all."""
    number, unit = text.split()
    assert unit == "mm"
    return Fraction(number) / Fraction(254, 10)


@settings(max_examples=some(80))
@given(assemblies(), st.sampled_from(["cm", "m", "object"]))
def test_the_unit_a_length_is_written_in_never_changes_the_wire(assembly, unit):
    other = deepcopy(assembly)

    def written(text):
        number = Decimal(text.split()[0])
        if unit == "object":
            return {"value": str(number), "unit": "mm"}
        return f"{number / (10 if unit == 'cm' else 1000):f} {unit}"

    other["measurement"]["readings"] = [written(each) for each in assembly["measurement"]["readings"]]
    before, after = only(assembly), only(other)
    assert (before["cut_length"], before["readiness"]) == (after["cut_length"], after["readiness"])


@settings(max_examples=some(80))
@given(st.integers(16 * 40, 16 * 500), st.sampled_from(["fraction", "decimal", "feet"]))
def test_inches_written_as_fractions_decimals_or_feet_are_one_length(sixteenths, form):
    whole, rest = divmod(sixteenths, 16)
    fraction = f"{whole} {Fraction(rest, 16)} in" if rest else f"{whole} in"
    feet, inches = divmod(whole, 12)
    written = {
        "fraction": fraction,
        "decimal": f"{Decimal(sixteenths) / 16} in",
        "feet": f"{feet}' {inches}-{Fraction(rest, 16)}\"" if rest else f"{feet}' {inches}\"",
    }[form]
    base = {
        "tag": "A", "role": "backstay", "wire": {"construction": "1x19", "material": "316", "diameter": "3/16 in"},
        "upper": {"terminal": "fork", "attachment": "swage"}, "lower": {"terminal": "fork", "attachment": "swage"},
    }  # fmt: skip
    one = only({**base, "measurement": {"readings": [fraction]}})
    two = only({**base, "measurement": {"readings": [written]}})
    metric = only({**base, "measurement": {"readings": [f"{Decimal(sixteenths) * Decimal('1.5875')} mm"]}})
    assert one["cut_length"] == two["cut_length"] == metric["cut_length"]


@settings(max_examples=some(200))
@given(
    st.lists(assemblies(least=10, most=40000), min_size=1, max_size=4),
    st.sampled_from(["imperial", "metric"]),
    st.sampled_from(["collect", "ship"]),
)
def test_no_boat_that_can_be_read_raises_and_its_totals_reconcile(boat, units, delivery):
    for place, assembly in enumerate(boat):
        assembly["tag"] = f"W{place}"
    made = quote({"assemblies": boat, "display_units": units, "delivery": delivery})
    totals = {key: Decimal(value) for key, value in made["totals"].items() if isinstance(value, str)}
    assert totals["lines"] == sum(Decimal(line["net"]) for line in made["lines"])
    assert totals["tax_exclusive"] == totals["lines"] - totals["allowances"] + totals["charges"]
    assert totals["tax_amount"] == sum(Decimal(each["amount"]) for each in made["totals"]["tax"])
    assert totals["tax_inclusive"] == totals["tax_exclusive"] + totals["tax_amount"]
    for share, groups in (("net", {"wire", "fitting", "labour", "waste"}), ("fittings", {"fitting"})):
        borne = sum(Decimal(each["price"][share]) for each in made["assemblies"] if each["price"])
        assert borne == sum(Decimal(line["net"]) for line in made["lines"] if line["group"] in groups)
    built = any(each["readiness"] != "hold" for each in made["assemblies"])
    assert made["totals"]["payable"] == (made["totals"]["tax_inclusive"] if built else None)
    assert made["left_out"] == [each["tag"] for each in made["assemblies"] if each["readiness"] == "hold"]


@settings(max_examples=some(60))
@given(assemblies())
def test_an_assembly_on_hold_does_not_spoil_the_rest(assembly):
    sound = {
        "tag": "SOUND", "role": "inner_forestay", "wire": {"construction": "1x19", "material": "316", "diameter": "5 mm"},
        "upper": {"terminal": "fork", "attachment": "swage"}, "lower": {"terminal": "fork", "attachment": "swage"},
        "measurement": {"readings": ["7 310 mm"], "support": "flat"},
    }  # fmt: skip
    held = dict(assembly, tag="HELD", wire={"construction": "1x19", "material": "316", "diameter": "14 mm"})
    alone, together = quote({"assemblies": [sound]}), quote({"assemblies": [sound, held]})
    assert together["left_out"] == ["HELD"]
    assert together["totals"] == alone["totals"]
    assert together["lines"] == alone["lines"]

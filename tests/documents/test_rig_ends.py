"""Both ends of an assembly read back from the derivation: what is drawn must add up to the finished length."""

import csv
from fractions import Fraction
from functools import cache

import pytest

from pricing.catalogue import DEMO_FOLDER
from pricing.fittings import FAMILIES
from service.documents.rig import ends
from tests.counts import some_of

from . import rigs
from .made import assembly_of, drawing

BUILT = some_of([(name, assembly) for name, _, assembly in rigs.every() if assembly["cut_length"]], 80)


@cache
def rows(table):
    with (DEMO_FOLDER / f"{table}.csv").open(encoding="utf-8", newline="") as file:
        return list(csv.DictReader(file))


def end_of(assembly, side):
    return ends.end_of(assembly_of(assembly), side)


def kinds(end):
    return [member.kind for member in end.members]


@pytest.mark.parametrize(("name", "assembly"), BUILT, ids=[name for name, _ in BUILT])
def test_ends_and_free_wire_add_up_to_the_finished_length(name, assembly):
    upper, lower = end_of(assembly, "upper"), end_of(assembly, "lower")
    free = float(ends.free_wire(assembly_of(assembly)))
    assert free > 0
    if assembly["target_length"]:  # the cut length is rounded to 0.1 mm, hence 0.05
        assert upper.depth + free + lower.depth == pytest.approx(float(assembly["target_length"]["mm"]), abs=0.0511)


def test_every_kind_of_member_comes_in_its_order_from_the_outermost_bearing_inward():
    found = {name: rigs.one(**({"wire": rigs.wire()} | kind))[1] for name, kind in rigs.KINDS.items()}
    assert kinds(end_of(found["open turnbuckle"], "upper")) == ["tee"]
    assert kinds(end_of(found["open turnbuckle"], "lower")) == ["screw toggle", "thread", "open body", "thread", "stud"]
    assert kinds(end_of(found["tubular turnbuckle"], "lower"))[2] == "tubular body"
    assert kinds(end_of(found["turnbuckle above"], "upper")) == ["shackle link", "screw fork", "thread", "open body", "thread", "stud"]
    assert kinds(end_of(found["two screws"], "lower")) == ["screw fork", "thread", "open body", "thread", "inner screw fork", "eye"]
    assert kinds(end_of(found["to the stud"], "lower")) == ["stud"]
    assert kinds(end_of(found["links"], "upper")) == ["shackle link", "toggle link", "fork"]
    assert kinds(end_of(found["stops"], "lower")) == ["thimble_eye"]
    assert end_of(found["bare below"], "lower").bare == 900
    assert kinds(end_of(found["on hold"], "lower")) == []


def test_the_exposed_threads_stand_on_their_own_screws_at_either_end():
    for name, (outer, inner) in (("open turnbuckle", (31.5, 34)), ("turnbuckle above", (34, 31.5))):
        _, assembly = rigs.one(**({"wire": rigs.wire()} | rigs.KINDS[name]))
        end = end_of(assembly, "lower" if name == "open turnbuckle" else "upper")
        assert [member.length for member in end.members if member.kind == "thread"] == [outer, inner]


def test_a_reading_that_stopped_at_the_stud_ends_at_its_last_thread_inside_the_body():
    stud = next(row for row in rows("terminals") if row["sku"] == "STUD-SW-5MM-M10-RH")
    body = next(row for row in rows("turnbuckle_bodies") if row["sku"] == "BODY-OPEN-M10")
    screw = next(row for row in rows("screws") if row["thread"] == body["thread"] and row["end"] == "toggle" and row["hand"] == "left")
    thread, face, runout = (_mm(row[name]) for row, name in ((stud, "thread_length"), (body, "length"), (screw, "runout")))
    setup = {**rigs.KINDS["open turnbuckle"], "measurement": rigs.read("9 m", includes_turnbuckle=False)}
    _, assembly = rigs.one(wire=rigs.wire(), **setup)
    # from the load: run-out, 31.5 exposed, the body's face, and back by what of the stud is in the body, its thread less 34 exposed
    assert float(end_of(assembly, "lower").read_from) == pytest.approx(runout + 31.5 + face - (thread - 34), abs=0.002)


def test_a_reading_taken_to_the_pins_centre_starts_half_a_pin_inward():
    upper = rigs.swaged("fork", pin="10 mm")
    _, assembly = rigs.one(wire=rigs.wire(), upper=upper, lower=rigs.swaged("eye"), measurement=rigs.read("9 m", upper_datum="pin_centre"))
    assert (end_of(assembly, "upper").read_from, end_of(assembly, "lower").read_from) == (5.0, 0.0)


def test_links_that_the_reading_left_out_lie_beyond_its_end():
    toggle = next(row for row in rows("links") if row["kind"] == "toggle" and row["pin"] == "10 mm")
    lower = rigs.swaged("eye", pin="10 mm", links=["toggle"])
    reading = rigs.read("9 m", includes_links=False)
    _, assembly = rigs.one(wire=rigs.wire(), upper=rigs.swaged("fork"), lower=lower, measurement=reading)
    # each member bears on its own side of the pin they share
    assert float(end_of(assembly, "lower").read_from) == pytest.approx(_mm(toggle["length"]) - 10, abs=0.001)


@pytest.mark.parametrize(("name", "assembly"), BUILT, ids=[name for name, _ in BUILT])
def test_the_quote_tells_the_family_and_the_attachment_of_each_terminal_and_the_turnbuckles_body(name, assembly):
    """Against the catalogue's own rows; what is measured by the customer is told as it was asked for."""
    told = {row["sku"]: (row["family"], row["attachment"]) for row in rows("terminals")}
    told |= {row["sku"]: ("thimble_eye", "sleeve") for table in ("thimbles", "sleeves") for row in rows(table)}
    bodies = {row["sku"].removeprefix("OWN-"): row["body"] for row in rows("turnbuckle_bodies")}
    for part in assembly["parts"]:
        if part["family"] == "deadeye":  # with the sleeves that close the loop round it
            assert part["attachment"] == "sleeve"
            assert any(each["sku"] == "OWN-DEADEYE" and each["at"] == part["at"] for each in assembly["parts"])
        elif not part["sku"].startswith("OWN-"):
            assert (part["family"], part["attachment"]) == told.get(part["sku"], (None, None))
        elif part["at"] in ("upper", "lower") and part["sku"].removeprefix("OWN-").lower() in FAMILIES:
            assert part["family"] == part["sku"].removeprefix("OWN-").lower()
        if part["sku"].removeprefix("OWN-") in bodies:
            assert assembly["turnbuckle"]["body"] == bodies[part["sku"].removeprefix("OWN-")]


@pytest.mark.parametrize("name", some_of([*rigs.KINDS], 9))
def test_no_drawing_depends_on_a_sentence_of_the_derivation(name):
    """Its words may change, in any language; members, codes and lengths are what is drawn."""
    document, assembly = rigs.one(**{"wire": rigs.wire()} | rigs.KINDS[name])
    drawn = drawing(document, assembly)
    for line in assembly["derivation"]:
        line |= {"step": "x", "formula": "y", "source": "z", "inputs": {}}
    assert drawing(document, assembly) == drawn


def test_what_a_member_is_does_not_depend_on_its_articles_name():
    """A shop may name its articles as it likes, in any language."""
    _, assembly = rigs.one(**{"wire": rigs.wire()} | rigs.KINDS["tubular turnbuckle"])
    for each in (*assembly["parts"], *(member for end in assembly["ends"].values() for member in end["members"])):
        each.update(sku=f"no-{(each['sku'] or '')[::-1]}", name="Beschlag")
    assert kinds(end_of(assembly, "upper")) == ["toggle"]
    assert kinds(end_of(assembly, "lower"))[2] == "tubular body"


def test_an_assembly_of_a_quote_that_does_not_say_its_members_is_not_drawn_wrong():
    document, assembly = rigs.one(**{"wire": rigs.wire()} | rigs.KINDS["open turnbuckle"])
    del assembly["ends"], assembly["free_wire"]
    assert kinds(end_of(assembly, "upper")) == []
    assert (
        "</svg>" in drawing(document, assembly).decode() if isinstance(drawing(document, assembly), bytes) else drawing(document, assembly)
    )


def _mm(text):
    """Of `2 1/2 in` or `63.5 mm`, by hand."""
    *numbers, unit = text.split()
    return float(sum(map(Fraction, numbers)) * (Fraction("25.4") if unit == "in" else 1))

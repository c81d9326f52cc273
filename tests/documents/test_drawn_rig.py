"""The rig drawn on its sheet, read back as XML: places by role and side, port against starboard, readiness, labels, title block.

Where a wire belongs is common practice of the trade (fore-and-aft rigs), written here by hand.
"""

import copy
import itertools
import re
from functools import cache
from xml.etree import ElementTree as ET

import pytest

from pricing.measurement.roles import ROLES
from service.documents.rig_sheet import svg
from service.documents.svg.paper import STANDING
from tests.counts import some_of

from . import made
from .picture import SVG, Picture
from .test_assembly_svg import NASTY, SHAPES, classed
from .test_rig_sheet_svg import EVERY, boat, crowd, look, shroud, table

SIDES = ("port", "starboard", "centre", None)
ABAFT = {  # what is led out to the sides of the boat, and so has a place to port or to starboard alone
    "cap_shroud", "intermediate_shroud", "lower_shroud", "fore_lower", "aft_lower", "running_backstay", "checkstay", "trapeze_wire", "diamond", "vertical", "diagonal",
}  # fmt: skip
RAILS = {"lifeline_upper", "lifeline_lower", "gate_wire"}  # along the boat, on one of its sides
SIDE_VIEW = {
    "forestay", "inner_forestay", "babystay", "backstay", "backstay_leg", "halyard", "pennant", "bobstay", "jumper", "topping_lift",
}  # fmt: skip
NUMBERED = {"vertical", "diagonal"}
KINDS = ("ready_to_cut", "confirm", "hold")


@cache
def model():
    return boat(shroud("MODEL", "port"))


def rig(*wires):
    """A quote of wires that differ from one another in what is given of each: tag, role, side, mast, number, readiness."""
    document = copy.deepcopy(model())
    one = document["assemblies"][0]
    document["assemblies"] = [{**copy.deepcopy(one), "mast": "main", **wire} for wire in wires]
    return document


def wire(tag, role, side=None, **more):
    return {"tag": tag, "role": role, "side": side, "number": 1 if role in NUMBERED else None, **more}


ALL = rig(*(wire(f"{role}/{side}", role, side) for role in ROLES for side in SIDES))
SCHOONER = rig(
    *(
        wire(f"{mast} {role} {side}", role, side, mast=mast, readiness=KINDS[at % 3])
        for mast in ("fore", "main", "mizzen")
        for role in ("cap_shroud", "fore_lower", "forestay", "backstay", "triatic")
        for at, side in enumerate(("port", "starboard", "centre"))
    )
)
LONG = rig(*(wire(f"{side}{at} " + "W" * 10_000, role, side) for at, role in enumerate(ROLES) for side in ("port", "starboard")))


def big(count):
    document = crowd(count // 2)
    again = [{**each, "tag": f"{each['tag']} again"} for each in document["assemblies"]]
    return {**document, "assemblies": document["assemblies"] + again}


RIGS = {**EVERY, "every role on every side": ALL, "three masts": SCHOONER, "long tags": LONG}


def drawn(picture):
    (found,) = classed(picture, "drawn-rig")
    return found


def views(picture):
    return [each for each in drawn(picture) if "view" in (each.get("class") or "").split()]


def points(path):
    """The points of a line made of straight pieces."""
    return [tuple(map(float, each.split())) for each in re.findall(r"[ML]([^ML]+)", path.get("d"))]


def course(picture, role, side=None):
    """The lines of the only wire of a role (and side), each as points."""
    (found,) = [each for each in classed(picture, role) if side is None or side in each.get("class").split()]
    return [points(path) for path in found.iter(f"{SVG}path")]


def texts(group):
    root = ET.Element(f"{SVG}svg")
    root.append(group)
    return Picture(root).texts


def mast_at(view):
    """The middle of the only mast in a view, its head and foot."""
    (mast,) = (each for each in next(each for each in view if each.get("class") == "ground") if each.tag == f"{SVG}rect")
    x, y, wide, high = (float(mast.get(name)) for name in ("x", "y", "width", "height"))
    return x + wide / 2, y, y + high


@pytest.mark.parametrize(("role", "side"), some_of([(role, side) for role in ROLES for side in SIDES], 34))
def test_each_role_on_each_side_has_a_place_or_is_listed(role, side):
    picture = look(rig(wire("THE-ONE", role, side)))
    shown = views(picture)
    sided = side in ("port", "starboard")
    if role in ABAFT | RAILS | SIDE_VIEW and (sided or role in SIDE_VIEW):
        (view,) = shown
        assert view.get("class") == ("view abaft main" if role in ABAFT else "view starboard")
        assert course(picture, role, side or "centre")
        assert [text.said for text in texts(view)].count("THE-ONE") == 1
        assert "Not drawn in the rig" not in picture.words
    else:
        assert shown == []
        listed = [text.said for text in texts(drawn(picture)) if text.said.startswith("Not drawn in the rig")]
        assert len(listed) == 1
        assert "THE-ONE" in listed[0]


def test_a_triatic_stay_is_drawn_between_the_heads_of_two_masts():
    picture = look(rig(wire("T", "triatic"), wire("M", "halyard", mast="mizzen")))
    ends = course(picture, "triatic")[0]
    masts = [each for each in classed(picture, "ground")[0] if each.tag == f"{SVG}rect"]
    heads = {(float(each.get("x")) + float(each.get("width")) / 2, float(each.get("y"))) for each in masts}
    assert sorted(ends) == [pytest.approx(each, abs=1e-3) for each in sorted(heads)]


@pytest.mark.parametrize("role", sorted(ABAFT))
def test_port_is_left_and_starboard_right_of_the_mast_as_the_view_says(role):
    picture = look(rig(wire("P", role, "port"), wire("S", role, "starboard")))
    (view,) = views(picture)
    middle, _, _ = mast_at(view)
    port, starboard = (course(picture, role, side)[0] for side in ("port", "starboard"))
    assert max(x for x, _ in port) <= middle + 1e-3 < max(x for x, _ in starboard)
    assert min(x for x, _ in port) < middle - 1e-3 <= min(x for x, _ in starboard)
    assert [(2 * middle - x, y) for x, y in port] == [pytest.approx(each, abs=1e-3) for each in starboard]
    left = {text.said: text.right for text in texts(view)}
    assert left["PORT"] < middle < left["STARBOARD"]
    assert left["P"] < middle < left["S"]


def test_from_starboard_the_bow_is_right_and_port_stands_higher():
    rails = [wire(f"{role}-{side}", role, side) for role in RAILS for side in ("port", "starboard")]
    picture = look(rig(wire("F", "forestay"), wire("B", "backstay"), *rails))
    (view,) = views(picture)
    middle, head, _ = mast_at(view)
    assert course(picture, "forestay")[0][0] == course(picture, "backstay")[0][0] == pytest.approx((middle, head), abs=1e-3)
    assert course(picture, "backstay")[0][1][0] < middle < course(picture, "forestay")[0][1][0]
    for role in RAILS:
        port, starboard = (course(picture, role, side)[0] for side in ("port", "starboard"))
        assert all(a[1] < b[1] and a[0] == b[0] for a, b in zip(port, starboard, strict=True))
    for side in ("port", "starboard"):  # the gate stands in a gap of the upper lifeline, the lower one below that
        gate, upper, lower = (course(picture, role, side) for role in ("gate_wire", "lifeline_upper", "lifeline_lower"))
        assert gate[0] == [upper[0][-1], upper[1][0]]
        assert lower[0][0][1] > upper[0][0][1]


def test_pieces_of_a_divided_backstay_join_and_legs_begin_where_it_ends():
    pieces = [wire(f"B{number}", "backstay", number=number) for number in (1, 2)]
    picture = look(rig(*pieces, wire("L-P", "backstay_leg", "port"), wire("L-S", "backstay_leg", "starboard")))
    upper, lower = (points(next(each.iter(f"{SVG}path"))) for each in classed(picture, "backstay"))
    assert upper[1] == lower[0]
    for side in ("port", "starboard"):
        assert course(picture, "backstay_leg", side)[0][0] == lower[1]


@pytest.mark.parametrize(("roles", "spreaders"), [(["cap_shroud"], 1), (["cap_shroud", "intermediate_shroud"], 2)])
def test_cap_shrouds_pass_every_spreader_and_end_at_the_masthead(roles, spreaders):
    picture = look(rig(*(wire(role, role, "port") for role in roles)))
    (view,) = views(picture)
    middle, head, deck = mast_at(view)
    (shroud_,) = course(picture, "cap_shroud")
    level = [points(path) for path in next(each for each in view if each.get("class") == "ground") if path.tag == f"{SVG}path"]
    tips = [line[0] for line in level if len(line) == 2]
    assert len(tips) == spreaders
    assert shroud_[1:-1] == sorted(tips, key=lambda each: each[1])
    assert (shroud_[0], shroud_[-1][1]) == (pytest.approx((middle, head), abs=1e-3), pytest.approx(deck, abs=1e-3))


def test_readiness_has_a_line_and_a_sign_of_its_own_that_the_key_shows():
    picture = look(rig(*(wire(kind, "halyard", side, readiness=kind) for kind, side in zip(KINDS, SIDES, strict=False))))

    def kind_of(path):
        return tuple(path.get(name) for name in ("stroke-width", "stroke-dasharray", "stroke"))

    lines = {kind: kind_of(next(classed(picture, f"line-{kind}")[0].iter(f"{SVG}path"))) for kind in KINDS}
    assert len(set(lines.values())) == 3
    assert len({line[:2] for line in lines.values()}) == 3  # not by colour
    assert {line[2] for line in lines.values()} == {"#000"}
    wide, narrow = float(lines["ready_to_cut"][0]), float(lines["hold"][0])
    assert wide >= 2 * narrow  # ISO 128-2: wide to narrow is 2 to 1 (from memory)
    assert lines["ready_to_cut"][1] is None
    dash, dot = (float(lines[kind][1].split()[0]) / float(lines[kind][0]) for kind in ("confirm", "hold"))
    assert dash >= 5
    assert dot <= 1.5  # a dot is about as long as the line is wide
    key = [path for path in picture.root if path.tag == f"{SVG}path"][:3]
    assert [kind_of(path) for path in key] == [lines[kind] for kind in KINDS]
    signs = {kind: [[part.tag for part in sign] for sign in classed(picture, kind) if "sign" in sign.get("class")] for kind in KINDS}
    assert all(len(found) == 4 and all(each == found[0] for each in found) for found in signs.values())  # key, wire, label, table
    assert len({tuple(found[0]) for found in signs.values()}) == 3


def test_two_of_one_role_and_side_share_a_place_with_both_tags_and_a_line_for_each_readiness():
    picture = look(rig(wire("ONE", "halyard"), wire("TWO", "halyard", "centre"), wire("THREE", "halyard", readiness="hold")))
    (view,) = views(picture)
    assert [text.said for text in texts(view)][1:] == ["Halyard", "ONE", "TWO", "THREE"]
    assert len(classed(picture, "leader")) == 1
    found = sorted(each.get("class").split()[-1] for each in classed(picture, "wire"))
    assert found == sorted({f"line-{each['readiness']}" for each in rig(wire("ONE", "halyard"))["assemblies"]} | {"line-hold"})


def test_more_than_three_of_one_place_are_counted_and_stand_in_the_table():
    picture = look(rig(*(wire(f"H-{at}", "halyard") for at in range(7))))
    (view,) = views(picture)
    assert [text.said for text in texts(view)][1:] == ["Halyard", "H-0", "H-1", "and 5 more"]
    assert all([text.said for text in picture.texts].count(f"H-{at}") >= 1 for at in range(7))


def boxes(view):
    """(left, right, top, bottom) of each line of lettering, as wide as the room it is clipped to, and of each sign, with its kind."""
    for holder in view.iter(f"{SVG}svg"):
        text = holder.find(f"{SVG}text")
        x, y, wide, size = float(holder.get("x")), float(holder.get("y")), float(holder.get("width")), float(text.get("font-size"))
        baseline = y + float(text.get("y"))
        yield "text", (x, x + wide, baseline - 0.75 * size, baseline + 0.22 * size)  # heights of capitals and descenders
    for group in view.iter(f"{SVG}g"):
        if moved := re.fullmatch(r"translate\((\S+) (\S+)\) scale\((\S+)\)", group.get("transform") or ""):
            x, y, scale = map(float, moved.groups())
            yield "sign", (x - 6.5 * scale, x + 6.5 * scale, y - 6.5 * scale, y + 6.5 * scale)


def meet(one, two):
    return one[0] < two[1] - 0.01 and two[0] < one[1] - 0.01 and one[2] < two[3] - 0.01 and two[2] < one[3] - 0.01


@pytest.mark.parametrize(("name", "language"), some_of([(name, language) for name in RIGS for language in ("en", "de")], 6))
def test_no_two_labels_overlap_and_no_wire_runs_through_one(name, language):
    picture = Picture(ET.fromstring(made.of(svg.drawing)(RIGS[name], language)))  # noqa: S314  # our own bytes
    for view in views(picture):
        found = list(boxes(view))
        lettering = [box for kind, box in found if kind == "text"]
        assert not [pair for pair in itertools.combinations(lettering, 2) if meet(*pair)]
        assert not [
            (sign, text) for kind, sign in found if kind == "sign" for text in lettering if _in_column(sign, text) and meet(sign, text)
        ]
        lines = [points(path) for path in view.iter(f"{SVG}path") if set(path.get("d")) <= set("ML-. 0123456789")]
        spots = [spot for line in lines for spot in line if max(map(abs, spot)) > 8]  # those of signs are small
        assert not [(spot, text) for spot in spots for text in lettering if meet((spot[0], spot[0], spot[1], spot[1]), text)]
        assert all(
            0 <= left <= right <= STANDING.width and top // STANDING.page == bottom // STANDING.page
            for left, right, top, bottom in lettering
        )


def _in_column(sign, text):
    """Whether a sign is not the one that stands in its own label's room, at the column's edge."""
    return not (abs(sign[0] - text[0]) < 0.01 or abs(sign[1] - text[1]) < 0.01)


@pytest.mark.parametrize("text", some_of(NASTY, 5))
def test_any_tag_gives_plain_svg_without_what_other_renderers_do_not_know(text):
    picture = look(rig(*(wire(text, role, "port") for role in ROLES)))
    assert {element.tag.removeprefix(SVG) for element in picture.root.iter()} <= SHAPES
    names = {name for element in picture.root.iter() for name in element.attrib}
    assert not names & {"dominant-baseline", "textLength", "style", "alignment-baseline", "lengthAdjust"}
    assert [style.text for style in picture.root.iter(f"{SVG}style")] == [STANDING.style]


def test_a_long_tag_is_cut_on_the_drawing_and_whole_where_the_cut_one_tells_it():
    picture = look(LONG)
    view = views(picture)[0]
    cut = [text for text in texts(view) if text.said.startswith("port0 ")]
    assert [text.said.endswith("…") for text in cut] == [True]
    titles = [title.text for title in picture.root.iter(f"{SVG}title")]
    assert sum(title == "port0 " + "W" * 10_000 for title in titles) >= 2  # in the drawing and in the table


def test_three_hundred_assemblies_come_out_each_in_the_table_and_below_a_mebibyte():
    document = big(300)
    made_of = made.of(svg.drawing)(document)
    assert len(made_of) < 2**20
    picture = Picture(ET.fromstring(made_of))  # noqa: S314  # our own bytes
    said = [text.said for text in table(picture).texts]
    assert len(document["assemblies"]) == 300
    assert [each["tag"] for each in document["assemblies"] if each["tag"] not in said] == []


def test_what_has_no_room_beside_the_view_is_listed():
    masts = ("fore", "main", "mizzen")
    document = rig(
        *(wire(f"{mast}-{role}-{side}", role, side, mast=mast) for mast in masts for role in sorted(SIDE_VIEW) for side in SIDES[:3])
    )
    picture = look(document)
    tags = [each["tag"] for each in document["assemblies"]]
    labelled = {text.said for view in views(picture) for text in texts(view)}
    listed = " ".join(text.said for text in texts(drawn(picture))).split("Not drawn in the rig, for want of room beside it:")[1]
    assert tags[0] not in listed
    assert tags[-1] in listed
    assert [
        tag for tag in tags if not (tag in listed) ^ any(each.rstrip("…") and tag.startswith(each.rstrip("…")) for each in labelled)
    ] == []


@pytest.mark.parametrize(
    ("language", "units", "fields"),
    [
        ("en", "metric", ["Rig of Gull", "preview", "2026-11-25", "mm", "schematic, not to scale", "Rig sheet"]),
        ("en", "imperial", ["Rig of Gull", "preview", "2026-11-25", "ft, in (mm)", "schematic, not to scale", "Rig sheet"]),
        ("de", "imperial", ["Rigg: Gull", "Vorschau", "25. November 2026", "Fuß, Zoll (mm)", "schematisch, unmaßstäblich", "Riggblatt"]),
    ],
)
def test_the_title_block_has_the_fields_of_iso_7200(language, units, fields):
    document = {**rig(wire("A", "halyard")), "display_units": units}
    picture = Picture(ET.fromstring(made.of(svg.drawing)(document, language)))  # noqa: S314  # our own bytes
    (block,) = classed(picture, "title-block")
    said = [text.said for text in texts(block)]
    assert set(fields) | {document["seller"]["name"]} <= set(said)
    assert not [text for text in said if text.endswith("…")]


def test_the_title_block_of_a_stored_quote_has_its_number_and_revision_at_the_foot_of_its_page():
    document = {**rig(wire("A", "halyard")), "id": "x", "number": "Q-2026-000017", "revision": 3, "status": "issued", "checksum": "x"}
    picture = look(document)
    (block,) = classed(picture, "title-block")
    assert {"Q-2026-000017", "3"} <= {text.said for text in texts(block)}
    frame = next(each for each in block if each.tag == f"{SVG}rect")
    bottom = float(frame.get("y")) + float(frame.get("height"))
    assert STANDING.page - 30 < bottom < STANDING.page - 18  # above the page's own foot, 18 px


def test_it_says_that_it_is_schematic():
    picture = look(rig(wire("A", "halyard")))
    assert "Schematic, not to scale: each wire stands where its role and side place it, not where it was measured." in picture.words
    assert "Schematic, not to scale" in picture.root.find(f"{SVG}desc").text

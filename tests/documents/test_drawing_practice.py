"""The drawing of an assembly as drawing practice has it. ISO 128-2, ISO 129-1 and ISO 7200 are quoted from memory: wide lines twice as broad as
narrow ones; a gap and an overshoot of eight line widths; arrowheads of 30 degrees; figures read from the bottom or the right.
"""

import copy
import math
import re
from xml.etree import ElementTree as ET

import pytest

from service.documents.svg.paper import STANDING
from tests.counts import some_of

from . import rigs
from .clearances import crossing
from .made import drawing
from .picture import SVG, Picture
from .test_assembly_svg import EVERY, NAMES, classed, look, seen

NARROW = 0.6  # px
HOLED = {"fork", "eye", "toggle"}
FAMILIES = {
    **{f"{family}, {how}": {"terminal": family, "attachment": how} for family in ("fork", "eye", "toggle") for how in ("swage", "compression")},
    **{f"{family}, swage": rigs.swaged(family) for family in ("tee", "ball")},
    "stud, swage": rigs.swaged("stud", thread="M10", hand="right"),
    "stud, compression": {"terminal": "stud", "attachment": "compression", "thread": "M10", "hand": "right"},
    "thimble eye": rigs.EYE,
}  # fmt: skip
UNITS = [("en", "metric"), ("de", "imperial")]
HERE = {"en": ("measure from here", "to here"), "de": ("von hier messen", "bis hier")}


def of_family(name, both=True):
    laid = "7x19" if name == "thimble eye" else "1x19"
    other = FAMILIES[name] if both else rigs.swaged("eye")
    return rigs.one(wire=rigs.wire(construction=laid), upper=FAMILIES[name], lower=other, measurement=rigs.read("9 m"))


def drawn(document, assembly, language="en"):
    return Picture(ET.fromstring(drawing(document, assembly, language)))  # noqa: S314  # our own bytes


def signs(picture):
    """The heights of the outermost bearings' signs, from top down, without the legend's."""
    places = [re.match(r"M(\S+) ([^l]+)l", each.get("d")) for each in classed(picture, "outermost")]
    return sorted(float(place[2]) for place in places if float(place[1]) > 200)


def outlines(member, centre, zero, way):
    """The paths of a member, as seen from its bearing with the wire below."""
    found = []
    for path in member.iter(f"{SVG}path"):
        pairs = re.findall(r"(-?[\d.]+) (-?[\d.]+)(?=[ ALMZ]|$)", re.sub(r"A\S+ \S+ 0 [01] [01] ", "L", path.get("d")))
        found.append(sorted((round(abs(float(x) - centre), 1), round((float(y) - zero) * way, 1)) for x, y in pairs))
    return sorted(found)


@pytest.mark.parametrize("name", [name for name in FAMILIES if name.split(",")[0] in HOLED])
def test_a_hole_is_seen_and_the_bearing_is_its_wall_farthest_from_the_wire(name):
    picture = drawn(*of_family(name))
    upper, lower = signs(picture)
    circles = sorted((float(each.get("cy")), float(each.get("r"))) for each in classed(picture, "hole"))
    assert next(cy - r for cy, r in circles) == pytest.approx(upper, abs=1e-3)  # its top: the wire hangs below
    assert [cy + r for cy, r in circles][-1] == pytest.approx(lower, abs=1e-3)
    assert len(circles) == 2
    assert all(r > 4 for _, r in circles)  # px: 2.7 mm across in print
    arcs = [each for each in classed(picture, "bearing") if "A" in each.get("d")]
    assert len(arcs) == 2
    turned = [re.search(r"A\S+ \S+ 0 0 ([01]) ", arc.get("d"))[1] for arc in arcs]
    assert turned == ["0", "1"]  # SVG 1.1, 8.3.8: from the right over the top is against the clock, and under the bottom with it
    for arc, (cy, r), way in zip(arcs, circles, (-1, 1), strict=True):
        ends = [float(y) for y in re.findall(r"(?:M|\d )\S+ (\d[\d.]*)(?=A|$)", arc.get("d"))]
        assert ends == pytest.approx([cy + way * r / 2] * 2, abs=1e-2)  # 60 degrees to each side: cos 60 = 1/2
    crosses = [line for line in classed(picture, "centre") if line.tag == f"{SVG}line"]
    assert len(crosses) == 4


def test_both_signs_stand_where_the_lengths_of_the_model_say():
    """The short one is to one scale: 300 mm between the signs, and the fork's hole centre half a pin inward of the upper one."""
    picture, _, assembly = seen("short, metric")
    (scale,) = {float(rect.get("width")) / 10 for rect in picture.root.iter(f"{SVG}rect") if rect.get("stroke-width") == "0.6"}
    upper, lower = signs(picture)
    assert lower - upper == pytest.approx(300.0 * scale, abs=0.01)
    assert assembly["target_length"]["mm"] == "300.000"


@pytest.mark.parametrize("kind", ["links, metric", "shackle in shackle, metric"])
def test_each_link_bears_where_its_place_says(kind):
    """A toggle's hole begins at its own start, so many mm inward of the outermost bearing; a shackle has its pin's face there."""
    picture, _, assembly = seen(kind)
    (scale,) = {float(rect.get("width")) / 10 for rect in picture.root.iter(f"{SVG}rect") if rect.get("stroke-width") == "0.6"}
    top = signs(picture)[0]
    for member in assembly["ends"]["upper"]["members"]:
        if member["kind"] == "toggle" or member["part"] == "terminal":
            at = top + float(member["start"]["mm"]) * scale
            walls = [float(each.get("cy")) - float(each.get("r")) for each in classed(picture, "hole")]
            assert any(wall == pytest.approx(at, abs=0.01) for wall in walls), member


@pytest.mark.parametrize("name", FAMILIES)
def test_a_terminal_hangs_the_right_way_up_at_both_ends(name):
    """The upper end is the lower one seen in a level mirror."""
    picture = drawn(*of_family(name))
    upper, lower = signs(picture)
    members = [each for each in classed(picture, "member") if each.get("class") == f"member {name.split(',')[0].replace(' ', '-')}"]
    above, below = (outlines(member, 342.0, zero, way) for member, zero, way in zip(members, (upper, lower), (1, -1), strict=True))
    for axis in (0, 1):
        one, other = (sorted(point[axis] for path in paths for point in path) for paths in (above, below))
        assert one == pytest.approx(other, abs=0.11)  # two roundings to 0.1
    assert max(along for path in above for _, along in path) > 20  # px: the wire's side lies below the upper bearing


def test_families_that_differ_look_different():
    found = {}
    for name in FAMILIES:
        picture = drawn(*of_family(name, both=False))
        member = classed(picture, "member")[0]
        assert member.get("class") == f"member {name.split(',')[0].replace(' ', '-')}"
        found[name] = (outlines(member, 342.0, signs(picture)[0], 1), sum(1 for _ in member.iter(f"{SVG}circle")))
        nuts, smooth = (sum(each.get("class") == kind for each in member) for kind in ("nut", "smooth"))
        expected = (1, 0) if "compression" in name else (0, 1) if "swage" in name else (0, 0)
        assert (nuts, smooth) == expected, name
    for name, shape in found.items():
        assert [other for other, seen_so in found.items() if seen_so == shape] == [name]


@pytest.mark.parametrize("name", some_of(NAMES, 30))
def test_lines_are_narrow_or_twice_as_broad(name):
    picture, _, _ = seen(name)
    for group in [*classed(picture, "assembly"), *classed(picture, "cut-wire")]:
        for each in group.iter():
            if each.get("stroke") == "#000" and each.get("class") != "bearing" and each.get("stroke-linecap") != "round":
                bands = each.tag == f"{SVG}path" and float(each.get("stroke-width")) > 2  # a bent bar: two outlines with white between
                assert bands or float(each.get("stroke-width")) in (NARROW, 2 * NARROW), each.attrib
    assert {each.get("stroke-width") for kind in ("extension", "dimension", "break", "centre") for each in classed(picture, kind)} == {
        "0.6"
    } or ("hold" in name or not classed(picture, "extension"))


@pytest.mark.parametrize("name", some_of(NAMES, 30))
def test_extension_lines_leave_a_gap_and_go_beyond_and_arrows_have_thirty_degrees(name):
    picture, _, _ = seen(name)
    lines = {float(line.get("x1")) for line in classed(picture, "dimension")}
    for line in classed(picture, "extension"):
        start, end = float(line.get("x1")), float(line.get("x2"))
        beyond = 8 * NARROW if end > start else -8 * NARROW
        assert any(end - beyond == pytest.approx(x) for x in lines)
        if end > start:
            assert start - 342 > 8 * NARROW
    for arrow in classed(picture, "arrow"):
        (x, y), (left, back), (right, _) = [
            tuple(map(float, pair)) for pair in re.findall(r"(\S+) ([\d.]+)", re.sub("[MLZ]", " ", arrow.get("d")))
        ]
        assert 2 * math.degrees(math.atan2((right - left) / 2, abs(back - y))) == pytest.approx(30, abs=0.01)
        assert x == pytest.approx((left + right) / 2)


@pytest.mark.parametrize("name", some_of(NAMES, 30))
def test_figures_stand_above_their_line_and_no_text_is_upside_down(name):
    picture, _, _ = seen(name)
    turns = {re.match(r"rotate\((\S+) ", each.get("transform"))[1] for each in picture.root.iter() if each.get("transform")}
    assert turns <= {"-90"}
    for text in picture.texts:
        if re.match(r"(measured|finished) \d", text.said):
            upright = [float(line.get("x1")) for line in classed(picture, "dimension") if 0 < float(line.get("x1")) - text.right < 6]
            assert upright, text  # read from the right, above is left


@pytest.mark.parametrize(("language", "units"), UNITS)
@pytest.mark.parametrize("kind", ["open turnbuckle", "links", "stops", "bare stud", "thin", "bare below", "short"])
def test_both_lines_state_where_to_measure_from_and_to(kind, language, units):
    document, assembly = rigs.one(units, **({"wire": rigs.wire()} | rigs.KINDS[kind]))
    picture = drawn(document, assembly, language)
    ends = sorted({float(line.get("y1")) for line in classed(picture, "extension") if float(line.get("x2")) < 300})
    first, last = HERE[language]
    (above,) = (text for text in picture.texts if text.said == first)
    (below,) = (text for text in picture.texts if text.said == last)
    assert 0 < ends[0] - above.bottom < 6
    assert 0 < below.top - ends[-1] < 6


@pytest.mark.parametrize("kind", ["ball_centre", "outer_tip"])
def test_the_words_do_not_stand_at_the_line_of_a_reading_taken_further_out(kind):
    end, datums = rigs.swaged("ball"), {"upper_datum": kind, "lower_datum": kind}
    document, assembly = rigs.one(wire=rigs.wire(), upper=end, lower=end, measurement=rigs.read("5 m", **datums))
    picture = drawn(document, assembly)
    assert crossing(picture, STANDING.width) == []
    top, bottom = signs(picture)
    first, last = (text for text in picture.texts if text.said in ("measure", "measure from here", "to here"))
    assert 0 < first.top - top < 6  # inside of its own line
    assert 0 < bottom - last.bottom < 6


@pytest.mark.parametrize("name", some_of([name for name, _, assembly in EVERY if assembly["cut_length"]], 60))
def test_what_is_kept_and_what_is_new_have_signs_of_different_shape(name):
    picture, _, assembly = seen(name)
    named = [member for end in assembly["ends"].values() for member in end["members"] if member["name"] or member["kind"] == "thimble_eye"]
    kept = sum(member["kept"] for member in named)
    legend = 1
    assert sum(each.tag == f"{SVG}rect" for each in classed(picture, "old")) == kept + legend
    assert (
        sum(each.tag == f"{SVG}circle" for each in classed(picture, "new")) == len(named) - kept + 1 + len(assembly["stops"]) + legend
    )  # 1: wire
    assert len(classed(picture, "old")) == kept + legend


@pytest.mark.parametrize(("language", "units"), UNITS)
def test_the_title_block_says_whose_what_which_when_and_how_much(language, units):
    document, assembly = rigs.one(units, **{"wire": rigs.wire()} | rigs.KINDS["open turnbuckle"])
    document |= {"number": "Q-2026-000007", "revision": 3, "status": "superseded"}
    picture = drawn(document, assembly, language)
    (block,) = classed(picture, "title-block")
    said = [text.text for text in block.iter(f"{SVG}text")]
    for expected in {
        "en": ["Legal owner", document["seller"]["name"], "Title", "Pennant", "Q-2026-000007 / A-1", "Revision", "3", "2026-11-25", "1/2", "mm",
               "Assembly drawing, superseded by a later revision", "Gull", "en"],
        "de": ["Eigentümer der Zeichnung", document["seller"]["name"], "Titel", "Drahtvorläufer", "Q-2026-000007 / A-1", "Fassung", "3", "25. November 2026", "1/2", "Fuß, Zoll (mm)",
               "Zusammenbauzeichnung, durch eine spätere Fassung ersetzt", "Gull", "de"],
    }[language]:  # fmt: skip
        assert expected in " ".join(said), expected
    scale = " ".join(said)
    assert ("not to scale (NTS): wire broken" if language == "en" else "nicht maßstäblich: Draht verkürzt") in scale


@pytest.mark.parametrize("name", some_of(NAMES, 30))
def test_the_title_block_stands_at_the_right_foot_of_the_first_sheet(name):
    picture, _, assembly = seen(name)
    (frame,) = [each for (block,) in [classed(picture, "title-block")] for each in block if each.tag == f"{SVG}rect"]
    x, y, wide, tall = (float(frame.get(side)) for side in ("x", "y", "width", "height"))
    assert x + wide == STANDING.right
    assert wide * STANDING.width_mm / STANDING.width == pytest.approx(180, abs=1)  # mm, ISO 7200
    assert y + tall == pytest.approx(STANDING.page - 18, abs=0.01)
    (sheets,) = (text.said for text in picture.texts if re.fullmatch(r"1/\d+", text.said))
    assert int(sheets[2:]) == math.ceil(picture.height / STANDING.page - 0.001)
    whole = {"broken": "fittings lengthwise", "whole": "breadths not"}[
        "whole" if "the wire is to scale too." in picture.words else "broken"
    ]
    assert whole in picture.words or assembly["ends"] is None


def test_in_another_document_the_block_follows_the_drawing():
    document, assembly = rigs.one(**{"wire": rigs.wire()} | rigs.KINDS["thin"])
    picture = Picture(ET.fromstring(drawing(document, assembly, remarked=False)))  # noqa: S314  # our own bytes
    assert picture.height < STANDING.page - 40
    assert crossing(picture, STANDING.width) == []
    assert len(classed(picture, "title-block")) == 1


@pytest.mark.parametrize("text", ["Seven very long names " * 10, "W" * 200, "Rindfleischetikettierung" * 9])
def test_a_name_of_two_hundred_letters_is_whole_in_the_block(text):
    document, assembly = copy.deepcopy(seen("open turnbuckle, metric")[1:])
    document["assemblies"] = [assembly]
    document["boat"]["name"] = document["seller"]["name"] = assembly["tag"] = text[:200].strip()
    picture = look(document, assembly)
    assert crossing(picture, STANDING.width) == []
    (block,) = classed(picture, "title-block")
    letters = "".join(part for each in block.iter(f"{SVG}text") for part in each.itertext()).replace(" ", "")
    assert letters.count(text[:200].replace(" ", "")) == 3

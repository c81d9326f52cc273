"""The sheet of a boat's rig read back as XML: lengths, differences, readiness, many assemblies, bad text."""

import copy
import gzip
import json
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from service.demo import demo_names, demo_request
from service.documents.rig_sheet import svg
from service.documents.svg.paper import STANDING
from tests.counts import some_of

from . import made, rigs
from .clearances import crossing
from .picture import SVG, Picture
from .test_assembly_svg import NASTY, SHAPES, classed

drawing = made.of(svg.drawing)
BOATS = {name: rigs.quoted(json.loads(demo_request(name))) for name in demo_names()}
FIRST_RELEASE = Path(__file__).parents[1] / "service" / "first_release" / "rows.ndjson"


def look(document):
    return Picture(ET.fromstring(drawing(document)))  # noqa: S314  # our own bytes


def table(picture):
    """The sheet without its drawn rig: its head with the key, and the table."""
    rest = copy.deepcopy(picture.root)
    (drawn,) = (group for group in rest.iter(f"{SVG}g") if group.get("class") == "drawn-rig")
    next(parent for parent in rest.iter() if drawn in list(parent)).remove(drawn)
    return Picture(rest)


def boat(*assemblies, **more):
    return rigs.quoted({"boat": {"name": "Gull"}, "assemblies": list(assemblies), **more})


def shroud(tag, side, length="9000 mm", **more):
    ends = {"upper": rigs.swaged("fork"), "lower": rigs.swaged("eye")}
    return {"tag": tag, "role": "cap_shroud", "side": side, "wire": rigs.wire(), "measurement": rigs.read(length), **ends, **more}


def crowd(count, held=False):
    kinds = [kind for name, kind in rigs.KINDS.items() if name != "on hold"]
    made = [rigs.HELD if held else kinds[at % len(kinds)] for at in range(count)]
    roles = ["cap_shroud", "lower_shroud", "lifeline_upper", "pennant"]
    sides = ["port", "starboard", "centre"]
    each = [
        {"tag": f"T-{at}", "role": roles[at // 3 % 4], "side": sides[at % 3], "wire": rigs.wire()}
        | {key: value for key, value in kind.items() if key != "role"}
        for at, kind in enumerate(made)
    ]
    return boat(*each, display_units="imperial")


CROWD, HELD = crowd(120), crowd(7, held=True)
EVERY = {**BOATS, "crowd": CROWD, "all on hold": HELD}


@pytest.mark.parametrize("name", EVERY)
def test_lettering_keeps_clear_and_no_row_is_cut_by_a_page(name):
    picture = look(EVERY[name])
    assert crossing(picture, STANDING.width) == []
    page = STANDING.page
    boxes = [(text.top, text.bottom) for text in picture.texts]
    boxes += [(float(bar.get("y")), float(bar.get("y")) + float(bar.get("height"))) for bar in classed(picture, "bar")]
    assert all(top // page == bottom // page for top, bottom in boxes)


@pytest.mark.parametrize("name", EVERY)
def test_every_assembly_has_its_lengths_its_sign_and_the_word(name):
    picture, document = table(look(EVERY[name])), EVERY[name]
    said = [text.said for text in picture.texts]
    words = {"ready_to_cut": "READY TO CUT", "confirm": "CONFIRM FIRST", "hold": "ON HOLD"}
    for readiness, word in words.items():
        count = sum(each["readiness"] == readiness for each in document["assemblies"])
        assert len(classed(picture, readiness)) == count + 1  # and one in the legend
        assert said.count(word) == count
        assert f"{count} {word}" in said
    for each in document["assemblies"]:
        assert each["tag"] in said
        for field in ("target_length", "cut_length", "measured_length"):
            assert each[field] is None or each[field]["text"] in said


def test_readiness_is_told_by_shape():
    picture = table(
        look(
            boat(
                shroud("A", "port"),
                {**shroud("B", "centre"), **{key: rigs.HELD[key] for key in ("upper", "lower", "turnbuckle", "measurement")}},
            )
        )
    )
    shapes = {
        readiness: {tuple(sorted(part.tag.removeprefix(SVG) for part in sign)) for sign in classed(picture, readiness)}
        for readiness in ("ready_to_cut", "confirm", "hold")
    }
    assert shapes == {"ready_to_cut": {("circle", "path")}, "confirm": {("line", "line", "path")}, "hold": {("rect", "rect")}}


def test_bars_share_one_scale():
    for document in BOATS.values():
        picture = look(document)
        bars = sorted(float(bar.get("width")) for bar in classed(picture, "bar"))
        shown = [each["target_length"] or each["cut_length"] or each["measured_length"] for each in document["assemblies"]]
        longest = max(float(each["mm"]) for each in shown)
        assert bars == pytest.approx(
            sorted(532 * float(each["mm"]) / longest for each in shown), abs=1e-3
        )  # 560 less margins of 8 and the indent of 12


@pytest.mark.parametrize(
    ("port", "starboard", "units", "said"),
    [
        ("9000 mm", "9004 mm", "metric", "finished, starboard longer by 4.0 mm; cut, starboard longer by 4.0 mm"),
        ("9003.2 mm", "9000 mm", "metric", "finished, port longer by 3.2 mm"),
        ("9000 mm", "9000 mm", "metric", "finished equal; cut equal; measured equal."),
        ("29 ft 10 1/4 in", "29 ft 10 3/8 in", "imperial", "finished, starboard longer by 1/8 in (3.2 mm)"),  # 1/8 in is 3.175 mm
    ],
)
def test_port_against_starboard_is_said_in_figures(port, starboard, units, said):
    picture = look(boat(shroud("S", "starboard", starboard), shroud("P", "port", port), display_units=units))
    assert f"Port against starboard: {said}" in picture.words
    assert len(classed(picture, "pair")) == 1
    tags = [text for text in table(picture).texts if text.said in ("P", "S")]
    assert [text.said for text in sorted(tags, key=lambda text: text.top)] == ["P", "S"]


def test_what_cannot_be_compared_is_said():
    alone = look(boat(shroud("P", "port")))
    assert "The starboard one is not in this quote." in alone.words
    three = look(boat(shroud("P", "port"), shroud("Q", "port"), shroud("S", "starboard")))
    assert "2 to port and 1 to starboard: not compared, since it is not known which belong together." in three.words
    held = look(
        boat(
            shroud("P", "port"),
            shroud("S", "starboard", **{key: rigs.HELD[key] for key in ("upper", "lower", "turnbuckle", "measurement")}),
        )
    )
    assert "Port against starboard: measured, starboard longer by 214.0 mm." in held.words
    assert not classed(alone, "pair")
    assert not classed(three, "pair")


def test_masts_are_kept_apart():
    picture = look(boat(shroud("P", "port"), shroud("S", "starboard", mast="mizzen")))
    assert "Cap shroud, mizzen mast" in picture.words
    assert "The starboard one is not in this quote." in picture.words
    assert "The port one is not in this quote." in picture.words


def test_all_on_hold_says_that_nothing_can_be_cut_and_why():
    picture = look(HELD)
    assert "All are on hold: nothing can be cut from these numbers." in picture.words
    assert picture.words.count("The thread showing at the upper screw and the lower screw was not measured.") == 7
    assert all(bar.get("stroke-dasharray") for bar in classed(picture, "bar"))
    assert "All are on hold" not in look(CROWD).words


def test_nothing_measured_has_no_bar_and_says_so():
    document = copy.deepcopy(HELD)
    for each in document["assemblies"]:
        each["measured_length"] = each["wire"] = None
    picture = look(document)
    assert picture.words.count("no length is known") == 7
    assert "wire not known" in picture.words
    assert not classed(picture, "bar")


@pytest.mark.parametrize("text", some_of(NASTY, 5))
def test_any_text_gives_plain_shapes_without_script_or_reference_to_the_outside(text):
    document = copy.deepcopy(BOATS["fleet-sloop-wagtail"])
    document["boat"]["name"] = text
    for each in document["assemblies"]:
        each["tag"] = text
        each["wire"]["construction"] = each["wire"]["size"] = text
    picture = look(document)
    assert {element.tag.removeprefix(SVG) for element in picture.root.iter()} <= SHAPES
    for element in picture.root.iter():
        assert not [name for name in element.attrib if name.startswith("on") or "href" in name]
        assert not [value for value in element.attrib.values() if "url(" in value]
    assert crossing(picture, STANDING.width) == []


def test_two_assemblies_of_one_tag_are_joined_by_their_own_bars():
    document = copy.deepcopy(boat(shroud("P", "port"), shroud("S", "starboard")))
    for each in document["assemblies"]:
        each["tag"] = "SAME"
    (joined,) = classed(look(document), "pair")
    upper, lower = (float(bar.get("y")) + 3 for bar in classed(look(document), "bar"))
    assert float(joined.get("d").split("H")[0].split()[1]) == pytest.approx(upper, abs=1e-3)
    assert float(joined.get("d").split("V")[1].split("H")[0]) == pytest.approx(lower, abs=1e-3)


def test_text_alternative_tells_every_row():
    picture = look(BOATS["fleet-sloop-wagtail"])
    described = picture.root.find(f"{SVG}desc").text
    for each in BOATS["fleet-sloop-wagtail"]["assemblies"]:
        assert each["tag"] in described
        assert each["cut_length"]["text"] in described
    assert "12 assemblies: 12 ready to cut, 0 confirm first, 0 on hold." in described


def test_quotes_of_the_first_release_are_drawn():
    rows = [json.loads(line) for line in FIRST_RELEASE.read_text(encoding="utf-8").splitlines()]
    documents = [json.loads(gzip.decompress(bytes.fromhex(row["document"]))) for row in rows if "document" in row]
    assert documents
    for document in documents:
        picture = look(document)
        assert crossing(picture, STANDING.width) == []
        assert document["boat"]["name"] is None or document["boat"]["name"] in picture.words
        for each in document["assemblies"]:
            assert made.drawing(document, each)

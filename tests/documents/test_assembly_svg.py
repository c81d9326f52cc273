"""The drawing of one assembly read back as XML: figures, geometry, lettering, bad text."""

import copy
import os
import subprocess
import sys
from functools import cache
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from pricing.measurement.assembly import LINKS
from service.documents.rig.ends import end_of
from service.documents.rig.words import for_the_shop
from service.documents.speech import Speech, speech_in
from service.documents.svg.paper import STANDING
from tests.counts import THOROUGH, some_of

from . import rigs
from .clearances import crossing
from .made import assembly_of, drawing
from .picture import SVG, Picture
from .test_cutting_plan_svg import NASTY

EVERY = rigs.every()
NAMES = [name for name, _, _ in EVERY]
SHAPES = {"svg", "title", "desc", "style", "defs", "pattern", "rect", "circle", "line", "path", "g", "text"}


@cache
def seen(name):
    _, document, assembly = EVERY[NAMES.index(name)]
    return look(document, assembly), document, assembly


def look(document, assembly):
    return Picture(ET.fromstring(drawing(document, assembly)))  # noqa: S314  # our own bytes


def classed(picture, kind):
    return [element for element in picture.root.iter() if kind in (element.get("class") or "").split()]


def lengths_of(assembly):
    """Every length of the document that the drawing must show, as text."""
    found = [assembly[name]["text"] for name in ("cut_length", "target_length", "measured_length") if assembly[name]]
    for stop in assembly["stops"]:
        found += [stop["centre_from_upper_bearing"]["text"], stop["centre_from_upper_cut_end"]["text"]]
    screw = assembly["turnbuckle"]
    if screw and screw["build_setting"]:
        found += [length["text"] for length in screw["build_setting"].values()]
    return found


@pytest.mark.parametrize("name", some_of(NAMES, 30))
def test_no_lettering_touches_lettering_or_lines_or_leaves_its_room_or_the_sheet(name):
    picture, _, _ = seen(name)
    assert crossing(picture, STANDING.width) == []


@pytest.mark.parametrize("name", some_of(NAMES, 30))
def test_every_length_of_the_document_is_complete_in_the_drawing(name):
    picture, _, assembly = seen(name)
    said = [text.said for text in picture.texts]
    for length in lengths_of(assembly):
        assert length in said, length
    for field, word in (("cut_length", "cut"), ("target_length", "finished"), ("measured_length", "measured")):
        if assembly[field] and (assembly["cut_length"] or word == "measured"):
            assert f"{word} {assembly[field]['text']}" in said
    screw = assembly["turnbuckle"]
    if screw and screw["build_setting"]:
        for words, field in (("taken up, can be let out:", "let_out"), ("left to take up:", "take_up"), ("needed:", "travel_needed")):
            assert any(text.startswith(f"{words} {screw[field]['text']}") for text in said)


@pytest.mark.parametrize("name", some_of(NAMES, 30))
def test_nothing_stands_over_the_end_of_a_page(name):
    picture, _, _ = seen(name)
    page = STANDING.page
    assert [text.said for text in picture.texts if text.top // page != text.bottom // page] == []


def of_different_members():
    """The first name of each set of members that an assembly has."""
    found = {}
    for name, _, assembly in EVERY:
        read = assembly_of(assembly)
        found.setdefault(frozenset(member.kind for side in ("upper", "lower") for member in end_of(read, side).members), name)
    return [*found.values()]


def test_every_family_is_drawn_as_its_own_sign_and_none_as_a_plain_terminal():
    names = NAMES if THOROUGH else of_different_members()
    found = {kind.removeprefix("member ") for name in names for each in classed(seen(name)[0], "member") for kind in [each.get("class")]}
    families = {"fork", "eye", "toggle", "tee", "stud", "ball", "thimble-eye", "deadeye"}
    links = {f"{kind.replace('_', '-')}-link" for kind in LINKS}
    hardware = {*links, "thread", "open-body", "tubular-body", "screw-fork", "screw-toggle", "inner-screw-fork"}
    assert found == families | hardware
    for family in ("fork", "eye", "toggle", "tee", "ball", "stud"):
        for attachment in ("swage", "compression") if family not in ("tee", "ball") else ("swage",):
            end = {"terminal": family, "attachment": attachment} | ({"thread": "M10", "hand": "right"} if family == "stud" else {})
            document, assembly = rigs.one(wire=rigs.wire(), upper=end, lower=end, measurement=rigs.read("9 m"))
            assert assembly["cut_length"], (family, attachment)
            assert len(classed(look(document, assembly), family)) == 2


@pytest.mark.parametrize("name", [name for name in NAMES if "turnbuckle" in name or "two screws" in name])
def test_fittings_exposed_threads_and_body_are_to_one_scale(name):
    picture, _, assembly = seen(name)
    bar = next(rect for rect in picture.root.iter(f"{SVG}rect") if rect.get("stroke-width") == "0.6")
    scale = float(bar.get("width")) / (25.4 if name.endswith("imperial") else 10.0)
    edges = sorted(float(line.get("y1")) for line in classed(picture, "extension") if float(line.get("x2")) > 372)
    dimensions = [below - above for above, below in zip(edges[::2], edges[1::2], strict=True)]
    setting = assembly["turnbuckle"]["build_setting"]
    expected = sorted(float(length["mm"]) * scale for length in setting.values())
    assert sorted(dimensions) == pytest.approx(expected, abs=1e-3)
    (body,) = [each for each in classed(picture, "member") if "body" in each.get("class")]
    at = [float(point.split()[1]) for point in body[0].get("d").strip("MZ").replace("L", "|").split("|")]
    length = -next(float(step["mm"]) for step in assembly["derivation"] if step["step"] == "turnbuckle body")
    assert max(at) - min(at) == pytest.approx(length * scale, abs=1e-3)


@pytest.mark.parametrize("name", ["open turnbuckle, metric", "tubular turnbuckle, metric", "turnbuckle above, metric"])
def test_each_exposed_thread_bears_its_own_screws_figure(name):
    picture, _, _ = seen(name)
    lines = [line for line in classed(picture, "dimension") if line.get("x1") == line.get("x2") == "372"]
    upper, lower = sorted(lines, key=lambda line: float(line.get("y1")))
    long = [float(line.get("y2")) - float(line.get("y1")) for line in (upper, lower)]
    assert long[0] / long[1] == pytest.approx(34 / 31.5, rel=1e-4)  # the upper screw's, as recorded and built, is the upper one
    column = sorted((text for text in picture.texts if text.left > 390), key=lambda text: text.top)
    said = [text.said for text in column]
    assert [said[said.index(word) - 1] for word in ("exposed, upper screw", "exposed, lower screw")] == ["34.0 mm", "31.5 mm"]
    assert said.index("34.0 mm") < said.index("31.5 mm")


def test_a_short_assembly_is_to_scale_as_a_whole_and_says_so():
    picture, _, assembly = seen("short, metric")
    (scale,) = {float(rect.get("width")) / 10 for rect in picture.root.iter(f"{SVG}rect") if rect.get("stroke-width") == "0.6"}
    lines = [line for line in classed(picture, "dimension") if line.get("x1") == "206"]
    assert [float(line.get("y2")) - float(line.get("y1")) for line in lines] == pytest.approx([300.0 * scale], abs=0.1)
    assert assembly["target_length"]["mm"] == "300.000"
    assert "the wire is to scale too." in picture.words
    assert "the wire is broken." in seen("thick, metric")[0].words


def test_a_stop_stands_where_its_centre_is():
    stop = {"kind": "ball", "from": "upper", "position": "150 mm", "bears_toward": "upper", "ball": "5/16 in"}
    document, assembly = rigs.one(
        wire=rigs.wire("4 mm", "7x19"), upper=rigs.EYE, lower=rigs.EYE, measurement=rigs.read("400 mm"), stops=[stop]
    )
    picture = look(document, assembly)
    (scale,) = {float(rect.get("width")) / 10 for rect in picture.root.iter(f"{SVG}rect") if rect.get("stroke-width") == "0.6"}
    (finished,) = (line for line in classed(picture, "dimension") if line.get("x1") == "206")
    (ball,) = classed(picture, "stop")
    below = float(ball.get("cy")) - float(finished.get("y1"))
    # 5/16 in ball on a 3/16 in slot, a 3-4-5 triangle: the centre lies 4/5 of the radius beyond the ring
    assert below == pytest.approx((150 + 0.8 * 7.9375 / 2) * scale, abs=0.01)
    assert [line.get("y1") for line in classed(picture, "mark")].count(ball.get("cy")) == 1


def test_the_travel_bar_is_to_scale_and_marks_what_is_needed():
    picture, _, assembly = seen("open turnbuckle, metric")
    out, up = (float(rect.get("width")) for kind in ("let-out", "take-up") for rect in classed(picture, kind))
    (needed,) = classed(picture, "needed")
    long = float(needed.get("x2")) - float(needed.get("x1"))
    screw = assembly["turnbuckle"]
    assert out / up == pytest.approx(float(screw["let_out"]["mm"]) / float(screw["take_up"]["mm"]), rel=1e-4)
    assert long / up == pytest.approx(float(screw["travel_needed"]["mm"]) / float(screw["take_up"]["mm"]), rel=1e-4)
    closed = seen("nearly closed, metric")[0]
    assert "more than is left" in closed.words
    assert [float(rect.get("width")) for rect in classed(closed, "take-up")] == [0.0]


@pytest.mark.parametrize(
    ("turns", "said"),  # the body counts as on the bench sheet: 33.45 turns are 33 1/2, to the nearest half
    [("33.45", "33 1/2 open, out of the body."), ("-1.24", "1 closed, into the body."), ("0.2", "less than half a turn.")],
)
def test_turns_from_the_recorded_setting_are_given_in_halves(turns, said):
    document = copy.deepcopy(seen("open turnbuckle, metric")[1])
    (changed,) = document["assemblies"]
    changed["turnbuckle"]["turns_from_recorded"] = turns
    words = look(document, changed).words
    assert f"Turns of the body from the recorded setting: {said}" in words
    assert turns not in words


def test_an_unknown_setting_is_stated_instead_of_drawn():
    picture, _, assembly = seen("to the stud, metric")
    assert assembly["turnbuckle"]["build_setting"] is None
    assert "none: setting not known" in picture.words
    assert "Turnbuckle: its setting is not known." in picture.words
    assert not classed(picture, "take-up")


def test_on_hold_shows_what_is_known_and_why_and_no_length_to_cut():
    picture, _, assembly = seen("on hold, metric")
    assert classed(picture, "hold")
    assert "ON HOLD" in picture.words
    assert "measured 9214.0 mm" in picture.words
    assert len(classed(picture, "unknown")) == 2
    assert not classed(picture, "cut-wire")
    stops = list(for_the_shop(assembly_of(assembly), Speech("en", "metric"), "stop"))
    assert stops
    for each in stops:
        assert each.message in picture.words
        assert each.remedy in picture.words


@pytest.mark.parametrize("name", some_of(NAMES, 30))
def test_findings_and_cautions_stand_under_the_drawing(name):
    picture, document, assembly = seen(name)
    for each in for_the_shop(assembly_of(assembly), speech_in("en", document["display_units"]), "stop", "ask", "note"):
        assert f"• {each.message} {each.remedy}" in picture.words
    assert " ".join(document["cautions"]) in picture.words


@pytest.mark.parametrize("units", ["metric", "imperial"])
def test_a_drawing_that_fills_a_sheet_leaves_none_empty(units):
    """Twenty stops are drawn on the second sheet: what is to be known of them fills the first, and there is no third."""
    picture = seen(f"stops, {units}")[0]
    tops = {text.said: text.top for text in picture.texts}
    assert tops["Cautions"] < STANDING.page < tops["Wire to cut"]
    assert STANDING.page < picture.height <= 2 * STANDING.page


def test_only_black_and_white_are_used():
    for name in some_of(NAMES, 30):
        paints = {element.get(kind) for element in seen(name)[0].root.iter() for kind in ("fill", "stroke")}
        assert {paint for paint in paints if paint and not paint.startswith("url(#assembly-")} <= {"none", "#000", "#fff"}


def test_text_alternatives_name_the_assembly_its_lengths_and_its_parts():
    picture, _, assembly = seen("open turnbuckle, metric")
    described = picture.root.find(f"{SVG}desc").text
    assert picture.root.get("aria-labelledby").split() == [picture.root.find(f"{SVG}{kind}").get("id") for kind in ("title", "desc")]
    for said in (
        *lengths_of(assembly)[:3],
        "CONFIRM FIRST",
        "Tee, swage, for 5 mm wire",
        "Left to take up",
    ):  # its kept body was not measured
        assert said in described
    assert "Recorded: upper 34.0 mm, lower 31.5 mm." in described


def nasty(text):
    """A quote whose every text is that text."""
    document = copy.deepcopy(seen("open turnbuckle, metric")[1])
    (assembly,) = document["assemblies"]
    document["boat"]["name"] = assembly["tag"] = assembly["wire"]["name"] = text
    for part in assembly["parts"]:
        part["name"] = text
    for each in assembly["findings"]:
        each["message"] = each["remedy"] = text
    return document, assembly


@pytest.mark.parametrize("text", some_of(NASTY, 5))
def test_any_text_gives_plain_shapes_without_script_or_reference_to_the_outside(text):
    picture = look(*nasty(text))
    assert {element.tag.removeprefix(SVG) for element in picture.root.iter()} <= SHAPES
    for element in picture.root.iter():
        assert not [name for name in element.attrib if name.startswith("on") or "href" in name]
        assert not [value for value in element.attrib.values() if "url(" in value and not value.startswith("url(#assembly-1-")]
    assert crossing(picture, STANDING.width) == []
    assert f"cut {seen('open turnbuckle, metric')[2]['cut_length']['text']}" in picture.words


def test_shortened_text_is_complete_in_a_title():
    picture = look(*nasty("W" * 120))
    titles = [title.text for title in picture.root.iter(f"{SVG}title")]
    assert sum("W" * 120 in title for title in titles) >= 3


def test_two_drawings_on_one_page_share_no_ids():
    document = rigs.quoted(
        {"assemblies": [{"tag": tag, "role": "cap_shroud", "wire": rigs.wire()} | rigs.KINDS["open turnbuckle"] for tag in "AB"]}
    )
    ids = [
        element.get("id") for assembly in document["assemblies"] for element in look(document, assembly).root.iter() if element.get("id")
    ]
    assert len(ids) == len(set(ids)) == 6


@pytest.mark.long
def test_equal_documents_give_equal_bytes_in_every_process():
    program = (
        "import sys; from tests.documents import rigs; from tests.documents.made import drawing;"
        "d, a = rigs.one(wire=rigs.wire(), **rigs.KINDS['open turnbuckle']); sys.stdout.buffer.write(drawing(d, a))"
    )
    made = {_run(program, seed) for seed in some_of("12", 1)}
    assert made == {drawing(*rigs.one(wire=rigs.wire(), **rigs.KINDS["open turnbuckle"]))}


def _run(program, seed):
    root = Path(__file__).parents[2]
    return subprocess.run(
        [sys.executable, "-c", program], cwd=root, env={**os.environ, "PYTHONHASHSEED": seed}, capture_output=True, check=True
    ).stdout


def test_the_drawings_load_without_the_web():
    program = "import sys, service.documents.assembly_drawing.svg, service.documents.rig_sheet.svg; print([name for name in ('flask', 'werkzeug', 'sqlalchemy', 'marshmallow') if name in sys.modules])"
    assert _run(program, "1").strip() == b"[]"


def test_every_end_that_is_built_shows_its_outermost_bearing():
    for name in some_of(NAMES, 30):
        picture, _, assembly = seen(name)
        ends = [end_of(assembly_of(assembly), side) for side in ("upper", "lower")] if assembly["cut_length"] else []
        legend = 1 if ends else 0
        assert len(classed(picture, "outermost")) == legend + sum(bool(end.members) for end in ends)

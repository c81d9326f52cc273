"""The small drawing beside an assembly in a list: shapes only, upper end on top, the same shapes as on its sheet."""

from __future__ import annotations

import re
from xml.etree import ElementTree as ET

import pytest

from service.documents.speech import speech_in
from tests.counts import some_of

from . import rigs
from .made import drawing, likeness

BUILT = some_of([each for each in rigs.every() if each[2]["readiness"] != "hold"], 20)
SVG = "{http://www.w3.org/2000/svg}"


def look(document, assembly):
    return ET.fromstring(likeness(document, assembly, speech_in("en", document["display_units"])))  # noqa: S314  # our own bytes


def members(root):
    return [
        re.sub(r" .*", "", each.get("class").removeprefix("member "))
        for each in root.iter(f"{SVG}g")
        if each.get("class", "").startswith("member")
    ]


def heights(root):
    return [float(each) for path in root.iter(f"{SVG}path") for each in re.findall(r"[ML]-?[\d.]+ (-?[\d.]+)", path.get("d"))]


@pytest.mark.parametrize(("name", "document", "assembly"), BUILT, ids=[name for name, _, _ in BUILT])
def test_it_has_the_sheets_shapes_within_its_picture_and_no_word(name, document, assembly):
    root = look(document, assembly)
    assert not [each for each in root.iter() if each.tag in (f"{SVG}text", f"{SVG}title", f"{SVG}desc", f"{SVG}style")]
    assert members(root) == members(ET.fromstring(drawing(document, assembly)))  # noqa: S314  # our own bytes
    _, top, wide, high = map(float, root.get("viewBox").split())
    found = heights(root)
    assert (top <= min(found), max(found) <= top + high, wide) == (True, True, 84)
    assert all(each.isascii() for each in likeness(document, assembly, speech_in("de", "metric")).decode())


def test_what_is_said_once_for_all_is_what_each_shape_would_say():
    """A shape of its own line keeps it; one without a line has none; a filled sign keeps its black."""
    document, assembly = rigs.one(**{"wire": rigs.wire()} | rigs.KINDS["open turnbuckle"])
    root = look(document, assembly)
    whole = ET.fromstring(drawing(document, assembly))  # noqa: S314  # our own bytes
    assert (root.get("stroke"), root.get("stroke-width"), root.get("stroke-linejoin")) == ("#000", "1.2", "round")

    def lines(tree, said):
        groups = [each for each in tree.iter(f"{SVG}g") if each.get("class", "").startswith("member")]
        return {seen(each, said) for group in groups for each in group if each.tag != f"{SVG}g"}

    def seen(shape, said):
        stroke, fill = shape.get("stroke", said.get("stroke", "none")), shape.get("fill", "#000")
        line = () if stroke == "none" else (shape.get("stroke-width", said.get("stroke-width")), shape.get("stroke-dasharray", ""))
        return shape.tag, fill, stroke, *line

    assert lines(root, {"stroke": "#000", "stroke-width": "1.2"}) == lines(whole, {})


def test_it_is_half_as_long_as_with_every_line_said():
    document, assembly = rigs.one(**{"wire": rigs.wire()} | rigs.KINDS["open turnbuckle"])
    assert len(likeness(document, assembly, speech_in("en", "metric"))) < 5_500


def test_on_hold_there_is_nothing_to_draw():
    document, assembly = rigs.one(**{"wire": rigs.wire()} | rigs.KINDS["on hold"])
    assert likeness(document, assembly, speech_in("en", document["display_units"])) is None

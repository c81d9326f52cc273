"""The drawing read back as XML: scale, sums, lettering, folding, what is left out."""

import os
import random
import re
import subprocess
import sys
from collections import Counter
from itertools import pairwise
from pathlib import Path
from xml.etree import ElementTree as ET

import pytest

from service.documents.cutting_plan.svg import drawing
from service.documents.svg.paper import PAGE
from tests.counts import some_of

from . import plans
from .picture import SVG, picture, widths

NASTY = [
    "</svg><script>alert(1)</script>", '"\' onload="x', "]]><!--", "&lt;&#0;&amp;", "\x00\x08\x1b\ufffe", "\ud800", "طاقم شراع " * 12, "左舷上部シュラウド" * 13,
    "👩‍👩‍👧‍👦⛵" * 15, "W" * 120, "Z" + "\u0335" * 119, "\u202egnp.exe", "two\r\nlines", "%s{0}$1", "", "url(http://example.org/x)", "﷽" * 120,
]  # fmt: skip
SHAPES = {"svg", "title", "desc", "style", "defs", "pattern", "rect", "circle", "line", "g", "text"}


def some_pieces(seed, number, low, high, boat="Tern"):
    source = random.Random(seed)
    return plans.numbered("A", [source.randint(low, high) for _ in range(number)], boat)


def lively():
    """Offcuts and spools, short and long pieces, imperial; the second wire metric in its texts, all short."""
    boat = [
        plans.use("OFF-17", 12500, plans.NAMES[8:9], "offcut", kept=False),
        plans.use("OFF-22", 10400, plans.NAMES[4:6], "offcut", kept=False),
    ]
    boat += [
        plans.use("SP-100#1", 152400, plans.NAMES[:4] + plans.NAMES[6:8], "opened"),
        plans.use("SP-300#1", 300000, some_pieces(1, 60, 180, 900)),
    ]
    short = [
        plans.use("DRUM#1", 60000, some_pieces(2, 240, 180, 240), units="metric"),
        plans.use("DRUM#2", 9571, plans.NAMES[:1], units="metric"),
    ]
    return plans.plan(
        [plans.wire(boat, unplanned=[plans.unplanned()]), plans.wire(short, "metric", "5")],
        cautions=["Measure each offcut before cutting."],
    )


def nasty(text):
    use = plans.use(text, 60000, [(text, text, 9000), (text, None, 300), ("ok", text, 9000)])
    note = {"code": "x", "message": text, "subject": text}
    wire = plans.wire([use], unplanned=[plans.unplanned(text, text)], notes=[note])
    return plans.plan([{**wire, "wire": {**plans.WIRE, "name": text, "sku": text}}], title=text, cautions=[text])


def crowded():
    return plans.plan([plans.wire([plans.use(f"SP-{at}#1", 100000, some_pieces(at, 7, 4000, 14000)) for at in range(60)])])


EVERY = [lively(), crowded(), *map(nasty, NASTY)]


@pytest.mark.parametrize("text", NASTY)
def test_any_text_gives_well_formed_xml_of_plain_shapes_without_reference_to_the_outside(text):
    root = ET.fromstring(drawing(nasty(text)))  # noqa: S314  # our own bytes
    assert {element.tag.removeprefix(SVG) for element in root.iter()} <= SHAPES
    for element in root.iter():
        assert not [name for name in element.attrib if name.startswith("on") or "href" in name]
        assert not [value for name, value in element.attrib.items() if "url(" in value and not value.startswith("url(#")]
    assert [style.text for style in root.iter(f"{SVG}style")] == ["@page{size:279mm 210mm;margin:12.5mm 12.5mm 12.4mm}"]


def test_shortened_text_is_complete_in_a_title_and_in_the_text_alternative():
    root = picture(nasty("W" * 120)).root
    titles = [title.text for title in root.iter(f"{SVG}title")]
    assert any("W" * 120 in title for title in titles[1:])
    assert root.get("role") == "img"
    assert root.get("aria-labelledby").split() == [root.find(f"{SVG}title").get("id"), root.find(f"{SVG}desc").get("id")]
    assert "W" * 120 in root.find(f"{SVG}desc").text


@pytest.mark.parametrize("document", EVERY, ids=range(len(EVERY)))
def test_no_text_runs_into_another_or_out_of_its_room_or_off_the_sheet(document):
    shown = picture(document)
    texts = sorted(shown.texts, key=lambda text: text.top)
    for at, text in enumerate(texts):
        assert text.left >= 8 - 1
        assert text.right <= 952 + 1
        assert text.clip[0] - 0.01 <= text.left <= text.right <= text.clip[1] + 0.01
        assert 0 <= text.top <= text.bottom <= shown.height
        for other in texts[at + 1 :]:
            if other.top >= text.bottom:
                break
            assert text.right <= other.left + 0.01 or other.right <= text.left + 0.01, (text, other)


@pytest.mark.parametrize("document", [lively(), crowded()])
def test_no_line_of_text_or_strip_is_cut_by_the_end_of_a_page(document):
    shown = picture(document)
    strips = [rect for rect in shown.root.iter(f"{SVG}rect") if rect.get("class") == "outline"]
    spans = [(text.top, text.bottom) for text in shown.texts]
    spans += [(float(rect.get("y")), float(rect.get("y")) + float(rect.get("height"))) for rect in strips]
    assert shown.height > PAGE
    assert all(top // PAGE == bottom // PAGE for top, bottom in spans)


@pytest.mark.parametrize("document", [lively(), crowded()])
def test_bars_and_pieces_of_a_wire_share_one_scale(document):
    bars = iter(picture(document).strips("bar"))
    for wire in document["wires"]:
        scale = 944 / max(float(use["length"]["mm"]) for use in wire["uses"])  # 960 px less two margins of 8
        for use, bar in zip(wire["uses"], bars, strict=False):
            assert widths(bar, "outline") == pytest.approx([float(use["length"]["mm"]) * scale], abs=2e-4)
            assert widths(bar, "piece") == pytest.approx([float(cut["length"]["mm"]) * scale for cut in use["cuts"]], abs=2e-4)
    assert next(bars, None) is None


@pytest.mark.parametrize("document", [lively(), crowded()])
def test_pieces_allowances_and_remnant_fill_the_bar(document):
    for bar in picture(document).strips("bar"):
        parts = [*widths(bar, "piece"), *widths(bar, "allowance"), *widths(bar, "remnant"), *widths(bar, "undrawn")]
        assert sum(parts) == pytest.approx(widths(bar, "outline")[0], abs=1e-4 * len(parts))
        assert all(part >= 0 for part in parts)


def test_an_allowance_is_as_wide_as_its_millimetres():
    (bar,) = picture(plans.plan([plans.wire([plans.use("SP#1", 9440, plans.numbered("A", [2000, 3000]), allowance="20")])])).strips("bar")
    assert widths(bar, "allowance") == pytest.approx([2.0, 2.0])  # 944 px for 9440 mm: 0.1 px a mm


def test_every_piece_is_named_with_its_length_in_the_bar_or_in_the_key():
    shown = picture(lively()).words
    for use in (use for wire in lively()["wires"] for use in wire["uses"]):
        for cut in use["cuts"]:
            assert cut["label"] in shown
            assert cut["length"]["text"] in shown


def test_a_bar_far_shorter_than_the_longest_is_enlarged_below_and_says_how_much():
    uses = [plans.use("SP-300#1", 300000, plans.NAMES), plans.use("OFF-1", 3000, plans.numbered("PEN", [1200]), "offcut")]
    shown = picture(plans.plan([plans.wire(uses)]))
    enlarged = next(strip for strip in shown.strips("enlarged") if len(widths(strip, "piece")) == 1)
    assert widths(enlarged, "outline") == pytest.approx([3000 * 944 / 300000 * 100])
    assert "enlarged 100 ×" in shown.words
    assert "PEN-1" in "".join(enlarged.itertext())


def test_kept_and_scrap_differ_without_colour():
    uses = [plans.use("SP#1", 30480, plans.NAMES[:1]), plans.use("SP#2", 30480, plans.NAMES[1:2], kept=False)]
    shown = picture(plans.plan([plans.wire(uses)]))
    kept, scrap = shown.strips("bar")
    assert [rect.get("fill") for rect in scrap if rect.get("class") == "remnant"] == ["url(#cutting-plan-hatch)"]
    assert [rect.get("stroke-dasharray") for rect in kept if rect.get("class") == "kept"] == ["6 3"]
    assert {element.get(name) for element in shown.root.iter() for name in ("fill", "stroke")} <= {
        None, "none", "#000", "#fff", "url(#cutting-plan-hatch)", "url(#cutting-plan-dots)",
    }  # fmt: skip
    assert "kept." in shown.words
    assert "scrap." in shown.words


def test_remnants_bear_the_tags_they_got_and_nothing_of_machines_is_drawn():
    document = plans.plan([plans.wire([plans.use("SP#1", 30480, plans.NAMES[:1]), plans.use("OFF-1", 10480, plans.NAMES[1:2], "offcut")])])
    shown = picture(document, tags={"SP#1/remnant": "R-000007"}).words
    assert "kept as R-000007." in shown
    assert not re.search(r"/remnant|#\d|P-7|WIRE-", shown)


def test_objects_cut_alike_are_one_bar_that_names_them_all_and_nothing_else_is_folded():
    alike = [plans.use(f"SP-100#{at}", 100000, plans.NAMES[:4]) for at in range(1, 13)]
    others = [
        plans.use("SP-100#13", 100000, plans.NAMES[:4], "opened"),
        plans.use("SP-100#14", 100000, plans.NAMES[3::-1]),
        plans.use("SP-100#15", 100000, plans.NAMES[:4], kept=False),
        plans.use("SP-100#16", 100000, [(label, "Gull", mm) for label, _, mm in plans.NAMES[:4]]),
    ]
    shown = picture(plans.plan([plans.wire([*alike[:6], *others, *alike[6:]])]))
    assert len(shown.strips("bar")) == 5
    assert "× 12:" in shown.words
    named = Counter(re.findall(r"SP-100 no\. (\d+)", shown.words))
    assert named == Counter(str(at) for at in range(1, 17))


def test_numbers_of_a_folded_bar_are_marked_as_the_first_objects_steps():
    short = plans.numbered("PEN", [1000] * 3 + [1100])
    uses = [
        plans.use("SP#0", 100000, plans.NAMES[:2]),
        *(plans.use(f"SP#{at}", 100000, [*short, ("LONG", "Tern", 90000)]) for at in (1, 2)),
    ]
    shown = picture(plans.plan([plans.wire(uses)]))
    assert "The numbers are the first object's steps." in shown.words
    assert {"3", "4", "5", "6"} <= {text.said for text in shown.texts}  # two steps on the first object go before


def test_a_wire_of_which_nothing_is_cut_claims_no_best_cost():
    shown = picture(plans.plan([plans.wire([], proven=False, unplanned=[plans.unplanned(reason="no_stock")])])).words
    assert "Nothing of this wire is cut." in shown
    assert "There is no stock of this wire: add it and plan again." in shown
    assert "Cost" not in shown


@pytest.mark.long
def test_twenty_thousand_pieces_are_drawn_in_part_and_the_others_are_counted():
    spools = plans.wire([plans.use(f"SP-1#{at}", 300000, some_pieces(at, 25, 4000, 11000)) for at in range(400)])
    tiny = plans.wire([plans.use("SP-9#1", 300000, [("TAG", "Tern", 12)] * 10000)])
    document = plans.plan([spools, tiny])
    shown = picture(document)
    assert len(drawing(document)) < 3_000_000
    bars = shown.strips("bar")
    drawn = sum(len(widths(bar, "piece")) for bar in bars[:-1])
    assert f"Not drawn: {400 - len(bars[:-1])} more stock objects with {10000 - drawn} pieces. The bench list has every cut." in shown.words
    assert f"The last {10000 - len(widths(bars[-1], 'piece'))} cuts are not drawn." in shown.words
    assert len(widths(bars[-1], "undrawn")) == 1


def test_the_key_figures_are_given_in_words():
    shown = picture(lively()).words
    assert "Proven to be the cheapest way to cut this." in shown
    near = picture(plans.plan([plans.wire([plans.use("SP#1", 30480, plans.NAMES[:1])], proven=False)])).words
    assert "At most $0.30 dearer than the cheapest possible way." in near
    assert "Not planned: 2 × LL-1 (Kittiwake) of" in shown
    assert "It is longer than any stock of this wire: buy a longer spool." in shown
    assert "Caution: Measure each offcut before cutting." in shown


@pytest.mark.parametrize(
    "document",
    [plans.plan([]), plans.plan([plans.wire([], unplanned=[plans.unplanned()])]), plans.plan([plans.wire([plans.use("SP#1", 30480, [])])])],
)
def test_a_plan_without_wires_uses_or_cuts_is_a_drawing_all_the_same(document):
    shown = picture(document)
    assert len(shown.strips("bar")) == sum(len(wire["uses"]) for wire in document["wires"])
    assert ("Nothing to cut" in shown.words) == (not document["wires"])


def test_the_rule_is_graduated_in_the_shops_units():
    feet = picture(plans.plan([plans.wire([plans.use("SP#1", 30480, plans.NAMES[:1])])])).texts
    marks = [text for text in feet if text.said.removesuffix(" ft").isdigit()]
    assert [text.said for text in marks] == [f"{at} ft" for at in range(0, 101, 10)]  # 30 480 mm are 100 ft
    assert all(b.left - a.left > 80 for a, b in pairwise(marks[:-1]))
    metres = picture(plans.plan([plans.wire([plans.use("SP#1", 30000, plans.NAMES[:1])], "metric")], "metric")).words
    assert "30 m" in metres


def test_equal_documents_give_equal_bytes_in_every_process():
    program = "import sys; from tests.documents.test_cutting_plan_svg import lively; from service.documents.cutting_plan.svg import drawing; sys.stdout.buffer.write(drawing(lively()))"
    root = Path(__file__).parents[2]
    made = {
        subprocess.run(
            [sys.executable, "-c", program], cwd=root, env={**os.environ, "PYTHONHASHSEED": seed}, capture_output=True, check=True
        ).stdout
        for seed in some_of("12", 1)
    }
    assert made == {drawing(lively())}


def test_the_documents_load_without_the_web():
    program = "import sys, service.documents.cutting_plan.svg, service.documents.cutting_plan.bench_list; print([name for name in ('flask', 'werkzeug', 'sqlalchemy', 'marshmallow') if name in sys.modules])"
    done = subprocess.run([sys.executable, "-c", program], cwd=Path(__file__).parents[2], capture_output=True, text=True, check=True)
    assert done.stdout.strip() == "[]"

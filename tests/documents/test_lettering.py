"""Estimated widths against published advance widths; shortening and wrapping."""

from itertools import pairwise

import pytest
from hypothesis import given
from hypothesis import strategies as st

from service.documents.cutting_plan.spread import spread
from service.documents.svg.lettering import Name, face_for, fit, legal, sentence, shown, width, wrap

# Adobe Core 14 font metrics, Helvetica, thousandths of an em (from memory)
HELVETICA = {
    191: "'", 222: "ijl", 260: "|", 278: " !,./:;I[\\]ft", 333: "()-r`", 334: "{}", 355: '"', 389: "*", 469: "^", 500: "Jcksvxyz",
    556: "#$0123456789?L_abdeghnopqu", 584: "+<=>~", 611: "FTZ", 667: "&ABEKPSVXY", 722: "CDHNRUw", 778: "GOQ", 833: "Mm", 889: "%", 944: "W", 1015: "@",
}  # fmt: skip


def test_no_ascii_character_is_wider_in_helvetica_than_estimated():
    assert sum(map(len, HELVETICA.values())) == 95
    too_narrow = {letter: em for em, letters in HELVETICA.items() for letter in letters if width(letter, 1000) < em}
    assert too_narrow == {}


@given(st.text(max_size=120), st.floats(min_value=5, max_value=500), st.booleans())
def test_a_text_of_any_script_fits_its_room_and_says_so_when_it_is_cut(text, room, bold):
    line = fit(text, room, 10, bold)
    assert width(line, 10, bold) <= room
    assert line == shown(text) or line == "" or line.endswith("…")


def test_heaped_marks_controls_of_direction_and_line_ends_do_not_reach_the_drawing():
    assert shown("a" + "\u0301" * 50 + "b") == "a" + "\u0301" * 3 + "b"
    assert shown("Gull\u202e 1\u2066") == "Gull 1"
    assert shown("two\r\nlines\x0b\tand\u2028more") == "two lines and more"
    assert legal("a\x00\x08\ufffe\ud800b") == "ab"


def test_lines_keep_every_word_and_a_number_stays_with_its_unit():
    text = "Each rest of 31 ft 4 5/16 in goes back to stock, and 12.5 mm of 9558.4 mm (1.2 %) does not."
    lines = wrap(sentence(text), 90, 10)
    assert " ".join(line.set for line in lines) == text
    assert not any(line.set.startswith(("ft", "in", "mm", "%")) for line in lines)
    assert all(width(line.set, 10) <= 90 for line in lines)


@pytest.mark.parametrize("word", ["`measurement.temperature`", "x" * 60, "y" * 61, "左" * 130])
def test_a_long_word_of_a_message_loses_nothing(word):
    assert "".join(sentence(f"Say {word} again.")) == f"Say{word}again."


@given(st.text("0123456789 /ftin", min_size=1, max_size=30), st.floats(min_value=10, max_value=300))
def test_a_figure_is_set_smaller_but_never_cut_short(figure, room):
    face = face_for(figure, room, 11)
    assert width(figure, face.size, face.bold) <= room * (1 + 1e-9)
    assert face.size <= 11


def test_a_name_from_right_to_left_does_not_reorder_what_stands_beside_it():
    (line,) = wrap([Name("نورس 3", "(", ")"), "12 pieces"], 500, 10)
    assert line.set == "(\u2068نورس 3\u2069) 12 pieces"  # UAX 9: first strong isolate, pop directional isolate
    assert line.whole == "(نورس 3) 12 pieces"


def test_a_name_that_is_too_long_is_whole_in_what_the_line_says_in_full():
    (line,) = wrap([Name("W" * 120, after=",")], 200, 10)
    assert line.set.endswith("…,")
    assert line.whole == "W" * 120 + ","


@given(st.lists(st.tuples(st.floats(0, 944), st.floats(5, 40)), max_size=20).map(sorted))
def test_places_keep_their_order_do_not_touch_and_stay_on_the_sheet(boxes):
    wanted, widths = [box[0] for box in boxes], [box[1] for box in boxes]
    places = spread(wanted, widths, 0, 944)
    edges = [(place - wide / 2, place + wide / 2) for place, wide in zip(places, widths, strict=True)]
    assert all(before[1] <= after[0] + 1e-6 for before, after in pairwise(edges))
    assert all(left >= -1e-6 and right <= 944 + 1e-6 for left, right in edges)


@pytest.mark.parametrize(
    ("wanted", "placed"),
    [([100, 200], [100, 200]), ([100, 100], [95, 105]), ([2, 3], [5, 15]), ([100, 104, 300], [97, 107, 300])],  # by hand: boxes 10 wide
)
def test_boxes_that_would_touch_are_set_about_the_mean_of_where_they_were_wanted(wanted, placed):
    assert spread(wanted, [10] * len(wanted), 0, 944) == pytest.approx(placed)

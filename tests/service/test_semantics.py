"""Values that are valid one by one but make no sense together: datums, attachments, bare ends."""

from __future__ import annotations

from typing import Any

import pytest

from pricing.measurement.assembly import Assembly, QuoteRequest
from pricing.measurement.datums import datums_at
from service.http.problems import Problem
from service.schemas import read_request

HOLE = ("bearing", "pin_centre", "hole_centre", "pin_inside", "outer_tip")
TURNBUCKLE = {"body": "open", "lower_end": "toggle"}


def asked(**changes: Any) -> dict[str, Any]:
    """A request with one small assembly."""
    assembly = {
        "tag": "A", "role": "pennant", "wire": {"construction": "7x19", "diameter": "4 mm"},
        "upper": {"terminal": "thimble_eye"}, "lower": {"terminal": "fork", "attachment": "swage"},
        "measurement": {"readings": ["2 m"]}, **changes,
    }  # fmt: skip
    return {"assemblies": [assembly]}


def read(**changes: Any) -> Assembly:
    request: QuoteRequest = read_request(asked(**changes), ("retail",))
    return request.assemblies[0]


def refused(**changes: Any) -> dict[str, str]:
    """Pointer below the assembly, and detail, of each fault."""
    with pytest.raises(Problem) as caught:
        read(**changes)
    assert caught.value.status == 422
    return {str(each["pointer"]).removeprefix("#/assemblies/0/"): str(each["detail"]) for each in caught.value.faults}


# The table of datums is common practice, no source: a hole has walls, centre and tip; a shackle's pin two faces; a ball a ring, centre and tip.
@pytest.mark.parametrize(
    ("end", "datums"),
    [
        ({"terminal": "fork", "attachment": "swage"}, HOLE),
        ({"terminal": "eye", "attachment": "swage"}, HOLE),
        ({"terminal": "toggle", "attachment": "swage"}, HOLE),
        ({"terminal": "tee", "attachment": "swage"}, ("bearing",)),
        ({"terminal": "thimble_eye"}, ("bearing",)),
        ({"terminal": "stud", "attachment": "swage"}, ("bearing", "stud_tip")),
        ({"terminal": "ball", "attachment": "swage"}, ("bearing", "ball_centre", "outer_tip")),
        ({"terminal": "none", "leave": "300 mm"}, ("bearing",)),
    ],
)
def test_an_end_is_measured_to_what_it_has(end: dict[str, Any], datums: tuple[str, ...]) -> None:
    every = ("bearing", "pin_centre", "hole_centre", "pin_inside", "pin_outside", "outer_tip", "ball_centre", "stud_tip")
    assert datums_at(read(lower=end), "lower") == datums
    for datum in every:
        measurement = {"readings": ["2 m"], "lower_datum": datum}
        if datum in datums:
            assert read(lower=end, measurement=measurement).measurement.lower_datum == datum
        else:
            assert ", ".join(datums) in refused(lower=end, measurement=measurement)["measurement/lower_datum"]


def test_a_turnbuckle_in_the_reading_brings_its_own_datums() -> None:
    stud = {"terminal": "stud", "attachment": "swage"}
    taken = {"readings": ["2 m"], "lower_datum": "pin_centre"}
    assert "stud_tip" in refused(lower=stud, turnbuckle=TURNBUCKLE, measurement=taken)["measurement/lower_datum"]
    assembly = read(lower=stud, turnbuckle=TURNBUCKLE, measurement={**taken, "includes_turnbuckle": True})
    assert datums_at(assembly, "lower") == HOLE
    assert datums_at(assembly, "upper") == ("bearing",)


def test_a_turnbuckle_at_the_other_end_brings_none() -> None:
    taken = {"readings": ["2 m"], "includes_turnbuckle": True, "lower_datum": "stud_tip"}
    assembly = read(lower={"terminal": "stud", "attachment": "swage"}, turnbuckle={**TURNBUCKLE, "at": "upper"}, measurement=taken)
    assert datums_at(assembly, "upper") == HOLE
    assert datums_at(assembly, "lower") == ("bearing", "stud_tip")


def test_the_outermost_link_decides_where_the_reading_takes_links_in() -> None:
    lower = {"terminal": "fork", "attachment": "swage", "links": ["toggle", {"kind": "shackle"}]}
    taken = {"readings": ["2 m"], "includes_links": True, "lower_datum": "pin_outside"}
    assert datums_at(read(lower=lower, measurement=taken), "lower") == ("bearing", "pin_centre", "pin_outside")
    assert "measurement/lower_datum" in refused(lower=lower, measurement={**taken, "includes_links": False})
    assert "measurement/lower_datum" in refused(lower={**lower, "links": ["shackle", "toggle"]}, measurement=taken)


def test_a_link_may_be_its_kind_alone() -> None:
    lower = {"terminal": "fork", "attachment": "swage", "links": ["toggle", {"kind": "shackle", "pin": "8 mm"}]}
    assert [link.kind for link in read(lower=lower).lower.links] == ["toggle", "shackle"]
    assert "toggle, shackle" in refused(lower={**lower, "links": ["chain"]})["lower/links/0/kind"]


def test_an_attachment_is_never_guessed_where_there_is_a_choice() -> None:
    assert "swage or compression" in refused(lower={"terminal": "fork"})["lower/attachment"]
    assert refused(lower={"terminal": "ball"})["lower/attachment"].endswith("swage")


def test_a_thimble_eye_is_a_sleeve_and_nothing_else_is() -> None:
    assert read(upper={"terminal": "thimble_eye"}).upper.attachment == "sleeve"
    assert read(upper={"terminal": "thimble_eye", "attachment": "sleeve"}).upper.attachment == "sleeve"
    assert "upper/attachment" in refused(upper={"terminal": "thimble_eye", "attachment": "swage"})
    assert "lower/attachment" in refused(lower={"terminal": "fork", "attachment": "sleeve"})


def test_a_bare_end_says_what_to_leave_and_no_other_end_does() -> None:
    assert "lower/leave" in refused(lower={"terminal": "none"})
    assert "lower/leave" in refused(lower={"terminal": "fork", "attachment": "swage", "leave": "3 m"})
    assert "lower/attachment" in refused(lower={"terminal": "none", "leave": "300 mm", "attachment": "swage"})
    assert read(lower={"terminal": "none", "leave": "300 mm"}).lower.attachment is None


def test_only_an_exposed_thread_may_be_zero() -> None:
    setting = {"upper_exposed": "0 mm", "lower_exposed": "0 in"}
    turnbuckle = read(turnbuckle={**TURNBUCKLE, "setting": setting}).turnbuckle
    assert turnbuckle is not None
    assert turnbuckle.setting is not None
    assert turnbuckle.setting.upper_exposed == 0
    assert "measurement/readings/0" in refused(measurement={"readings": ["0 mm"]})
    assert "turnbuckle/pin" in refused(turnbuckle={**TURNBUCKLE, "pin": "0 mm"})


@pytest.mark.parametrize(
    ("reading", "inches"),
    [
        ("31 ft 4 5/16 in", True),
        ('6⅜"', True),
        ("31′ 4″", True),
        ("9 568 mm", False),
        ("9.568 m", False),
        ("3 feet", True),
        ({"value": "3", "unit": "in"}, True),
        ({"value": "3", "unit": "cm"}, False),
    ],
)
def test_the_first_reading_tells_whether_the_tape_was_in_inches(reading: object, inches: bool) -> None:
    assert read(measurement={"readings": [reading, "1 m"]}).measurement.inches is inches


def test_the_size_of_a_wire_is_kept_as_written() -> None:
    wire = read(wire={"construction": "7x19", "diameter": "3/16 in"}).wire
    assert (wire.size, str(wire.diameter)) == ("3/16 in", "4.7625")
    assert read(wire={"construction": "7x19", "diameter": {"value": "4", "unit": "mm"}}).wire.size == "4 mm"


def test_the_tape_is_weighed_in_either_way() -> None:
    # 14 g/m at standard gravity: 0.014 kg x 9.80665 m/s² = 0.1372931 N/m (NIST SP 811, appendix B.8)
    assert str(read(measurement={"readings": ["2 m"], "tape_weight": "14 g/m"}).measurement.tape_weight) == "0.13729310"
    assert "measurement/tape_weight" in refused(measurement={"readings": ["2 m"], "tape_weight": "14 g"})

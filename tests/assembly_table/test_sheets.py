"""The table of assemblies: every expected value is what a person filling in the sheet means."""

from __future__ import annotations

import io
import json
from typing import Any

import pytest

from service.assembly_table import Boat, HeaderFault, columns_of, place_of, records, usual_names, whole_sheet
from service.demo import demo_names, demo_request
from service.schemas import read_request

NEEDED = ["tag", "role", "wire.construction", "upper.terminal", "lower.terminal", "measurement.readings"]


def sheet(text: str, encoding: str = "utf-8") -> list[Boat]:
    return list(whole_sheet(records(io.BytesIO(text.encode(encoding))))[1])


def rows_of(request: dict[str, Any], delimiter: str, comma: bool) -> str:
    """A request as a person would write it in a spreadsheet, readings and links in one cell."""
    flat = [{**flattened(request["boat"], "boat."), **flattened(each, "")} for each in request["assemblies"]]
    names = list(dict.fromkeys(name for row in flat for name in row))
    lines = [names, *([row.get(name, "") for name in names] for row in flat)]
    quoted = [['"' + cell.replace('"', '""') + '"' for cell in line] for line in lines]
    text = "\r\n".join(delimiter.join(line) for line in quoted)
    return text.replace(".5 mm", ",5 mm") if comma else text


def flattened(value: dict[str, Any], before: str) -> dict[str, str]:
    found: dict[str, str] = {}
    for name, each in value.items():
        if isinstance(each, dict):
            found |= flattened(each, f"{before}{name}.")
        elif isinstance(each, list) and all(isinstance(item, str) for item in each):
            found[before + name] = " | ".join(each)
        elif isinstance(each, list):
            for number, item in enumerate(each, 1):
                found |= flattened(item, f"{before}{name}.{number}.")
        else:
            found[before + name] = {True: "yes", False: "no"}.get(each, str(each)) if isinstance(each, bool) else str(each)
    return found


@pytest.mark.parametrize("name", demo_names())
@pytest.mark.parametrize(
    ("delimiter", "encoding", "comma"),
    [(",", "utf-8", False), (";", "utf-8-sig", True), ("\t", "utf-16", False), (";", "utf-16", True), (",", "utf-8-sig", True)],
)
def test_a_sheet_asks_for_the_same_as_the_json_request(name: str, delimiter: str, encoding: str, comma: bool) -> None:
    asked = json.loads(demo_request(name))
    (boat,) = sheet(rows_of(asked, delimiter, comma), encoding)
    assert boat.faults == []
    asked = {"boat": asked["boat"], "assemblies": asked["assemblies"]}
    found, meant = read_request(boat.request, ()), read_request(asked, ())
    assert (found.boat, len(found.assemblies)) == (meant.boat, len(meant.assemblies))
    for one, other in zip(found.assemblies, meant.assemblies, strict=True):
        assert one.measurement.readings == other.measurement.readings
        assert (one.tag, one.upper, one.lower, one.turnbuckle, one.stops) == (
            other.tag,
            other.upper,
            other.lower,
            other.turnbuckle,
            other.stops,
        )
    assert boat.rows == list(range(2, 2 + len(asked["assemblies"])))


def table(
    *rows: str, heading: str = "custom_id,tag,role,wire.construction,upper.terminal,lower.terminal,measurement.readings,furled,boat.name"
) -> str:
    return "\n".join([heading, *rows])


ONE = "cap_shroud,1x19,tee,stud,9 m,,"


def test_boats_are_distinguished_by_their_line_and_share_what_is_written_once() -> None:
    found = sheet(table(f"A,P,{ONE}Tern", f"A,S,{ONE}", f"B,P,{ONE}Gull"))
    assert [(boat.custom_id, [each["tag"] for each in boat.request["assemblies"]], boat.request["boat"]) for boat in found] == [
        ("A", ["P", "S"], {"name": "Tern"}),
        ("B", ["P"], {"name": "Gull"}),
    ]


def test_what_is_wrong_is_named_by_row_and_column_and_spoils_its_boat_alone() -> None:
    found = sheet(table(f"A,P,{ONE}Tern", "B,P,cap_shroud,1x19,tee,stud,9 m,perhaps,", f"B,S,{ONE}Gull", f"B,T,{ONE}Auk", f"C,P,{ONE}"))
    assert [[(each["row"], each.get("column"), each["code"]) for each in boat.faults] for boat in found] == [
        [],
        [(3, "furled", "not_a_boolean"), (5, "boat.name", "rows_differ")],
        [],
    ]


@pytest.mark.parametrize(
    "row",
    ['"x', f",P,{ONE}", "x" * 200_000, "\ufffd,P", f'"A,B",P,{ONE},,9'],
    ids=["quote", "no-name", "long", "charset", "cells"],
)
def test_a_row_of_an_unknown_boat_spoils_both_its_neighbours_and_no_other(row: str) -> None:
    found = sheet(table(f"A,P,{ONE}", f"B,P,{ONE}", row, *([] if row == '"x' else [f"C,P,{ONE}", f"D,P,{ONE}"])))
    spoilt = {boat.custom_id: [each["row"] for each in boat.faults] for boat in found}
    assert spoilt["A"] == []
    if row.startswith(('"A,B"', "\ufffd")):  # the first cell is whole: only that boat is spoilt, or made
        assert spoilt["B"] == [], spoilt
        assert spoilt["D"] == []
        return
    assert spoilt["B"] == [4], spoilt
    assert spoilt.get("C", [4]) == [4]
    assert spoilt.get("D", []) == []


def test_a_comma_that_is_not_in_quotation_marks_is_seen() -> None:
    found = sheet(
        table(
            "A,P,cap_shroud,1x19,tee,stud,9,5 m,,,Tern",
            heading="custom_id,tag,role,wire.construction,upper.terminal,lower.terminal,measurement.readings,furled,boat.name",
        )
    )
    assert [each["code"] for each in found[0].faults] == ["too_many_cells"]


def test_a_gap_in_a_numbered_list_is_a_fault_where_the_item_is_missing() -> None:
    heading = ",".join([*NEEDED, "stops.1.from", "stops.2.from"])
    (boat,) = sheet(f"{heading}\nP,cap_shroud,1x19,tee,stud,9 m,,upper")
    assert [(each["row"], each["column"], each["code"]) for each in boat.faults] == [(2, "stops.1", "gap")]


def test_a_heading_is_refused_with_every_fault_and_a_name_that_comes_near() -> None:
    with pytest.raises(HeaderFault) as refused:
        columns_of([*NEEDED, "upper.terminl", "tag", "note"])
    assert [(column, code) for column, code, _ in refused.value.faults] == [
        ("upper.terminl", "unknown_column"),
        ("tag", "duplicate_column"),
    ]
    assert "upper.terminal" in refused.value.faults[0][2]
    with pytest.raises(HeaderFault) as refused:
        columns_of(NEEDED[1:])
    assert [each[:2] for each in refused.value.faults] == [("tag", "missing_column")]
    with pytest.raises(HeaderFault):
        sheet("")


def test_every_field_of_a_request_has_a_column_and_every_column_is_read() -> None:
    assert {
        *NEEDED,
        "custom_id",
        "customer.email",
        "deflection_test.force",
        "upper.links.1.dimensions.hole",
        "request.note",
        "note",
    } <= set(usual_names())
    assert [column.name for column in columns_of(usual_names())] == list(usual_names())


def test_a_pointer_leads_to_its_cell_or_to_the_one_to_be_filled_in() -> None:
    columns = {"measurement.readings", "stops.1.from"}
    for pointer, cell in {
        "#/assemblies/1/measurement/readings/0": (8, "measurement.readings"),
        "#/assemblies/0/stops/0/from": (7, "stops.1.from"),
        "#/assemblies/0/upper/pin": (7, "upper.pin"),
        "#/boat/name": (7, "boat.name"),
        "#/note": (7, "request.note"),
        "#": (7, None),
        "#/assemblies/0": (7, None),
    }.items():
        assert tuple(place_of(pointer, [7, 8], columns)) == cell, pointer


def test_rows_beyond_a_boat_s_most_are_not_kept() -> None:
    (boat,) = sheet(table(*[f"A,{number},{ONE}" for number in range(5000)]))
    assert len(boat.request["assemblies"]) == 200
    assert (boat.faults[0]["row"], boat.faults[0]["code"], len(boat.faults)) == (202, "list_size", 1000)


def test_the_change_of_each_toggle_and_the_boats_fittings_have_columns_of_their_own() -> None:
    row = {
        "tag": "A", "role": "diagonal", "number": "2", "wire.construction": "1x19", "wire.diameter": "5 mm", "upper.terminal": "eye",
        "upper.attachment": "swage", "lower.terminal": "fork", "lower.attachment": "swage", "measurement.readings": "4 m|4 m",
        "lower.links.1.kind": "toggle", "lower.links.1.change": "left_away", "lower.links.1.in_reading": "yes",
        "lower.links.2.kind": "shackle", "lower.links.2.change": "replaced", "lower.links.2.in_reading": "no", "lower.links.2.old_length": "33 mm",
        "upper.boat_fitting.kind": "cheeks", "upper.boat_fitting.width": "10 mm", "upper.boat_fitting.pin_from": "boat",
    }  # fmt: skip
    (boat,) = sheet(",".join(row) + "\n" + ",".join(row.values()))
    assert boat.faults == []
    (assembly,) = read_request(boat.request, ()).assemblies
    first, second = assembly.lower.links
    assert (assembly.number, first.change, first.in_reading, first.old_length) == (2, "left_away", True, None)
    assert (second.kind, second.change, second.in_reading, str(second.old_length)) == ("shackle", "replaced", False, "33")
    joined = assembly.upper.boat_fitting
    assert joined is not None
    assert (joined.kind, str(joined.width), joined.pin_from) == ("cheeks", "10", "boat")

"""The columns that a usual wire needs, in the order of the work. They are visible and printed; all others are folded away to their right."""

from __future__ import annotations

from collections.abc import Mapping
from types import MappingProxyType

from service.web_form.questions import QUESTIONS

#: With the column of row numbers, 24: what goes onto landscape Letter with room for a pencil. The form's short questions stand for several
#: fields each. Width in mm; together at most 266.7, which is Letter (ANSI/ASME Y14.1: 279.4) less two margins of 6.35.
NUMBERS = 7.0
WIRE: Mapping[str, float] = MappingProxyType(
    {
        "tag": 12.5, "place": 16.0, "turnbuckle_is": 13.0, "turnbuckle.setting.upper_exposed": 11.5, "turnbuckle.setting.lower_exposed": 11.5,
        "read_with": 10.0, "wire_kind": 12.0, "wire.diameter": 10.0, "upper.terminal": 11.0, "upper.attachment": 9.0, "upper.pin": 8.0,
        "lower.terminal": 11.0, "lower.attachment": 9.0, "lower.pin": 8.0, "lower.screw": 13.0, "turnbuckle.lower_outer": 12.0,
        "measured_from": 10.5, "turnbuckle.dimensions.body": 10.5, "turnbuckle.dimensions.runout": 10.5, "measurement.readings.1": 16.5,
        "measurement.readings.2": 16.5, "laid": 9.0, "note": 8.5,
    }
)  # fmt: skip
#: Boat and customer, each over two of the wires' columns.
WHOLE = (
    "boat.name", "boat.length_overall", "plain_numbers", "customer.name", "customer.email", "delivery", "request.note",
    "customer.address.street", "customer.address.postal_code", "customer.address.city", "customer.telephone",
)  # fmt: skip
SHORT = tuple(each for each in QUESTIONS if each.short and each.path in WIRE)


def _answered_by_short() -> dict[str, str]:
    short_by_path: dict[str, str] = {}
    for question in SHORT:
        for path in (*question.joined, *(path for choice in question.choices for path, _ in choice.answers)):
            if path not in WIRE:
                short_by_path.setdefault(path, question.path)
    return short_by_path


#: The short question that answers a path without a column of its own among the usual ones.
SHORT_FOR: Mapping[str, str] = MappingProxyType(_answered_by_short())

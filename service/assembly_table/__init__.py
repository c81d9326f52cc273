"""Assemblies as a table with one row each: read into the same requests as JSON, keeping the cell of every field to report faults.

| column | meaning |
|---|---|
| `custom_id` | the boat that the assembly belongs to, by its id within this file (`line` is read as well); all rows of a boat must be adjacent |
| `tag`, `role`, `wire.construction`, `upper.terminal`, `measurement.readings`, ... | the assembly's fields, as a JSON request names them |
| `boat.name`, `customer.name`, `display_units`, `price_list`, `delivery`, `request.note` | fields of the request, in any row of the boat |

In a list, `stops.1.position` belongs to the first item; readings and links may share one cell, separated by `|` or `;`. An empty
cell means that the field is not sent. Truth values are yes and no, or true and false. This package knows nothing of HTTP or the database.
"""

from __future__ import annotations

from service.assembly_table.boats import Boat, boats, whole_sheet
from service.assembly_table.columns import Column, HeaderFault, advice, column_named, columns_of, usual_names
from service.assembly_table.places import place_of
from service.assembly_table.records import Record, records

__all__ = [
    "Boat",
    "Column",
    "HeaderFault",
    "Record",
    "advice",
    "boats",
    "column_named",
    "columns_of",
    "place_of",
    "records",
    "usual_names",
    "whole_sheet",
]

"""Assemblies as a table, a row each: read into the same requests that JSON writes, with the cell of every field kept for what is refused.

| column | meaning |
|---|---|
| `line` | whose assembly it is: the boat's name within this file; all rows of a boat stand together |
| `tag`, `role`, `wire.construction`, `upper.terminal`, `measurement.readings`, ... | the assembly's fields, as a JSON request names them |
| `boat.name`, `customer.name`, `display_units`, `price_list`, `delivery`, `request.note` | the request's own, in any row of the boat |

Of a list, `stops.1.position` is the first item's; readings and links may stand in one cell with `|` or `;` between them. An empty cell is a field
that is not sent. yes and no, true and false are truth values. The folder knows no web and no database.
"""

from __future__ import annotations

from service.sheets.boats import Boat, boats, whole_sheet
from service.sheets.columns import Column, HeaderFault, advice, column_named, columns_of, usual_names
from service.sheets.places import place_of
from service.sheets.records import Record, records

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

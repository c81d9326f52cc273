"""The measuring sheet: the form's questions as a table to fill in on the dock, as CSV or as a workbook, and how it is read back.

It has two blocks, each with a row of field names, the same in every language, above the rows to be filled in:

| first cell | row |
|---|---|
| `#` | for people only: titles, headings, help; ignored when read |
| `request` | names of the request's own fields; below it one row with boat and customer |
| `assembly` | names of an assembly's fields; below it a row for each assembly, empty ones left out |

`columns` defines the fields, `layout` arranges them, `written_csv` and `written_xlsx` write the files; `read_csv`, `unzipped` and
`read_xlsx` read files into rows, `blocks` finds the blocks in them, `meaning` interprets each cell, `tracing` finds the cell of each fault.
"""
